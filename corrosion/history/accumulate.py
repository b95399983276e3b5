"""Losses of one scenario for a block of samples, while time goes on."""

from collections.abc import Sequence
from functools import partial

import numpy as np

from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.history.compared import StepMass
from corrosion.history.depth import DepthLoss
from corrosion.history.inputs import ModelInputs
from corrosion.history.loss import COUPLE, DEPTHS, OWN_METALS, LossHistory
from corrosion.history.part_loss import (
    PartLoss,
    PartNature,
    add_mass,
    natural_rate,
    rest_of,
    spared_by_part,
    step_mass,
)
from corrosion.history.paths import CurrentPaths
from corrosion.history.protected_paths import ProtectedPaths
from corrosion.history.step_states import (
    SourceCharge,
    StateSet,
    Step,
    like_samples,
    source_charges,
    state_sets,
)
from corrosion.leakage.standing_times import FaultIntervals
from corrosion.wastage.apportionment import MULTIPLIERS, net_and_apportion
from corrosion.wastage.fault_charges import CurrentSource
from corrosion.wastage.step_loss import StepLoss, add_rows

_BEFORE = 1.0  # a painting at a moment has not yet been when the moment is recorded [s]


StepBegun = tuple[BoolArray, Array | None]
"""What is painted as a step begins, and how bare it was; None: nothing is done."""

StepTaken = tuple[
    list[PartNature],
    Array,
    list[StateSet],
    list[SourceCharge],
    StepLoss,
    Array,
    IntArray | None,
]
"""What a step took by nature in each part, and in all of them where no current does;
its states and charges, what all scenarios of a ship lost there, and what direct
currents did at a spot; of a crowd, what each state has become.
"""


