"""What was read of one fault, and whether a system can have shown it at all."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from corrosion.foundation.errors import InputError
from corrosion.leakage.earthing import FLOATING, Tie
from corrosion.leakage.filament import LampLaw
from corrosion.leakage.inference.forward_model import FaultHypothesis
from corrosion.leakage.inference.grid import SceneGrid, SystemGrid
from corrosion.leakage.neutral_point import conductor_index
from corrosion.records.ship import Readings, System

_OVER = 1.25  # a reading to hull above this share of the line voltage is a slip


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """Everything read in one state of the network, and what else was connected then."""

    # one or more, as with two meters of different input resistance
    readings: tuple[Readings, ...]
    # other faults of the system that stood, known: conductor and resistance [Ω]
    others: tuple[tuple[str, float], ...] = ()
    # how the system was tied to the hull, as by an earthed shore supply
    tie: Tie = FLOATING
    # other faults of the system that stood and are inferred with this one, where the
    # faults of a system are given in a sequence: their positions in it
    beside: tuple[int, ...] = ()
    # for each of ``beside`` how far its resistance may have wandered between its own
    # readings and these: standard deviation of the logarithm; empty: not at all [-]
    apart: tuple[float, ...] = ()
    fed: System | None = None  # the system as it was fed then; None: as it is
    # seen, seen_sd: part of the fault's current that the clamp was round, and its
    # standard uncertainty: round a feeder it misses what returns within, round the
    # earth lead what returns through the water, and round the whole cable it
    # sees only that [-]
    seen: float = 1.0
    seen_sd: float = 0.0
    # what an insulation monitor showed of the whole system [Ω]
    monitor: tuple[float, ...] = ()
    # what was read of the same fault at other hours
    further: tuple["Occasion", ...] = ()
    # every state in which it may have been read, where its date leaves more than one;
    # ``tie`` and ``fed`` are those of the likeliest then
    perhaps: tuple["Perhaps", ...] = ()

    @classmethod
    def of(cls, readings: "Readings | Evidence") -> "Evidence":
        """Return bare readings as evidence, evidence as it is."""
        return readings if isinstance(readings, Evidence) else cls(readings=(readings,))

    @property
    def conductor(self) -> str | None:
        """The first conductor that was written down; None: not known."""
        then = (occasion.evidence.readings for occasion in self.further)
        every = (self.readings, *then)
        return next((r.conductor for some in every for r in some if r.conductor), None)

    @property
    def depends_on_others(self) -> bool:
        """Whether anything was read that other faults of the system bear on."""
        return any(
            r.amps is not None
            or any(r.picture)
            or any(v is not None for v in r.hull_volts)
            for r in self.readings
        )

    def by_state(self) -> "list[tuple[float, Evidence]]":
        """Return chance and evidence of each state in which it may have been read."""
        if not self.perhaps:
            return [(1.0, self)]
        return [
            (one.share, replace(self, tie=one.tie, fed=one.fed, perhaps=()))
            for one in self.perhaps
        ]


@dataclass(frozen=True, slots=True)
class Perhaps:
    """A state in which something may have been read."""

    share: float  # of its date, or of the chance [-]
    tie: Tie  # how the system was tied to the hull
    fed: System | None  # the system as it was fed; None: as it is


@dataclass(frozen=True, slots=True)
class Occasion:
    """Another hour at which a fault was read."""

    moment: float  # when [s]
    # how far its resistance may have wandered from the first reading: standard
    # deviation of the logarithm [-]
    apart: float
    evidence: Evidence  # what was read then; faults beside it as they were tested


def without_others(evidence: Evidence) -> Evidence:
    """Return what of the evidence depends on no other fault."""
    alone = tuple(
        replace(each, amps=None, hull_volts=(), lamps=()) for each in evidence.readings
    )
    return replace(
        evidence, readings=alone, monitor=(), others=(), beside=(), apart=(),
        further=(), perhaps=(),
    )  # fmt: skip


def is_direct(system: System, readings: Readings) -> bool:
    """Return whether a clamp read the direct component of an alternating system."""
    return system.current == "ac" and readings.current == "dc"


def states(
    system: System,
    nodes: SystemGrid | SceneGrid,
    evidence: Evidence,
    law: LampLaw,
    named: str | None = None,
) -> Sequence[FaultHypothesis]:
    """Return one state for each conductor that may be at fault.

    Raises LookupFailed if the system has no such conductor. Raises InputError if a
    reading is impossible on this system.
    """
    for readings in evidence.readings:
        _check(system, readings)
    named = named or evidence.conductor
    in_parallel: dict[str, float] = {}  # on one conductor they are one to all others
    for name, ohms in evidence.others:
        in_parallel[name] = in_parallel.get(name, 0.0) + 1.0 / ohms
    others = tuple((name, 1.0 / siemens) for name, siemens in in_parallel.items())
    return [
        FaultHypothesis(
            system=evidence.fed or system,
            nodes=nodes,
            conductor=conductor_index(system, name),
            others=others,
            tie=evidence.tie,
            law=law,
        )
        for name in (system.conductors if named is None else (named,))
    ]


def _check(system: System, readings: Readings) -> None:
    name, count = system.name, len(system.conductors)
    most = _OVER * system.volts
    volts = [v for v in readings.hull_volts if v is not None]
    wrong = {
        f"hull_volts needs {count} entries": len(readings.hull_volts) not in (0, count),
        f"lamps needs {count} entries": len(readings.lamps) not in (0, count),
        "lamps are noted but the system has none": (
            any(readings.lamps) and system.lamps is None
        ),
        f"volts to hull must not exceed {most:.4g} V, the line voltage and a quarter": (
            not all(abs(v) <= most for v in volts)
        ),
        "meter must be > 0 Ω": not readings.meter > 0.0,
        "insulation must be > 0 Ω": (
            readings.insulation is not None and not readings.insulation > 0.0
        ),
        "amps must be a number": (
            readings.amps is not None and not np.isfinite(readings.amps)
        ),
    }
    for what, bad in wrong.items():
        if bad:
            msg = (
                f"readings on {name!r}: {what}, got {readings}. "
                "Leave blank what was not read."
            )
            raise InputError(msg)
