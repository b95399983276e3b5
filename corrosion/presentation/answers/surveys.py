"""Insulation surveys of a ship by circuit: corrected, with index and trend."""

from collections.abc import Iterable
from typing import Any, Final

from corrosion.foundation.units import MINUTE, YEAR
from corrosion.leakage.insulation_survey import (
    at_reference,
    halving_years,
    polarisation_index,
)
from corrosion.records.dates import day_of
from corrosion.records.ship import Reading, Ship

__all__ = ["survey_rows", "survey_trends"]

_ONE: Final = (0.5 * MINUTE, 2.0 * MINUTE)
_TEN: Final = (8.0 * MINUTE, 12.0 * MINUTE)


def survey_rows(ship: Ship) -> list[dict[str, Any]]:
    """Return every insulation test of a circuit without a fault, the latest first.

    Returns
    -------
    list of dict
        ``date``, ``system``, ``circuit``, ``ohm`` as read, ``celsius`` and
        ``corrected_ohm`` (None where no temperature is written), ``minutes``,
        ``test_volts``, ``index`` (polarisation index; None: not both read), ``by``.
    """
    read = sorted(_surveys(ship), key=lambda row: row.time.middle, reverse=True)
    return [
        {
            "date": day_of(row.time.middle).isoformat(),
            "moment": row.time.middle,
            "system": row.system,
            "circuit": row.circuit,
            "ohm": row.insulation,
            "celsius": row.temperature,
            "corrected_ohm": _corrected(ship, row),
            "minutes": None if row.duration is None else row.duration / MINUTE,
            "test_volts": row.test_volts,
            "index": _index(row, read),
            "by": row.by,
        }
        for row in read
        if not _within(row, _TEN)  # told by the index of its first minute
        or not any(_pair(row, other) for other in read)
    ]


def survey_trends(ship: Ship) -> list[dict[str, Any]]:
    """Return each circuit's last corrected value, and in how many years it halves."""
    circuits: dict[tuple[str | None, str | None], list[dict[str, Any]]] = {}
    for row in survey_rows(ship):
        if row["corrected_ohm"] is not None:
            circuits.setdefault((row["system"], row["circuit"]), []).append(row)
    rows = [
        {
            "system": system,
            "circuit": circuit,
            "surveys": len(some),
            "date": some[0]["date"],
            "corrected_ohm": some[0]["corrected_ohm"],
            "index": some[0]["index"],
            "halving_years": halving_years(
                [row["moment"] / YEAR for row in some],
                [row["corrected_ohm"] for row in some],
            ),
        }
        for (system, circuit), some in circuits.items()
    ]
    return sorted(rows, key=lambda row: row["corrected_ohm"])


def _surveys(ship: Ship) -> Iterable[Reading]:
    for row in ship.readings:
        if row.fault is None and row.circuit is not None and row.insulation is not None:
            yield row


def _corrected(ship: Ship, row: Reading) -> float | None:
    if row.temperature is None or row.insulation is None:
        return None
    at = at_reference(row.insulation, row.temperature, assumptions=ship.assumptions)
    return float(at)


def _within(row: Reading, span: tuple[float, float]) -> bool:
    return row.duration is not None and span[0] <= row.duration <= span[1]


def _pair(ten: Reading, one: Reading) -> bool:
    """Return whether two readings are the tenth and the first minute of one test."""
    same = (ten.system, ten.circuit) == (one.system, one.circuit)
    day = day_of(ten.time.middle) == day_of(one.time.middle)
    return same and day and _within(ten, _TEN) and _within(one, _ONE)


def _index(row: Reading, read: Iterable[Reading]) -> float | None:
    ten = next((other for other in read if _pair(other, row)), None)
    if ten is None or not row.insulation or not ten.insulation:
        return None
    return polarisation_index(row.insulation, ten.insulation)
