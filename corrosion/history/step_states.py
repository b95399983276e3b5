"""The states of a step of time: linear ones together, nonlinear ones batch by batch."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from corrosion.foundation.types import Array, IntArray
from corrosion.history.alike_states import CROWD, alike_states, one_a_route
from corrosion.history.inputs import ModelInputs
from corrosion.history.loss import LossHistory
from corrosion.history.nonlinear_states import nonlinear_states
from corrosion.history.paths import CurrentPaths
from corrosion.leakage.fault_currents import fault_currents
from corrosion.leakage.fed_system import SystemCurrents
from corrosion.leakage.time_intervals import ConstantIntervals
from corrosion.wastage.fault_charges import CurrentSource
from corrosion.wastage.path_charges import CausePath
from corrosion.wastage.step_loss import add_rows, over_states

Sources = Sequence[tuple[SystemCurrents, CurrentSource]]

_FEW = 256  # states of noughts cost less than another set of states
_PARTS = 4  # sets of linear states at most: each costs a little whatever its size


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """A step of time at one berth, cut into states, for scenarios of one ship.

    Arrays are of shape (samples,) where no other is said.
    """

    # number, stay: which stay of the current paths, and of the scenarios
    number: int
    stay: int
    # start, end: from and to [s]
    start: Array
    end: Array
    # shape (parts + 1,): between its parts, of which ``first`` is the number
    # among the step's [s]
    edges: Array
    first: int
    standing: IntArray  # shape (standing,): faults that may stand in it
    states: ConstantIntervals  # its states, and which of ``standing`` stand in each
    # shape (samples, scenarios, parts, states): how long each lasts
    # in each scenario [s]
    duration: Array

    def spans(self) -> list[tuple[Array, Array]]:
        """Return from when to when each of its parts is, sample by sample [s]."""
        return [
            (np.clip(self.start, a, b), np.clip(self.end, a, b))
            for a, b in pairwise(self.edges)
        ]


@dataclass(frozen=True, slots=True, kw_only=True)
class StateSet:
    """Some states of a step: all linear ones, or nonlinear ones a state a row.

    ``sample`` and ``state`` say which each is; the linear set has all samples as its
    rows, and all states, but for a part of it (:func:`like_samples`). ``duration`` is
    of shape (rows, scenarios, parts, states) [s]; ``crossing`` what of each source
    crosses the water, (rows, sources) [-].
    """

    sample: IntArray
    state: IntArray
    nonlinear: bool
    duration: Array
    sources: Sources
    crossing: Sequence[Array]
    couple: Array
    through: Array
    interface: Array
    path: CausePath | None = None
    eaten: tuple[Array, Array] | None = None


def state_sets(
    inputs: ModelInputs, rows: slice, paths: CurrentPaths, step: Step
) -> tuple[list[StateSet], IntArray | None]:
    """Return the linear states of a step, and nonlinear ones batch by batch.

    And of a crowd which state each of the step's has become, (samples, states).
    """
    stay = inputs.periods[step.number]
    berth = stay.berth
    become = None
    crowd = len(step.standing) >= CROWD
    if crowd:
        step, become = alike_states(step, inputs, rows)
    leaking = fault_currents(
        inputs.ship,
        inputs.faults,
        stay,
        intervals=step.states,
        standing=step.standing,
        rows=rows,
        earth=paths.unknowns.earth_at(berth),
    )
    if crowd and paths.late > inputs.time_grid.as_of:
        leaking = [one_a_route(leak, step.number, paths) for leak in leaking]
    sources = [(leak, paths.flow(step.number, leak)) for leak in leaking]
    couple = np.zeros((len(step.start), len(paths.wet)))
    if berth.earth_connected is not False and not berth.galvanic_isolator:
        couple = paths.solved(step.number, 0.0).couple * paths.density(step.number, 0.0)
    lasting = step.duration.sum(axis=(1, 2))
    nonlinear = nonlinear_states(paths, step.number, lasting, sources)
    linear = step.duration.copy() if nonlinear else step.duration
    for states in nonlinear:
        linear[states.sample, :, :, states.stretch] = 0.0
    sets = [
        StateSet(
            sample=np.arange(len(step.start)),
            state=np.arange(lasting.shape[1]),
            nonlinear=False,
            duration=linear,
            sources=sources,
            crossing=_crossing(sources),
            couple=couple,
            through=paths.total_over_bare_current(step.number)[0],
            interface=paths.in_flow(step.number).interface[:, None],
        ),
        *(
            StateSet(
                sample=states.sample,
                state=states.stretch,
                nonlinear=True,
                duration=step.duration[states.sample, :, :, states.stretch][..., None],
                sources=states.flows,
                crossing=_crossing(states.flows),
                couple=states.couple * states.density,
                through=states.through,
                interface=states.interface,
                path=states.path,
                eaten=states.eaten,
            )
            for states in nonlinear
        ),
    ]
    return sets, become


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceCharge:
    """Charge of one source's faults in some states, scenario by scenario.

    ``size`` and ``signed`` (None: alternating) are of shape (rows, scenarios, faults)
    [C]; ``crossing`` what of it crosses the water, (rows, faults) [-].
    """

    sample: IntArray
    faults: IntArray
    crossing: Array
    size: Array
    signed: Array | None

    def add_to(self, kept: LossHistory, rows: slice, scenario: int) -> None:
        """Count what one scenario's faults brought, and what crosses the water."""
        size = self.size[:, scenario]
        sums = [(kept.charge, size), (kept.water_charge, size * self.crossing)]
        if self.signed is not None:
            sums.append((kept.direct_charge, self.signed[:, scenario]))
        for account, part in sums:
            add_rows(account[rows], self.sample, part, self.faults)


