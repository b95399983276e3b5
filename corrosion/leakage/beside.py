"""Who may have stood beside a fault of a system as it was read, sample by sample."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from corrosion.foundation.assumptions import Assumptions
from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.foundation.units import DAY, HOUR
from corrosion.leakage.conditions import SystemEvidence
from corrosion.leakage.double_faults import stood_together
from corrosion.leakage.durations import Duration
from corrosion.leakage.earthed_stays import DrawnFaults
from corrosion.leakage.fault_pool import most_amps
from corrosion.leakage.inference.evidence import Perhaps
from corrosion.leakage.inference.instruments import Instruments
from corrosion.leakage.inference.inverse_cdf import reuse, sample_cell
from corrosion.leakage.inference.scenes import Scenes, scene_cells, scene_chance
from corrosion.leakage.inference.single import (
    GOLDEN,
    FaultSamples,
    grid_place,
    sample,
    sample_later,
)
from corrosion.records.ship import Fault, Ship, System

_SCENES, _FEWEST, _WORK = 128, 16, 4096  # of a fault: at most, at least, and of all
_SURE = 0.02  # chance below which, or above whose rest, it is taken as certain
_TOGETHER = 8  # faults that hang together: so many certain ones are inferred jointly


@dataclass(frozen=True, slots=True)
class Beside:
    """When the faults of one system may have stood, and what that says of readings."""

    # ship, system, said: the ship, the system, and what was read of its faults
    ship: Ship
    system: System
    said: SystemEvidence
    # found, ended, shape (samples, faults): when each was found, and ended, by its
    # dates and by how long faults stand [s]
    found: Array
    ended: Array
    read: Array  # shape (samples, faults): when each was first read [s]
    # shape (samples, faults): by how many standard deviations each had wandered as
    # another was read [-]
    score: Array
    # shape (samples, faults): the most that each passes without opening its branch [A]
    most: Array

    @classmethod
    def of(
        cls, ship: Ship, system: System, said: SystemEvidence, draws: Draws
    ) -> "Beside":
        """Draw it."""
        law = _usual_response(draws.assumptions)
        faults = [ship.faults[k] for k in said.places]
        shape = draws.samples, len(faults)
        found, ended, score = (np.empty(shape) for _ in range(3))
        opens = np.full((draws.samples, len(ship.faults)), 0.5)
        for k, fault in enumerate(faults):
            rng = draws.generator(f"beside {fault.fault}")
            uniform = rng.random((2, draws.samples))
            first, last = said.parts[k][0], said.parts[k][-1]
            found[:, k] = first.start + uniform[0] * (last.end - first.start)
            ended[:, k] = _ended(fault, found[:, k], law, uniform[1])
            score[:, k] = rng.standard_normal(draws.samples)
            opens[:, said.places[k]] = rng.random(draws.samples)
        most = most_amps(ship, draws, opens)[:, said.places]
        read = found.copy()
        for k, at in enumerate(said.moment):
            if at is not None:
                read[:, k] = at
        return cls(ship, system, said, found, ended, read, score, most)

    def stand(self, found: FaultSamples, some: Sequence[int]) -> None:
        """Leave some faults what can have stood beside the others, in place.

        Of low resistances on different conductors one would have opened its branch:
        beside those a reading would be weighed in scenes that cannot have been.
        """
        faults = [self.ship.faults[k] for k in self.said.places]
        at = stood_together(self.ship, self.system, faults, self.said.wander)
        if at is None:
            return
        drawn = DrawnFaults(
            found.resistance, found.pole, self.score, self.most,
            np.zeros(found.resistance.shape),
        )  # fmt: skip
        chosen = at.stood(drawn)
        for k in some:
            for one in (found.resistance, found.pole):
                one[:, k] = one[chosen[:, k], k]

    def uncertain(self) -> list[int]:
        """Return the faults that are weighed in scenes, in the order of their readings.

        Those that hang together with one beside which it is not certain who stood, or
        with too many. Others are inferred jointly with those beside them.
        """
        count = len(self.said.places)
        evidence = self.said.evidence
        links = np.zeros((count, count), dtype=np.bool_)
        doubted = np.zeros(count, dtype=np.bool_)
        for k, one in enumerate(evidence):
            if one.depends_on_others:
                chance = self.stood(k, self.read[:, k]).mean(axis=0)
                links[k] = chance > _SURE
                doubted[k] = (links[k] & (chance < 1.0 - _SURE)).any()
        links |= links.T
        left, found = set(range(count)), []
        while left:
            group, new = set(), {left.pop()}
            while new:
                group |= new
                new = set(np.flatnonzero(links[list(new)].any(axis=0)).tolist()) - group
            left -= group
            members = list(group)
            if len(group) > 1 and (doubted[members].any() or len(group) > _TOGETHER):
                found += members
        moment = self.found.mean(axis=0)
        return sorted(found, key=lambda k: (moment[k], k))

    def scenes(
        self, k: int, at: Array, ways: Sequence[Perhaps], known: "Known"
    ) -> tuple[Scenes, IntArray]:
        """Return scenes of one hour of a fault, and which samples they are of."""
        rows = np.linspace(0, len(at) - 1, min(known.scenes, len(at))).astype(np.int64)
        stood = self.stood(k, at[rows], rows)
        away = np.abs(at[rows, None] - self.read[rows])
        _, sd = self.said.wander.over(away, np.zeros(away.shape))
        ohms = known.found.resistance[rows] * np.exp(sd * self.score[rows])
        pole = known.found.pole[rows, :, None]
        on = pole == np.arange(len(self.system.conductors))
        return Scenes(
            healthy=(known.healthy[0][rows], known.healthy[1][rows]),
            load=((stood / ohms)[:, :, None] * on).sum(axis=1),
            state=np.zeros(len(rows), dtype=np.int64),
            ways=ways,
        ), rows

    def stood(
        self, k: int, at: Array, rows: IntArray | slice = slice(None)
    ) -> BoolArray:
        """Return which others stood at a moment of some samples, (rows, faults)."""
        stood = (self.found[rows] <= at[:, None]) & (at[:, None] < self.ended[rows])
        stood[:, k] = False
        return stood


@dataclass(frozen=True, slots=True)
class Known:
    """What is known of a system while its faults are inferred one after another."""

    # all faults, those weighed in scenes as what depends on no other leaves them until
    # their turn comes
    found: FaultSamples
    # shape (samples,): capacitance and insulation of each conductor to hull [F], [Ω]
    healthy: tuple[Array, Array]
    tools: Instruments  # how far to trust what was read
    weighed: int  # how many faults are weighed in scenes

    @property
    def scenes(self) -> int:
        """In how many scenes each is weighed: the more there are, the fewer."""
        return min(_SCENES, max(_FEWEST, _WORK // max(self.weighed, 1)))


def infer_beside(
    beside: Beside, k: int, known: Known, uniform: Mapping[str, Array]
) -> tuple[IntArray | None, list[tuple[float, Array]]]:
    """Infer one fault in scenes; its samples are changed in place.

    Parameters
    ----------
    beside : Beside
    k : int
        Its position in the system's evidence.
    known : Known
    uniform : mapping of str to ndarray, shape (samples, faults)
        Columns ``ohms``, ``amps`` and ``later``. [-]

    Returns
    -------
    part : ndarray of int, shape (samples,), or None
        In which part of its date it was found; None: there is only one.
    later : list of (float, ndarray)
        Moment and resistance at each further hour of reading. [s], [Ω]
    """
    system, tools, found = beside.system, known.tools, known.found
    one = beside.said.evidence[k]
    fault = beside.ship.faults[beside.said.places[k]]
    parts = beside.said.parts[k]
    at = beside.read[:, k]
    ways = [Perhaps(1.0, one.tie, one.fed)]
    scenes, rows = beside.scenes(k, at, ways, known)
    if beside.said.moment[k] is None:
        ways = [Perhaps(1.0, part.tie, part.fed) for part in parts]
        starts = np.array([part.start for part in parts[1:]])
        scenes = replace(
            scenes, ways=ways, state=np.searchsorted(starts, at[rows], side="right")
        )
    first = scene_chance(system, one, scenes, tools)
    last = fault.found.latest if fault.ended is None else fault.ended.earliest
    if fault.standing is True or last > fault.found.latest + DAY:
        # It stood: what would have opened its branch beside those others was not there.
        passed = scenes.amps(system, one.conductor) <= beside.most[rows, k, None, None]
        hardly = beside.ship.assumptions.value("sustained_otherwise_chance")
        first *= np.where(passed, 1.0, hardly)
    further = []
    for each in one.further:
        then = each.evidence
        ways = [Perhaps(1.0, then.tie, then.fed)]
        there, _ = beside.scenes(k, np.full(len(at), each.moment), ways, known)
        further.append(
            (each.apart, scene_chance(system, then, there, tools, one.conductor))
        )
    cells = scene_cells(system, one, first, further, tools)
    nothing = np.zeros(len(at), dtype=np.int64)
    mine = sample(cells, nothing, uniform["ohms"][:, k : k + 1])
    found.resistance[:, k] = mine.resistance[:, 0]
    found.pole[:, k] = mine.pole[:, 0]
    part = None
    if len(parts) > 1:
        rank = np.argmax(cells.conductors == mine.pole, axis=1)
        likely = first[:, rank, grid_place(mine.resistance[:, 0])].T
        scene, _ = sample_cell(likely, reuse(uniform["amps"][:, k]))
        part = scenes.state[scene]
    later = [
        (
            each.moment,
            sample_later(
                mine,
                (said.mean(axis=0)[:, None], cells.conductors),
                each.apart,
                nothing,
                (uniform["later"][:, k] + GOLDEN * number) % 1.0,
            ),
        )
        for number, (each, (_, said)) in enumerate(
            zip(one.further, further, strict=True)
        )
    ]
    return part, later


def _usual_response(table: Assumptions) -> Duration:
    """Return the response of any ship's fault."""
    row, one = table["response_hours"], table["response_spread"]
    spread = np.hypot(np.log(row.geometric_sd), one.median)
    return Duration(np.array([np.log(row.median * HOUR)]), np.array([spread]))


def _ended(fault: Fault, found: Array, law: Duration, uniform: Array) -> Array:
    """Return when a fault ended, as far as it says, (samples,) [s]."""
    end = fault.ended
    if end is not None:
        low, high = (np.maximum(at - found, 0.0) for at in (end.earliest, end.latest))
        return found + law.sample(uniform, low, high)
    if fault.standing:
        return np.full(found.shape, np.inf)
    return found + law.sample(uniform)
