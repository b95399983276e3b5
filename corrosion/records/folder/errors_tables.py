"""Problems of the rows of single tables: faults, readings, works, anodes, hunts."""

from collections.abc import Iterator, Mapping
from typing import Final

from corrosion.foundation.errors import Problem
from corrosion.records.folder.columns import AnodeRow, FaultRow, HuntRow, ReadingRow
from corrosion.records.folder.folder_tables import Tables, duplicates, unknown_reference
from corrosion.records.folder.row import UNREAD
from corrosion.records.folder.ship_toml_keys import SystemKeys
from corrosion.records.measured import SHORE_CABLE
from corrosion.records.ship import CONDUCTORS, Kind
from corrosion.records.upkeep import EVERYWHERE

_OVERVOLTAGE: Final[Mapping[Kind, float]] = {"ac3": 1.1, "ac1": 1.1, "dc2": 1.25}
"""Of the voltage between conductors: a battery on charge stands above its name."""


def faults(tables: Tables) -> Iterator[Problem]:
    """Yield every problem of faults.csv with names and readings."""
    yield from duplicates("fault", ((row, row.fault) for row in tables.faults))
    for row in tables.faults:
        yield from unknown_reference(row, tables.system_names, "system")
        yield from unknown_reference(row, tables.zone_names, "zone", "return_zone")
        alone, driven = row.system is None, row.source in ("welding", "other")
        read = [v for v in row.hull_volts().values() if v is not None]
        yield from row.findings(
            {
                "stands though cleared": row.standing == "yes" and row.cleared,
                "ground fault of no system": row.source == "ground fault" and alone,
                "source without amps": driven and row.amps is None,
                "source of no current": row.source == "other"
                and row.current is None
                and alone,
                "readings of no system": alone
                and (row.conductor is not None or read or any(row.lamps())),
                "amps below zero": alone
                and row.current == "ac"
                and (row.amps or 0.0) < 0.0,
            }
        )
        yield from _of_system(row, tables.systems.get(row.system or ""))


def readings(tables: Tables) -> Iterator[Problem]:
    """Yield every problem of readings.csv with names and numbers."""
    faults = tables.fault_rows
    known = None if UNREAD in faults else faults
    for row in tables.readings:
        yield from unknown_reference(row, tables.system_names, "system")
        yield from unknown_reference(row, known, "fault")
        if row.system is None and row.fault is None:
            if row.circuit != SHORE_CABLE:
                yield row.finding("reading of nothing")
            elif row.current is None and row.amps is not None:
                yield row.finding("source of no current")
        fault = faults.get(row.fault or "")
        if fault and UNREAD != row.system not in (None, fault.system):
            yield row.finding("fault of another system", of=fault)
        system = tables.systems.get(tables.system_of(row) or "")
        yield from _of_system(row, system)
        if system and system.kind in CONDUCTORS:
            yield from _between(row, system)


def _between(row: ReadingRow, system: SystemKeys) -> Iterator[Problem]:
    """Yield what cannot be of the volts of a reading, and of what they lie between."""
    ends = CONDUCTORS[system.kind]
    if row.to not in (None, UNREAD, *ends, "shore earth"):
        yield row.finding("volts to no conductor", ends=", ".join(ends))
    elif row.to is not None and row.to == row.conductor != UNREAD:
        yield row.finding("volts to itself")
    if row.volts is not None:
        yield from _volts(row, "volts", row.volts, system)


def _of_system(
    row: FaultRow | ReadingRow, system: SystemKeys | None
) -> Iterator[Problem]:
    """Yield conductors, volts, amperes and lamps that the system cannot have."""
    known = CONDUCTORS.get(system.kind) if system else None
    if system is None or known is None:
        return
    ends = ", ".join(known)
    if row.conductor not in (None, UNREAD, *known):
        yield row.finding("no such conductor", of=system, ends=ends)
    hull = row.hull_volts() if isinstance(row, FaultRow) else {}
    for name, volts in ((n, v) for n, v in hull.items() if v is not None):
        key = f"hull_v_{ {'+': 'pos', '-': 'neg'}.get(name, name) }"
        if name not in known:
            cells = {"key": key, "read": volts, "name": name, "ends": ends}
            yield row.finding("volts of no conductor", of=system, **cells)
        else:
            yield from _volts(row, key, volts, system)
    current = row.current or ("dc" if system.kind == "dc2" else "ac")
    if current == "ac" and (row.amps or 0.0) < 0.0:
        yield row.finding("amps below zero")
    lamps = zip("abc", row.lamps(), strict=True)
    for name, lamp in ((n, each) for n, each in lamps if each is not None):
        odd = {
            "lamp of no set": system.lamps is None,
            "third lamp of two": system.lamps and name == "c" and len(known) < 3,
        }
        yield from row.findings(odd, key=f"lamp_{name}", lamp=lamp, of=system)