def source_charges(states: StateSet) -> Iterator[SourceCharge]:
    """Yield the charge of each source of some states."""
    lasting = states.duration.sum(axis=2)
    for (leak, _), crossing in zip(states.sources, states.crossing, strict=True):
        direct = leak.current == "dc"
        yield SourceCharge(
            sample=states.sample,
            faults=leak.faults,
            crossing=crossing,
            size=over_states(lasting, np.abs(leak.amps)),
            signed=over_states(lasting, leak.amps.real) if direct else None,
        )


def like_samples(whole: StateSet) -> list[StateSet]:
    """Return a set's samples apart by about how many states each is in.

    Few are in as many as the most: netted all together, two fifths would be noughts.
    Where apart they save few noughts, they go with those that are in more.
    """
    lasts = np.asarray((whole.duration > 0.0).any(axis=(1, 2)))
    states = lasts.shape[1]
    last = np.where(lasts.any(axis=1), states - lasts[:, ::-1].argmax(axis=1), 0)
    most = np.unique(-(-states * np.arange(1, _PARTS + 1) // _PARTS))
    which = np.searchsorted(most, last)
    for k, more in enumerate(np.diff(most).tolist()):
        few = which == k
        if few.sum() * more < _FEW and (which > k).any():
            which[few] += 1
    return [
        _rows(whole, np.flatnonzero(which == k), int(most[k])) for k in np.unique(which)
    ]


def _rows(whole: StateSet, rows: IntArray, states: int) -> StateSet:
    """Return some rows of a set, and their first states."""
    if len(rows) == len(whole.sample) and states == len(whole.state):
        return whole
    sources = [
        (
            leak,
            replace(
                source,
                amps=source.amps[rows, :states],
                transfer=source.transfer[rows],
                density=source.density[rows],
            ),
        )
        for leak, source in whole.sources
    ]
    return replace(
        whole,
        sample=whole.sample[rows],
        state=whole.state[:states],
        duration=whole.duration[rows, ..., :states],
        sources=sources,
        couple=whole.couple[rows],
        through=whole.through[rows],
    )


def _crossing(sources: Sources) -> list[Array]:
    return [
        np.maximum(source.transfer[:, : len(leak.faults)], 0.0).sum(axis=2)
        for leak, source in sources
    ]
