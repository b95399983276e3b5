"""States of a crowd whose currents are nearly the same, taken as one.

Where hundreds of faults stand at once, each that comes or goes makes a state more, and
most of them change next to nothing. States of one stay that follow one another are then
one, of their mean currents, as long as all that differs adds to little of what flows.
What a current dissolves goes straight with it but where it changes sides, and a network
of the mean is that of each to second order: charges of faults stay what they are.
"""

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from corrosion.foundation.types import Array, BoolArray, ComplexArray, IntArray
from corrosion.leakage.fed_system import SystemCurrents

if TYPE_CHECKING:
    from corrosion.history.step_states import Step

CROWD = 32
"""So many faults that may stand in a step are a crowd: states are no longer apart."""

_ALIKE = 0.1  # of all that flows: what the states taken as one may differ by [-]
_NOTHING = 1e-3  # a difference that dissolves nine grams of iron a year [A]


def alike_states(
    step: "Step", leaking: list[SystemCurrents]
) -> tuple["Step", list[SystemCurrents], IntArray]:
    """Return a step with fewer states, its currents, and which state each has become.

    Parameters
    ----------
    step : Step
        With every state for itself.
    leaking : list of SystemCurrents
        What leaks in each.

    Returns
    -------
    step : Step
        Its durations are those of the fewer states; ``states`` is as it was.
    leaking : list of SystemCurrents
        Mean currents of the fewer states. [A]
    become : ndarray of int, shape (samples, states)
        Which of the fewer each state has become. States that not the same scenarios
        pass through stay apart.
    """
    lasts = step.duration > 0.0
    scenarios = lasts.shape[1]
    through = np.einsum("shk,h->sk", lasts, 2 ** np.arange(scenarios))
    order = np.lexsort((step.states.middle, -through), axis=1)
    place = np.empty_like(order)
    np.put_along_axis(place, order, _groups(order, through, leaking) - 1, axis=1)
    most = int(place.max()) + 1
    joins = place[:, None, :] == np.arange(most)[:, None]
    weight = joins * step.duration.sum(axis=1)[:, None]
    whole = weight.sum(axis=2, keepdims=True)
    mean = np.divide(weight, whole, out=np.zeros_like(weight), where=whole > 0.0)
    return (
        replace(step, duration=step.duration @ joins.swapaxes(1, 2).astype(np.float64)),
        [
            replace(
                leak,
                amps=_times(mean, leak.amps),
                lamps=None
                if leak.lamps is None
                else _times(mean, leak.lamps[:, :, None])[:, :, 0],
            )
            for leak in leaking
        ],
        place,
    )


def alike_sentence(most: int) -> list[str]:
    """Return what is left out where so many faults may stand at once, in a sentence."""
    if most < CROWD:
        return []
    return [
        f"faults.csv: {most} faults may have stood at once: states of a stay whose "
        f"currents differ by less than {100.0 * _ALIKE:.0f} % were taken as one, so "
        "that the work stays bounded; so many want a switch rather than an interval: "
        "open those of whole groups, clear, and read again"
    ]


def _groups(
    order: IntArray, through: IntArray, leaking: list[SystemCurrents]
) -> IntArray:
    """Return the number of each state's group, from 1, in the order of time."""
    samples, states = order.shape
    each = np.arange(samples)
    group = np.ones(order.shape, dtype=np.int64)
    first: dict[str, list[Array | ComplexArray]] = {}
    for k in range(states):
        at = each, order[:, k]
        now: dict[str, list[Array | ComplexArray]] = {"ac": [], "dc": []}
        for leak in leaking:
            now[leak.current].append(leak.amps[at])
            if leak.lamps is not None:
                now[leak.current].append(leak.lamps[at][:, None])
        if k == 0:
            first = now
            continue
        before = through[each, order[:, k - 1]]
        fresh = (through[at] != before) & (through[at] > 0)
        fresh |= (through[at] > 0) & _differ(first, now)
        for kind, parts in now.items():
            for old, new in zip(first[kind], parts, strict=True):
                old[fresh] = new[fresh]
        group[:, k] = group[:, k - 1] + fresh
    return group


def _differ(
    one: dict[str, list[Array | ComplexArray]],
    other: dict[str, list[Array | ComplexArray]],
) -> BoolArray:
    """Return where two states of samples differ by more than is taken as one."""
    found = np.zeros(1, dtype=np.bool_)
    for kind, parts in one.items():
        apart, size = np.zeros((2, 1))
        for a, b in zip(parts, other[kind], strict=True):
            apart = apart + np.abs(a - b).sum(axis=1)
            size = size + np.abs(b).sum(axis=1)
        found = found | (apart > _ALIKE * size + _NOTHING)
    return found


def _times(mean: Array, amps: Array | ComplexArray) -> Array | ComplexArray:
    """Return the mean of each group, complex as what it is made of."""
    if not np.iscomplexobj(amps):
        return np.asarray(mean @ amps.real, dtype=np.float64)
    found = np.empty((*mean.shape[:2], amps.shape[2]), dtype=np.complex128)
    found.real, found.imag = mean @ amps.real, mean @ amps.imag
    return found
