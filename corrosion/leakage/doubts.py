"""What in the readings of faults cannot be, and what their dates leave open."""

from dataclasses import replace

from corrosion.foundation.kept_objects import kept
from corrosion.leakage.conditions import (
    LEAST_SEEN,
    evidence_for_system,
    occasions,
    seen_share,
)
from corrosion.leakage.dated_states import berth_at
from corrosion.leakage.durations import DurationLaws
from corrosion.leakage.inference.concurrent import crowded
from corrosion.leakage.inference.consistency import contradictions
from corrosion.leakage.inference.evidence import is_direct
from corrosion.leakage.standing_times import unwritten_clearings
from corrosion.records.dates import day_of
from corrosion.records.ship import Fault, Ship, System


def reading_doubts(ship: Ship) -> list[str]:
    """Return what in the readings of her faults cannot be, in words.

    Returns
    -------
    list of str
        Readings that no fault gives or that contradict one another in one state; a
        written sign that its conductor does not give; so many faults at once that they
        cannot be inferred together. Kept by all but gaugings.
    """
    decides = replace(ship, gaugings=(), hunts=(), doubts=(), folder=None)
    key = ("reading doubts", decides)
    return kept(key, lambda: _reading_doubts(ship), lines=True)


def _reading_doubts(ship: Ship) -> list[str]:
    words: list[str] = []
    for system in ship.systems:
        crowd = crowded(evidence_for_system(ship, system).evidence)
        if crowd:
            words.append(
                f"faults.csv: {crowd} faults of {system.name} were read while others "
                "stood: each is weighed with what is known of the others, and what its "
                "readings tell of those is not used, so their resistances stay wide; "
                "open the switch of a group and read again rather than one by one"
            )
    for fault in ship.faults:
        if fault.source == "ground fault" and fault.system is not None:
            words += _of_fault(ship, fault, ship.system(fault.system))
            words += _unseen(ship, fault, ship.system(fault.system))
    return words


def _of_fault(ship: Ship, fault: Fault, system: System) -> list[str]:
    where = f"faults.csv:{fault.line}: fault {fault.fault}"
    words = []
    for moment, evidence in occasions(ship, fault, system):
        day = "" if moment == fault.found.middle else f" on {day_of(moment)}"
        found = contradictions(system, evidence, assumptions=ship.assumptions)
        words += [f"{where}{day}: {one}" for one in found]
        for readings in evidence.readings:
            amps, conductor = readings.amps, readings.conductor
            direct = system.current == "dc" and not is_direct(system, readings)
            if direct and amps is not None and amps < 0.0 and conductor == "+":
                words.append(
                    f"{where}{day}: amps: {amps:g} A on conductor + flows out of the "
                    "steel, which + cannot drive; write the conductor - or no sign"
                )
    return words


def _unseen(ship: Ship, fault: Fault, system: System) -> list[str]:
    """Return clamps round what carries nothing of a fault's current."""
    return [
        f"readings.csv:{row.line}: clamped: the {row.clamped} carried nothing of fault "
        f"{fault.fault}, since no shore supply tied {system.name} to earth or no "
        "conductor was connected: the reading is not used; check date, berth and what "
        "was clamped"
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
    ship : Ship
        The ship.
    laws : DurationLaws
        Of her systems.
    as_of : float
        Date of the estimate. [s]

    Returns
    -------
    list of str
        Sentences with file and line.
    """
    return [
        f"faults.csv:{fault.line}: cleared: fault {fault.fault} was found longer ago "
        "than faults of its system stand but for one in twenty: it is taken as cleared "
        "at a time that nobody wrote; write the date in cleared, or yes or no in "
        "standing"
        for fault, stands in unwritten_clearings(ship, laws, as_of)
        if not stands
    ]
