"""The hunt sheet of a ship's system: her circuits, her log, and the cautions."""

from dataclasses import asdict
from functools import reduce
from typing import Any, Final

from corrosion.foundation.errors import InputError
from corrosion.inspection import cautions
from corrosion.inspection.fault_finding.acts import HuntSheet
from corrosion.inspection.fault_finding.circuit_tree import HuntCircuit
from corrosion.inspection.fault_finding.permits import (
    ASK,
    NOBODY,
    VITAL_WORDS,
    Permits,
    names_vital,
)
from corrosion.inspection.fault_finding.probabilities import Chances, Seen, chances
from corrosion.inspection.fault_finding.search import (
    after_clamp,
    after_half,
    after_result,
)
from corrosion.inspection.fault_finding.steps import hunt_sheet
from corrosion.records.ship import Circuit, Ship, ShipLies

_MINUTES: Final = ("minutes_to_open", "minutes_to_test", "minutes_to_clamp")
CAUTIONS: Final = {
    "look": cautions.LOOK,
    "clamp": cautions.CLAMP,
    "open": f"{cautions.OPEN} {cautions.VITAL}",
    "test": cautions.TEST,
    "end": cautions.OPENED,
}
"""The caution that stands before each kind of act, and at the end of the hunt."""


def circuits_of(ship: Ship, system_name: str | None) -> dict[str, Circuit]:
    """Return the circuits of a system by name: as written, then those of the log.

    None: of what belongs to no system.
    """
    found = {row.circuit: row for row in ship.circuits if row.system == system_name}
    for fault in ship.faults:
        name = fault.circuit
        if fault.system == system_name and name is not None and name not in found:
            found[name] = Circuit(system=system_name or "", circuit=name)
    return found


def hunt_circuits(
    ship: Ship, system_name: str, *, as_of: float, seen: Seen | None = None
) -> tuple[tuple[HuntCircuit, ...], Chances]:
    """Return every circuit of a system with its chance to hold the fault.

    Parameters
    ----------
    ship : Ship
        Her circuits and her log.
    system_name : str
        The system whose lamps show the fault.
    as_of : float
        The present, from 1970-01-01 00:00. [s]
    seen : Seen, optional
        The conductor on the lamps, and recent work.

    Returns
    -------
    circuits : tuple of HuntCircuit
        Those of circuits.csv, then those that only the log names: of these the
        engineer of the watch is asked.
    chances : Chances
        What the chances rest on.

    Raises
    ------
    LookupFailed
        If there is no such system, conductor or circuit.
    InputError
        If the system has no circuit.
    """
    system = ship.system(system_name)
    written = circuits_of(ship, system_name)
    known = chances(
        system,
        tuple(written),
        ship.faults,
        as_of=as_of,
        seen=seen,
        assumptions=ship.assumptions,
    )
    usual = {name: ship.assumptions.value(name) for name in _MINUTES}
    alike = ("permission", "fed_from", "open_when", "spare_of", "test")
    circuits = []
    for row, chance in zip(written.values(), known.chance, strict=True):
        told = {name: getattr(row, name) for name in _MINUTES}
        to_open, to_test, to_clamp = (
            usual[name] if minutes is None else minutes
            for name, minutes in told.items()
        )
        guess = row.vital is None and names_vital(row.circuit)
        circuits.append(
            HuntCircuit(
                circuit=row.circuit,
                chance=float(chance),
                minutes=to_open + to_test,
                minutes_to_open=to_open,
                minutes_to_clamp=to_clamp,
                vital=guess or bool(row.vital),
                guessed=guess,
                **{name: getattr(row, name) for name in alike},
            )
        )
    return tuple(circuits), known


def suspects(
    circuits: tuple[HuntCircuit, ...], seen: Seen, *, shows: float
) -> tuple[HuntCircuit, ...]:
    """Return the circuits that may still hold the fault after what was done.

    Parameters
    ----------
    circuits : tuple of HuntCircuit
        All of the system.
    seen : Seen
        What was clamped and opened.
    shows : float
        Chance that a clamp shows a fault that the feeder carries. [-]

    Returns
    -------
    tuple of HuntCircuit
        What is left, chances summing to one.

    Raises
    ------
    InputError
        If what was opened rules out every one.
    """
    left: tuple[HuntCircuit, ...] = reduce(after_half, seen.among, circuits)
    opened = [(name, False) for name in seen.stayed]
    opened += [(seen.gone, True)] if seen.gone is not None else []
    for name, cleared in opened:
        if name in [row.circuit for row in left]:  # else ruled out with its panel
            left = after_result(left, name, cleared=cleared)
        elif cleared:
            left = ()
    clamped = [(name, False) for name in seen.silent]
    clamped += [(seen.shown, True)] if seen.shown is not None else []
    for name, shown in clamped:
        if name in [row.circuit for row in left]:
            left = after_clamp(left, name, shown=shown, shows=shows)
        elif shown and seen.gone is None:
            left = ()
    if not left:
        msg = (
            "what was opened rules out every circuit: the fault lies on one that is "
            "not listed, on the switchboard itself, or there are two; close what was "
            "opened and begin anew."
        )
        raise InputError(msg)
    return left


