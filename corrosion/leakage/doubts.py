"""What in the readings of faults cannot be, and what their dates leave open."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from corrosion.foundation.data_files import sentences
from corrosion.foundation.kept_objects import kept
from corrosion.foundation.units import HOUR
from corrosion.leakage.conditions import LEAST_SEEN, evidence_for_system, seen_share
from corrosion.leakage.dated_states import berth_at
from corrosion.leakage.durations import DurationLaws
from corrosion.leakage.inference.concurrent import crowded
from corrosion.leakage.inference.consistency import contradictions
from corrosion.leakage.inference.evidence import Evidence, is_direct
from corrosion.leakage.standing_times import unwritten_clearings
from corrosion.records.as_of import without_gaugings
from corrosion.records.dates import day_of
from corrosion.records.ship import Fault, Ship, System

# Beside more, what the others did to a reading is not known well enough to say that it
# cannot be: of 260 simulated faults in a crowd some 200 sound readings were so doubted.
_BESIDE: Final = 8

_SAID: Final = sentences(__file__, "doubts.toml")
_COLUMNS: Final = {
    "clamp reading": "amps",
    "insulation test": "insulation_ohm",
    "insulation monitor": "monitor_ohm",
    "the lamps": "lamp_a",
}


def reading_doubts(ship: Ship) -> list[str]:
    """Return what in the readings of her faults cannot be, in words.

    Readings that no fault gives or that contradict one another in one state; a written
    sign that its conductor does not give; so many faults at once that they cannot be
    inferred together. Kept by all but gaugings.
    """
    key = ("reading doubts", without_gaugings(ship))
    return kept(key, lambda: _reading_doubts(ship), lines=True)


def _reading_doubts(ship: Ship) -> list[str]:
    words: list[str] = []
    found: dict[int, list[str]] = {}
    for system in ship.systems:
        read = evidence_for_system(ship, system)
        crowd = crowded(read.evidence)
        if crowd:
            words.append(_SAID["crowd"].format(crowd=crowd, name=system.name))
        for k, each, hours in zip(read.places, read.evidence, read.hours, strict=True):
            fault, alone = ship.faults[k], not crowd or len(each.beside) <= _BESIDE
            found[k] = _of_fault(ship, fault, system, hours, alone=alone)
            found[k] += _unseen(ship, fault, system)
    return words + [each for k in sorted(found) for each in found[k]]


def _of_fault(
    ship: Ship,
    fault: Fault,
    system: System,
    hours: Sequence[tuple[float, Evidence]],
    *,
    alone: bool,
) -> list[str]:
    """Return doubts of a fault's readings; of one in a crowd its signs alone."""
    words: list[str] = []
    for moment, evidence in hours:
        rows = _rows(ship, fault, moment, evidence)
        file = "readings.csv" if rows else "faults.csv"
        where = f"{file}:{min(rows, default=fault.line)}"
        day = f" on {day_of(moment)}" if rows else ""
        found: tuple[str, ...] = ()
        if alone:
            found = contradictions(system, evidence, assumptions=ship.assumptions)
        words += [
            _SAID["contradiction"].format(
                where=where, column=_column(one, file), fault=fault, day=day, said=one
            )
            for one in found
        ]
        for readings in evidence.readings:
            amps = readings.amps or 0.0
            direct = system.current == "dc" and not is_direct(system, readings)
            if direct and amps < 0.0 and readings.conductor == "+":
                cells = {"where": where, "fault": fault, "day": day}
                words.append(_SAID["sign"].format(**cells, amps=amps))
    return words


def _rows(ship: Ship, fault: Fault, moment: float, evidence: Evidence) -> list[int]:
    """Return the lines of readings.csv of one hour; none: read in the fault's row."""
    own = fault.readings
    if evidence.readings[:1] in ((own,), (replace(own, amps=None),)):
        return []
    return [
        row.line
        for row in ship.readings
        if row.fault == fault.fault and row.time.middle // HOUR == moment // HOUR
    ]


def _column(words: str, file: str) -> str:
    """Return the column of the reading that a contradiction names first."""
    column = next((name for sign, name in _COLUMNS.items() if sign in words), "")
    if column or file == "readings.csv":
        return column or "volts"
    conductor = words.partition(" V to hull on ")[2][:1]
    name = {"+": "pos", "-": "neg"}.get(conductor, conductor)
    return f"hull_v_{name}"


def _unseen(ship: Ship, fault: Fault, system: System) -> list[str]:
    """Return clamps round what carries nothing of a fault's current."""
    return [
        _SAID["unseen"].format(row=row, fault=fault, name=system.name)
        for row in ship.readings
        if row.fault == fault.fault
        and row.amps is not None
        and seen_share(ship, system, berth_at(ship, row.time.middle), row.clamped)[0]
        < LEAST_SEEN
    ]


def date_doubts(ship: Ship, laws: DurationLaws, as_of: float) -> list[str]:
    """Return a doubt for each fault of which nobody wrote whether it stands.

    Parameters
    ----------
    ship, laws : Ship, DurationLaws
    as_of : float
        Date of the estimate. [s]

    Returns
    -------
    list of str
        Sentences with file and line.
    """
    return [
        _SAID["not cleared"].format(fault=fault)
        for fault, stands in unwritten_clearings(ship, laws, as_of)
        if not stands
    ]