def _volts(
    row: FaultRow | ReadingRow, key: str, volts: float, system: SystemKeys
) -> Iterator[Problem]:
    most = _OVERVOLTAGE[system.kind] * system.volts
    alternates = system.kind != "dc2" and row.current != "dc"
    high = abs(volts) > most
    wrong = {
        "volts above the system's": high,
        "volts below zero": volts < 0.0 and alternates and not high,
    }
    yield from row.findings(wrong, key=key, read=volts, most=most, of=system)


_LOOKS: Final = ("seen", "left_percent")
_GLANCES: Final = ("stayed", "went")
_RESULTS: Final = {
    "began": ("under way", "alongside", "dead ship"),
    "looked": _GLANCES,
    "opened": (*_GLANCES, "together"),
}


def works(tables: Tables) -> Iterator[Problem]:
    """Yield every problem of works.csv."""
    zones, known = tables.zone_names, dict.fromkeys(a.anode for a in tables.anodes)
    for row in tables.works:
        if row.zone not in EVERYWHERE:
            yield from unknown_reference(row, zones, "zone")
        if row.anode is not None and row.work not in ("anodes renewed", UNREAD):
            yield row.finding("anode of other work")
        named = None if UNREAD in known else known
        yield from unknown_reference(row, named, "anode")
        if row.counts is not None and row.work not in ("doubler", UNREAD):
            yield row.finding("counts of other work")


def anodes(tables: Tables) -> Iterator[Problem]:
    """Yield every problem of anodes.csv."""
    first: dict[str, AnodeRow] = {}
    for row in tables.anodes:
        yield from unknown_reference(row, tables.zone_names, "zone")
        if (row.seen is None) != (row.left_percent is None):
            yield row.finding("half a look", key=_LOOKS[row.seen is not None])
        if row.anode == UNREAD:
            continue
        if row.anode in first:
            yield from _repeated(first[row.anode], row)
            continue
        first[row.anode] = row
        for key in ("zone", "metal"):
            if getattr(row, key) is None:
                yield row.finding("anode not told", key=key)
        yield from row.findings(
            {
                "impressed without amps": row.metal == "impressed"
                and row.amps is None
                and row.set_mv is None,
                "set point of no electrode": row.set_mv is not None
                and row.electrode is None,
            }
        )


def _repeated(first: AnodeRow, row: AnodeRow) -> Iterator[Problem]:
    """Yield what a further row of an anode says otherwise than its first."""
    written = row.model_fields_set - set(_LOOKS)
    for column in (name for name in type(row).model_fields if name in written):
        both = getattr(first, column), getattr(row, column)
        unread = any(one != one or one == UNREAD for one in both)
        if both[0] != both[1] and not unread:
            yield row.finding("anode told otherwise", key=column, line=first.line)


def potentials(tables: Tables) -> Iterator[Problem]:
    """Yield every problem of potentials.csv."""
    for row in tables.potentials:
        yield from unknown_reference(row, tables.zone_names, "zone")
        if row.zone is None and (row.frame is None or row.side is None):
            yield row.finding("potential nowhere")


def hunts(tables: Tables) -> Iterator[Problem]:
    """Yield every problem of the files in hunts/."""
    for rows in tables.hunts.values():
        for place, row in enumerate(rows, 1):
            if UNREAD in (row.act, row.result):
                continue
            if (row.act == "began") != (place == 1):
                yield row.finding("began later", place=place)
            if row.act == "began":
                yield from unknown_reference(row, tables.system_names, "circuit")
            yield from _acts(row)


def _acts(row: HuntRow) -> Iterator[Problem]:
    """Yield what an act lacks."""
    began, nowhere = row.act == "began", row.act in ("looked", "isolated", "cleared")
    words = _RESULTS.get(row.act, ())
    unit = {"clamped": "milliamperes", "tested": "ohms"}.get(row.act)
    yield from row.findings(
        {
            "hunt of no system": row.circuit is None and began,
            "act on no circuit": row.circuit is None and not began and not nowhere,
            "no such result": words and row.result.lower() not in words,
            "result without number": unit and row.number() is None,
        },
        what=row.result or "blank",
        words=", ".join(words),
        unit=unit,
    )
