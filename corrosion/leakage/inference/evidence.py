"""What was read of one fault, and whether a system can have shown it at all."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from corrosion.foundation.errors import InputError
from corrosion.leakage.inference.forward_model import FaultHypothesis
from corrosion.leakage.inference.grid import SystemGrid
from corrosion.leakage.neutral_point import conductor_index
from corrosion.records.ship import Readings, System

__all__ = ["Evidence", "states"]

_OVER = 1.2  # a reading to hull above this share of the line voltage is a slip


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """Everything read while one fault stood, and what else was connected then.

    Attributes
    ----------
    readings : tuple of Readings
        One or more, as with two meters of different input resistance.
    others : tuple of (str, float)
        Other faults of the system that stood, known: conductor and resistance. [Ω]
    tie : float
        Star point to hull, as through an earthed shore supply. [S]
    beside : tuple of int
        Other faults of the system that stood and are inferred with this one, where
        the faults of a system are given in a sequence: their positions in it.
    """

    readings: tuple[Readings, ...]
    others: tuple[tuple[str, float], ...] = ()
    tie: float = 0.0
    beside: tuple[int, ...] = ()

    @classmethod
    def of(cls, readings: "Readings | Evidence") -> "Evidence":
        """Return bare readings as evidence, evidence as it is."""
        return readings if isinstance(readings, Evidence) else cls(readings=(readings,))

    @property
    def conductor(self) -> str | None:
        """The first conductor that was written down; None: not known."""
        return next((r.conductor for r in self.readings if r.conductor), None)

    @property
    def amps(self) -> float | None:
        """The first clamp reading [A]; None: not measured."""
        return next((r.amps for r in self.readings if r.amps is not None), None)


def states(
    system: System, nodes: SystemGrid, evidence: Evidence
) -> Sequence[FaultHypothesis]:
    """Return one state for each conductor that may be at fault.

    Raises
    ------
    LookupFailed
        If the system has no such conductor.
    InputError
        If a reading is impossible on this system.
    """
    for readings in evidence.readings:
        _check(system, readings)
    named = evidence.conductor
    return [
        FaultHypothesis(
            system=system,
            nodes=nodes,
            conductor=conductor_index(system, name),
            others=evidence.others,
            tie=evidence.tie,
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
        f"volts to hull must not exceed {most:.4g} V, the line voltage and a fifth": (
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