def hunt_table(
    ship: Ship,
    system_name: str,
    *,
    lies: ShipLies,
    as_of: float,
    seen: Seen | None = None,
) -> dict[str, Any]:
    """Return the hunt sheet as plain rows, for the command line and for JSON.

    Parameters
    ----------
    ship, system_name
        As :func:`hunt_circuits`.
    lies : {'under way', 'alongside', 'dead ship'}
        How the ship lies: only what may be opened so is offered.
    as_of, seen
        As :func:`hunt_circuits`.

    Returns
    -------
    dict
        ``left`` (what may still hold the fault), ``open`` (what stands open, on top
        until it is closed), ``order`` (a row an
        act), ``withheld`` (what is not proposed to be opened, and why),
        ``offered_chance``, ``expected_minutes``, ``expected_minutes_by_list``,
        ``expected_minutes_halving`` (None: not offered), ``halving``, ``no_halving``,
        ``minutes_90``, ``without_permission`` (names), ``free_chance``, ``notes`` and
        ``cautions`` (by act).

    Raises
    ------
    LookupFailed
        If there is no such system, conductor or circuit.
    InputError
        If the system has no circuit, its circuits feed each other in a loop, or what
        was opened rules out every one.
    """
    known_of = seen or Seen()
    circuits, known = hunt_circuits(ship, system_name, as_of=as_of, seen=seen)
    rules = Permits.of(
        circuits,
        lies,
        opened=known_of.opened,
        agreed=known_of.agreed,
        assumptions=ship.assumptions,
    )
    shows = ship.assumptions.value("clamp_shows_chance")
    left = suspects(circuits, known_of, shows=shows)
    clamped = (*known_of.silent, *filter(None, [known_of.shown]))
    sheet = hunt_sheet(left, rules, clamped=clamped, gone=known_of.gone)
    free = [a for a in sheet.acts if a.act == "open" and a.permission == NOBODY]
    each = {row.circuit: row.chance for row in left}
    return {
        "lies": lies,
        "left": [{"circuit": n, "chance": chance} for n, chance in each.items()],
        "open": [
            {
                "circuit": name,
                "also_stops": list(rules.below(name)),
                "permission": rules.permission(name),
            }
            for name in known_of.opened
        ],
        "order": [asdict(a) | {"also_stops": list(a.also_stops)} for a in sheet.acts],
        "withheld": [asdict(row) for row in sheet.withheld],
        "offered_chance": sheet.offered_chance,
        "expected_minutes": sheet.expected_minutes,
        "expected_minutes_by_list": sheet.expected_by_list,
        "expected_minutes_halving": None
        if sheet.halving is None
        else sheet.halving.expected_minutes,
        "halving": None
        if sheet.halving is None
        else asdict(sheet.halving) | {"first": list(sheet.halving.first)},
        "no_halving": sheet.no_halving,
        "minutes_90": sheet.minutes_90,
        "without_permission": [a.circuit for a in free],
        "free_chance": sum(each[a.circuit] for a in free if a.circuit is not None),
        "notes": _notes(known, circuits, sheet),
        "cautions": dict(CAUTIONS),
    }


def _notes(
    known: Chances, circuits: tuple[HuntCircuit, ...], sheet: HuntSheet
) -> list[str]:
    notes = [known.note]
    opens = [act for act in sheet.acts if act.act == "open"]
    asked: dict[str, list[str]] = {}
    for act in opens:
        if act.permission != NOBODY:
            watch = act.permission == ASK
            who = "the engineer of the watch" if watch else act.permission
            asked.setdefault(who, []).append(str(act.circuit))
    notes += [
        f"Ask {who} before opening: {', '.join(names)}." for who, names in asked.items()
    ]
    guessed = [row.circuit for row in circuits if row.guessed]
    if guessed:
        notes.append(
            f"Guessed to be vital by their names: {', '.join(guessed)}. Write yes or "
            "no under vital in circuits.csv. Words that count: "
            f"{', '.join(VITAL_WORDS)}."
        )
    if any(act.panel_first for act in opens):
        notes.append(
            "A panel is opened first: where the indication goes with it, go on below "
            "it; where it stays, pass over all that it feeds."
        )
    return notes
