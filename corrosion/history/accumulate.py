"""Losses of one scenario for a block of samples, while time goes on."""

from functools import partial

import numpy as np

from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.history.compared import StepMass
from corrosion.history.depth import DepthLoss
from corrosion.history.inputs import ModelInputs
from corrosion.history.loss import COUPLE, DEPTHS, OWN_METALS, LossHistory
from corrosion.history.natural_rate import NaturalCharge
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
from corrosion.wastage.metals import metal
from corrosion.wastage.step_loss import StepLoss, add_rows

_BEFORE = 1.0  # a painting at a moment has not yet been when the moment is recorded [s]


StepBegun = tuple[BoolArray, Array | None]
"""What is painted as a step begins, and how bare it was; None: nothing is done."""

StepTaken = tuple[
    NaturalCharge, list[StateSet], list[SourceCharge], StepLoss, Array, IntArray | None
]
"""What a step took by nature, its states and charges, what all scenarios of a ship lost
there, and what direct currents did at a spot; of a crowd, what each state has become.
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
        self._density = np.array([metal(z.metal).density for z in inputs.ship.zones])
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
        """Add what one berth took from every zone during a step.

        Returns it where it is to be compared with another scenario's. ``taken`` is what
        all scenarios of this ship took, of which this is the one numbered ``mine``;
        ``which`` are the states of its stretches.
        """
        natural, sets, charges, losses, local, become = taken
        loss, lasts = losses.history(mine), (step.end - step.start)[:, None]
        inside = self.inputs.zones.inner[self.rows] * lasts
        if paths.counted:
            for charge in charges:
                charge.add_to(self.history, self.rows, mine)
            for states in sets:
                duration = states.duration[:, mine]
                self._eat_anodes(paths, states, duration)
                if states.nonlinear:
                    seconds = self.history.nonlinear_seconds[self.rows, step.stay]
                    np.add.at(seconds, states.sample, duration[:, 0])
            self._add_mass(paths, natural, loss, inside)
        self._reduce_thickness(paths, step, natural, loss, (local[:, mine], inside))
        if not (self.compared and paths.counted):
            return None
        if become is not None:
            which = np.take_along_axis(become, which, axis=1)
        return self._mass(paths, (natural, loss, inside), which)

    def taken(self, paths: CurrentPaths, step: Step) -> StepTaken:
        """Return what nature and currents take in a step, and direct ones at a spot."""
        natural = paths.natural(step.number, (step.start, step.end))
        sets, become = state_sets(paths.inputs, self.rows, paths, step)
        apportion = partial(self._apportion, paths, step, natural)
        linear, *others = sets
        parts = like_samples(linear)
        loss = StepLoss.joined(
            [apportion(part) for part in parts],
            [part.sample for part in parts],
            len(linear.state),
        )
        # at holidays each state counts by the interface that it has there
        local = loss.direct * paths.at_holidays(step.number)[0][:, None]
        for states in others:
            mine = apportion(states)
            loss.add_rows(mine, states.sample, states.state)
            concentration = paths.concentration(states.interface)[:, None]
            add_rows(local, states.sample, mine.direct * concentration)
        charges = [each for states in sets for each in source_charges(states)]
        return natural, sets, charges, loss, local, become

    def _apportion(
        self, paths: CurrentPaths, step: Step, natural: NaturalCharge, states: StateSet
    ) -> StepLoss:
        wet, sample = paths.wet, states.sample
        span = (step.end - step.start)[:, None]
        mean = natural.mean[:, wet]
        rate = np.divide(mean, span, out=np.zeros_like(mean), where=span > 0.0)
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
            steady={
                COUPLE: states.couple,
                OWN_METALS: paths.own_metals(step.number)[sample],
            },
            sources=(kind["dc"], kind["ac"]),
            fraction=fraction[sample],
            through=(
                states.through,
                paths.total_over_bare_current(step.number)[1][sample],
            ),
            by_state=self.compared,
            to_kg=self._to_kg(paths)[:, wet][sample] if paths.counted else None,
            path=states.path,
        )

    def _to_kg(self, paths: CurrentPaths) -> Array:
        """Return kilograms per charge a square metre of bare steel, (samples, z)."""
        area = paths.bare * self.inputs.hull.body.area
        return np.asarray(self._density / self.inputs.dissolution * area)

    def _reduce_thickness(
        self,
        paths: CurrentPaths,
        step: Step,
        natural: NaturalCharge,
        loss: StepLoss,
        apart: tuple[Array, Array],
    ) -> None:
        """Take the loss of a step off every zone, in the mean and at bare spots.

        ``apart``: what direct currents take at small holidays [C/m²], and what the
        inner faces lose. [m]
        """
        local, inside = apart
        wet, dissolution = paths.wet, self.inputs.dissolution
        outer, taken, spot, taken_spot = np.zeros((4, *natural.mean.shape))
        outer[:], spot[:] = natural.mean, natural.spot
        age = np.divide(
            natural.spot, natural.mean, out=np.ones_like(spot), where=natural.mean > 0.0
        )[:, wet]
        base = loss.natural - loss.protection_spared
        direct, alternating = paths.at_holidays(step.number)
        taken[:, wet] = loss.taken
        outer[:, wet] = base + loss.taken - loss.spared
        local = local + loss.alternating * alternating
        taken_spot[:, wet] = local
        left = np.maximum(base - np.minimum(loss.spared * direct, base), 0.0)
        spot[:, wet] = left * age + local
        bare = paths.bare
        self.depth.add(
            (outer / dissolution * bare, taken / dissolution * bare),
            (spot / dissolution, taken_spot / dissolution),
            inside,
            bare,
        )
        times = np.array(MULTIPLIERS)[:, None, None]
        multiplied = times * natural.mean
        extra = loss.taken - loss.direct - loss.alternating  # beneath the paint
        multiplied[:, :, wet] = loss.multiplied.swapaxes(0, 1) + extra
        self._multiplied += multiplied / dissolution * bare + inside

    def _add_mass(
        self, paths: CurrentPaths, natural: NaturalCharge, loss: StepLoss, inside: Array
    ) -> None:
        """Add the mass of a step to the accounts of causes and faults."""
        kept, rows, wet = self.history, self.rows, paths.wet
        to_kg = self._to_kg(paths)
        kept.natural_sea_kg[rows] += natural.mean * to_kg
        area = self._density * self.inputs.hull.body.area
        kept.natural_inside_kg[rows] += inside * area
        to_kg = to_kg[:, wet]
        kept.protection_spared_kg[rows, wet] += loss.protection_spared * to_kg
        kept.spared_kg[rows, wet] += loss.spared * to_kg
        steady = (COUPLE, kept.couple_kg), (OWN_METALS, kept.own_metals_kg)
        for name, account in steady:
            if name in loss.steady:
                account[rows, wet] += loss.steady[name][0] * to_kg
        kept.peak[rows, wet] = np.maximum(kept.peak[rows, wet], loss.peak)
        kept.faults_kg[rows, wet] += loss.faults * to_kg
        for faults, took, spared, by_zone in loss.by_fault:
            kept.fault_kg[rows, faults] += took
            kept.fault_spared_kg[rows, faults] += spared
            self.charged[np.ix_(faults, wet)] += by_zone

    def _mass(
        self,
        paths: CurrentPaths,
        losses: tuple[NaturalCharge, StepLoss, Array],
        which: IntArray,
    ) -> StepMass:
        natural, loss, inside = losses
        to_kg = self._to_kg(paths)
        rest = natural.mean * to_kg
        rest[:, paths.wet] = 0.0
        rest += inside * self._density * self.inputs.hull.body.area
        return StepMass(loss.lost, to_kg[:, paths.wet], which, rest)

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
