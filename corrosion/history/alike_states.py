"""States of a crowd in which nearly the same faults stand, taken as one.

Where hundreds of faults stand at once, each that comes or goes makes a state more, and
most of them change next to nothing. States of one stay that follow one another are then
one, in which each fault stands for its share of the time, as long as what differs on
each conductor adds little to what stands there. What a current dissolves goes straight
with it but where it changes sides, so that this is right to second order. After the
date of the estimate nobody asks which fault it was: there, those of one route are one.
"""

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.history.inputs import ModelInputs
from corrosion.leakage.fed_system import SystemCurrents
from corrosion.leakage.time_intervals import ConstantIntervals

if TYPE_CHECKING:
    from corrosion.history.paths import CurrentPaths
    from corrosion.history.step_states import Step

CROWD = 32
"""So many faults that may stand in a step are a crowd: states are no longer apart."""

_ALIKE = 0.1  # of what stands on a conductor: what states taken as one may differ by
_NOTHING = 1e-3  # a difference that dissolves nine grams of iron a year [A]


def alike_states(
    step: "Step", inputs: ModelInputs, rows: slice
) -> tuple["Step", IntArray]:
    """Return a step with fewer states, and which of them each has become.

    Parameters
    ----------
    step : Step
        With every state for itself.
    inputs : ModelInputs
        The ship and what is drawn of her faults.
    rows : slice
        Which samples.

    Returns
    -------
    step : Step
        In the fewer states faults stand for a share of the time.
    become : ndarray of int, shape (samples, states)
        Which of the fewer each state has become. States that not the same scenarios
        pass through stay apart, and those with a fault whose current was logged.
    """
    lasts = (step.duration > 0.0).any(axis=2)
    through = np.einsum("shk,h->sk", lasts, 2 ** np.arange(lasts.shape[1]))
    order = np.lexsort((step.states.middle, -through), axis=1)
    become = np.empty_like(order)
    np.put_along_axis(
        become, order, _groups(order, through, step, inputs, rows) - 1, axis=1
    )
    most = int(become.max()) + 1
    joins = (become[:, None, :] == np.arange(most)[:, None]).astype(np.float64)
    weight = joins * step.duration.sum(axis=(1, 2))[:, None]
    whole = weight.sum(axis=2, keepdims=True)
    mean = np.divide(weight, whole, out=np.zeros_like(weight), where=whole > 0.0)
    states = ConstantIntervals(
        (mean > 0.0) @ step.states.duration[:, :, None],
        mean @ step.states.middle[:, :, None],
        mean @ step.states.active,
    )
    states = replace(
        states, duration=states.duration[..., 0], middle=states.middle[..., 0]
    )
    duration = step.duration @ joins.swapaxes(1, 2)[:, None]
    return replace(step, states=states, duration=duration), become


def one_a_route(
    leak: SystemCurrents, number: int, paths: "CurrentPaths"
) -> SystemCurrents:
    """Return currents of which those that enter at one zone and return alike are one.

    Parameters
    ----------
    leak : SystemCurrents
        What leaks, fault by fault.
    number : int
        Which stay.
    paths : CurrentPaths
        Of these samples.

    Returns
    -------
    SystemCurrents
        ``faults`` is one for each route. Faults that nobody found, or that return
        through a clamp, stay apart.
    """
    entry, back = (of[:, leak.faults] for of in (paths.entry, paths.back))
    same = (entry == entry[:1]).all(axis=0) & (back < 0).all(axis=0)
    route = np.where(
        same,
        2 * entry[0] + paths.ashore[number][leak.faults],
        -1 - np.arange(len(leak.faults)),
    )
    _, first, which = np.unique(route, return_index=True, return_inverse=True)
    onto = (which[:, None] == np.arange(len(first))).astype(np.float64)
    return replace(leak, amps=leak.amps @ onto, faults=leak.faults[first])


def alike_sentence(most: int) -> list[str]:
    """Return what is left out where so many faults may stand at once, in a sentence."""
    if most < CROWD:
        return []
    return [
        f"faults.csv: {most} faults may have stood at once: states of a stay in which "
        f"what stands differs by less than {100.0 * _ALIKE:.0f} % were taken as one, "
        "so that the work stays bounded; so many want a switch rather than an "
        "interval: open those of whole groups, clear, and read again"
    ]


def _groups(
    order: IntArray, through: IntArray, step: "Step", inputs: ModelInputs, rows: slice
) -> IntArray:
    """Return the number of each state's group, from 1, in the order of time."""
    samples, states = order.shape
    each, faults = np.arange(samples), step.standing
    read, hidden, column, count = _short_currents(inputs, rows, faults)
    place = (each[:, None] * count + column).ravel()
    early = inputs.faults.path.turned[rows][:, faults]
    apart = np.isin(faults, [*inputs.faults.logged])

    def stood(k: int) -> tuple[Array, BoolArray]:
        at = each, order[:, k]
        active = step.states.active[at]
        was = step.states.middle[at][:, None] < early
        amps = np.where(active, np.where(was, hidden, read), 0.0)
        return amps, np.asarray(active[:, apart].any(axis=1))

    def summed(amps: Array) -> Array:
        found = np.bincount(place, amps.ravel(), samples * count)
        return np.asarray(found.reshape(samples, count), dtype=np.float64)

    group = np.ones(order.shape, dtype=np.int64)
    first, _ = stood(0)
    size = summed(first)
    for k in range(1, states):
        now, log = stood(k)
        mine = through[each, order[:, k]]
        fresh = summed(np.abs(now - first)) > _ALIKE * size + _NOTHING
        new = (mine > 0) & (fresh.any(axis=1) | log)
        new |= (mine > 0) & (mine != through[each, order[:, k - 1]])
        first[new] = now[new]
        size = summed(first)
        group[:, k] = group[:, k - 1] + new
    return group


def _short_currents(
    inputs: ModelInputs, rows: slice, faults: IntArray
) -> tuple[Array, Array, IntArray, int]:
    """Return what faults would pass at their system's full voltage, read and hidden.

    And the conductor of each among all systems', (samples, faults), and how many there
    are: what is no ground fault stands on one of its own. [A]
    """
    ship, unknowns = inputs.ship, inputs.faults
    names = [system.name for system in ship.systems]
    here = [ship.faults[k] for k in faults.tolist()]
    ground = np.array([one.source == "ground fault" for one in here])
    of = [
        names.index(one.system or "") if there else len(names)
        for one, there in zip(here, ground, strict=True)
    ]
    most = max((len(system.conductors) for system in ship.systems), default=1)
    volts = np.array([*(system.volts for system in ship.systems), 0.0])[of]
    column = unknowns.pole[rows][:, faults] * ground + most * np.array(of)
    other = np.abs(np.nan_to_num(unknowns.amps[rows][:, faults]))
    read, hidden = (
        np.where(ground, volts / np.where(ground, ohms[rows][:, faults], 1.0), other)
        for ohms in (unknowns.path.ohms, unknowns.path.hidden)
    )
    return read, hidden, column, most * (len(names) + 1)