class LossAccumulator:
    """The losses of one scenario for a block of samples, while time goes on."""

    def __init__(
        self,
        inputs: ModelInputs,
        intervals: FaultIntervals,
        history: LossHistory,
        rows: slice,
        *,
        compared: bool = True,
    ) -> None:
        self.inputs = inputs
        self.compared = compared
        self.history = history
        self.rows = rows
        self.began, self.ended = intervals.began[rows], intervals.ended[rows]
        self.turned = inputs.faults.path.turned[rows]
        self.first, self.last = self.began.min(axis=0), self.ended.max(axis=0)
        self.depth = DepthLoss(inputs, rows)
        self.charged = np.zeros_like(history.charged)
        self._multiplied = np.zeros((len(MULTIPLIERS), *self.depth.mean.shape))
        self._pending: dict[int, list[tuple[PartLoss, bool]]] = {}
        stood = np.minimum(self.ended, inputs.time_grid.as_of) - self.began
        history.seconds[rows] = np.maximum(stood, 0.0)

    def take_over(self, other: "LossAccumulator") -> None:
        """Stand from now on where another scenario stands."""
        self.history.take_over(other.history, self.rows)
        self.depth.take_over(other.depth)
        self.charged, self._multiplied = other.charged.copy(), other._multiplied.copy()

    def standing(self, early: float, late: float) -> IntArray:
        """Return the faults that may stand between two moments."""
        return np.flatnonzero((self.first < late) & (self.last > early))

    def start_step(
        self, early: float, late: float, shared: dict[int, StepBegun]
    ) -> None:
        """Do the works and paintings after one moment and until another.

        ``shared`` holds what scenarios of the same zones share.
        """
        zones, rows = self.inputs.zones, self.rows
        works = [one for one in zones.works if early < one.moment <= late]
        if id(zones) not in shared:
            place = zones.pit_place[rows]
            painted = zones.paint.painted_between(early, late, place, rows)
            any_done = bool(works) or bool(painted.any())
            bare = zones.bare(late - _BEFORE, rows) if any_done else None
            shared[id(zones)] = painted, bare
        painted, bare = shared[id(zones)]
        if bare is None:
            return
        for work in works:
            self.depth.repair(work, bare)
            self._multiplied -= work.renewed * self._multiplied + work.added
        self.depth.paint(painted, bare)

    def add_step(
        self,
        paths: CurrentPaths,
        step: Step,
        taken: StepTaken,
        mine: int,
        which: IntArray,
    ) -> StepMass | None:
        """Add what one berth took in a step to all accounts but those of its parts.

        Returns it where it is to be compared with another scenario's. ``taken`` is what
        all scenarios of this ship took, of which this is the one numbered ``mine``;
        ``which`` are the states of its stretches. Of each part :meth:`add_part` adds it
        when the parts before have been.
        """
        natures, rest, sets, charges, losses, local, become = taken
        loss = losses.history(mine)
        spared = spared_by_part(loss, natures)
        parts = [
            PartLoss(
                nature=nature,
                sums=loss.part(k),
                local=local[:, mine, k],
                spared=spared[k],
            )
            for k, nature in enumerate(natures)
        ]
        for k, part in enumerate(parts, step.first):
            self._pending.setdefault(k, []).append((part, paths.counted))
        if not paths.counted:
            return None
        if not self.history.causes:
            add_mass(parts, self.history, self.rows)
        for charge in charges:
            charge.add_to(self.history, self.rows, mine)
        self._add_states(paths, step, sets, mine)
        self._charge_faults(paths, loss)
        if not self.compared:
            return None
        if become is not None:
            which = np.take_along_axis(become, which, axis=1)
        return step_mass(paths, rest, loss, which)

    def _add_states(
        self, paths: CurrentPaths, step: Step, sets: Sequence[StateSet], mine: int
    ) -> None:
        """Count what states draw from anodes, and hours that are no straight line."""
        for states in sets:
            duration = states.duration[:, mine].sum(axis=1)
            self._eat_anodes(paths, states, duration)
            if states.nonlinear:
                seconds = self.history.nonlinear_seconds[self.rows, step.stay]
                np.add.at(seconds, states.sample, duration[:, 0])

    def add_part(self, number: int) -> None:
        """Add what the berths took in a part of a step, now that it is its turn."""
        for part, counted in self._pending.pop(number, ()):
            if counted and self.history.causes:  # which are recorded part by part
                add_mass([part], self.history, self.rows)
            part.add(self.depth, self._multiplied)

    def taken(self, paths: CurrentPaths, step: Step) -> StepTaken:
        """Return what nature and currents take in a step, and direct ones at a spot."""
        natural = [
            paths.natural(step.number, step.first + k, span)
            for k, span in enumerate(step.spans())
        ]
        sets, become = state_sets(paths.inputs, self.rows, paths, step)
        rate = natural_rate(paths, step, natural)
        own = paths.own_metals(step.number)
        apportion = partial(self._apportion, paths, step, (rate, own))
        linear, *others = sets
        parts = like_samples(linear)
        loss = StepLoss.joined(
            [apportion(part) for part in parts],
            [part.sample for part in parts],
            len(linear.state),
        )
        # at holidays each state counts by the interface that it has there
        local = loss.direct * paths.at_holidays(step.number)[0][:, None, None]
        for states in others:
            mine = apportion(states)
            loss.add_rows(mine, states.sample, states.state)
            concentration = paths.concentration(states.interface)[:, None, None]
            add_rows(local, states.sample, mine.direct * concentration)
        charges = [each for states in sets for each in source_charges(states)]
        first, inner = loss.history(0), self.inputs.zones.inner[self.rows]
        natures = [
            PartNature(
                paths,
                step.number,
                natural[k],
                paths.parts[step.first + k].bare,
                inner * (end - start)[:, None],
                first.part(k),
            )
            for k, (start, end) in enumerate(step.spans())
        ]
        return natures, rest_of(natures), sets, charges, loss, local, become

    def _apportion(
        self,
        paths: CurrentPaths,
        step: Step,
        of_all: tuple[Array, Array],
        states: StateSet,
    ) -> StepLoss:
        """Net some states; ``of_all``: what nature and own metals do in all [A/m²]."""
        wet, sample, (rate, own) = paths.wet, states.sample, of_all
        fraction = self.inputs.zones.fraction[self.rows][:, wet]
        held = paths.held(step.number)
        kind: dict[str, list[CurrentSource]] = {"dc": [], "ac": []}
        for leak, source in states.sources:
            kind[leak.current].append(source)
        return net_and_apportion(
            states.duration,
            natural=rate[sample],
            protection=self.inputs.protection[self.rows][:, wet][sample],
            held=None if held is None else held.row(sample),
            steady={COUPLE: states.couple, OWN_METALS: own[sample]},
            sources=(kind["dc"], kind["ac"]),
            fraction=fraction[sample],
            through=(
                states.through,
                paths.total_over_bare_current(step.number)[1][sample],
            ),
            by_state=self.compared,
            to_kg=(paths.kg_per_charge * paths.bare)[:, wet][sample]
            if paths.counted
            else None,
            path=states.path,
        )

    def _charge_faults(self, paths: CurrentPaths, loss: StepLoss) -> None:
        """Add what a step took to the accounts of faults."""
        kept, rows, wet = self.history, self.rows, paths.wet
        kept.peak[rows, wet] = np.maximum(kept.peak[rows, wet], loss.peak)
        for faults, took, spared, by_zone in loss.by_fault:
            kept.fault_kg[rows, faults] += took
            kept.fault_spared_kg[rows, faults] += spared
            self.charged[np.ix_(faults, wet)] += by_zone

    def _eat_anodes(
        self, paths: CurrentPaths, states: StateSet, duration: Array
    ) -> None:
        """Take from the anodes what couple and faults drew in some states."""
        if states.eaten is not None and isinstance(paths, ProtectedPaths):
            couple, faults = (amps * duration for amps in states.eaten)
            charge = {"shore couple": couple, "faults": faults}
            paths.eat(states.sample, charge, id(self))

    def save_state(self, moment: float, shared: dict[int, Array]) -> None:
        """Record the state at a moment; ``shared``: how bare zones are."""
        at = np.flatnonzero(self.history.moments == moment)
        if not at.size:
            return
        kept, rows, k, depth = self.history, self.rows, int(at[0]), self.depth
        for name in DEPTHS:
            getattr(kept, name)[rows, k] = getattr(depth, name)
        kept.since[rows, k] = depth.since_as_pits
        zones = self.inputs.zones
        if id(zones) not in shared:
            shared[id(zones)] = zones.bare(moment - _BEFORE, rows)
        kept.bare[rows, k] = shared[id(zones)]
        kept.multiplied[:, rows, k] = self._multiplied
        for name, account in kept.causes.items():
            account[rows, k] = getattr(kept, f"{name}_kg")[rows]
        if moment == self.inputs.time_grid.as_of:
            kept.spot[rows] = depth.worn + depth.since
            kept.taken_spot[rows] = depth.taken_worn + depth.taken_since
