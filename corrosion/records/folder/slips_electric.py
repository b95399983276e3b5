"""Electrical readings that disagree with others or their system: a question each."""

from collections.abc import Iterator
from itertools import combinations
from math import inf, pi, sqrt
from typing import Final

from corrosion.foundation.errors import Problem
from corrosion.foundation.units import DAY, MICROFARAD, YEAR
from corrosion.records.dates import When
from corrosion.records.folder.columns import FaultRow, ReadingRow
from corrosion.records.folder.folder_tables import Tables
from corrosion.records.folder.ship_toml_keys import SystemKeys
from corrosion.records.ship import CONDUCTORS

_MOST_FAULT_AMPS: Final = 100.0
_USUAL_UF: Final = 1.0
_BEYOND_CAPACITANCE: Final = 15.0  # lamps, second faults, other capacitance
_SOLID_OHM: Final = 50.0
_HEALTHY_OHM: Final = 1e6
_TOGETHER: Final = 0.85  # of the system's volts, that two conductors read together
_LOADED: Final = 0.3  # the same by a meter that loads the system
_LIGHT_OHM: Final = 1e6
_SPREAD: Final = 1.15
_LAMP_SHARE: Final = (0.3, 1.5)  # of rated, healthy
_LONG: Final = 300.0 * DAY
_LONG_UNSEEN: Final = 3.0 * YEAR
_FAR_DOCKING: Final = 12.0 * YEAR
_EXACT: Final = 2.0 * DAY


def odd_readings(tables: Tables, now: float) -> Iterator[Problem]:
    """Yield every doubt about systems, faults and readings."""
    for system in tables.file.systems or ():
        yield from _lamp_volts(system)
    for fault in tables.faults:
        of = tables.systems.get(fault.system or "")
        yield from _dates(fault)
        if of is not None and fault.source == "ground fault":
            yield from _amps(fault, of)
            yield from _tested(fault, of)
            yield from _together(fault, of)
            yield from _lamps(fault, of)
    for read in tables.readings:
        fault_read = tables.fault_rows.get(read.fault or "")
        if fault_read is not None:
            yield from _not_standing(read, fault_read)
        of = tables.systems.get(tables.system_of(read) or "")
        if of is not None and read.clamped in (None, "fault path"):
            yield from _amps(read, of)
    yield from _twice(tables)
    docking = tables.file.ship.next_docking
    if docking is not None and docking.earliest > now + _FAR_DOCKING:
        yield tables.file.ship.finding("docking far ahead", years=_FAR_DOCKING / YEAR)


def _not_standing(read: ReadingRow, fault: FaultRow) -> Iterator[Problem]:
    found, cleared = fault.found, fault.cleared
    when = ""
    if read.time.latest < found.earliest:
        when = f"before fault {fault.fault} was found ({found.text})"
    elif cleared is not None and read.time.earliest > cleared.latest:
        when = f"after fault {fault.fault} was cleared ({cleared.text})"
    if when:
        yield read.finding("read before or after", when=when)


def _star(system: SystemKeys) -> float:
    """Return the volts from a conductor to hull of a healthy system."""
    return system.volts / (sqrt(3.0) if system.kind == "ac3" else 2.0)


def _lamp_volts(system: SystemKeys) -> Iterator[Problem]:
    lamps = system.lamps
    if lamps is None:
        return
    share = _star(system) / lamps.ratio / lamps.volts
    if not _LAMP_SHARE[0] <= share <= _LAMP_SHARE[1]:
        yield system.finding("lamps of other volts", burn=share * lamps.volts)


def _amps(row: FaultRow | ReadingRow, system: SystemKeys) -> Iterator[Problem]:
    amps = abs(row.amps or 0.0)
    current = row.current or ("dc" if system.kind == "dc2" else "ac")
    if amps > _MOST_FAULT_AMPS:
        yield row.finding("amps of a wet ship")
    elif current == "ac" and system.hertz:
        farads = (system.hull_capacitance_uf or _USUAL_UF) * MICROFARAD
        most = len(CONDUCTORS[system.kind]) * 2.0 * pi * system.hertz * farads
        most *= _star(system) * _BEYOND_CAPACITANCE
        if amps > max(most, 2.0):
            yield row.finding("amps above capacitance", amps=amps)


def _tested(row: FaultRow, system: SystemKeys) -> Iterator[Problem]:
    ohm = row.insulation_ohm
    if ohm is None:
        return
    mine = dict(zip(CONDUCTORS[system.kind], row.lamps(), strict=False))
    volts = row.hull_volts().get(row.conductor or "")
    seen = "out" in row.lamps() or mine.get(row.conductor or "") == "dim"
    seen |= volts is not None and abs(volts) < 0.25 * _star(system)
    wrong = {
        "solid fault unseen": ohm < _SOLID_OHM and not seen,
        "no fault": ohm >= _HEALTHY_OHM,
    }
    yield from row.findings(wrong)


def _together(row: FaultRow, system: SystemKeys) -> Iterator[Problem]:
    """Yield volts of two conductors that cannot lie the system's volts apart."""
    read = {k: v for k, v in row.hull_volts().items() if v is not None}
    light = (row.meter_ohm or inf) >= _LIGHT_OHM
    share = _TOGETHER if light else _LOADED
    for (one, a), (other, b) in combinations(read.items(), 2):
        if system.kind == "dc2":
            least, most = abs(a - b), abs(a - b)
        else:
            least, most = abs(abs(a) - abs(b)), abs(a) + abs(b)
        if most < share * system.volts or least > _SPREAD * system.volts:
            key = {"+": "hull_v_pos", "-": "hull_v_neg"}.get(one, f"hull_v_{one}")
            cells = {"key": key, "a": a, "b": b, "one": one, "other": other}
            yield row.finding("volts of another system", **cells, volts=system.volts)
            return


def _lamps(row: FaultRow, system: SystemKeys) -> Iterator[Problem]:
    names = CONDUCTORS[system.kind]
    shown = dict(zip(names, row.lamps(), strict=False))
    mine = shown.get(row.conductor or "")
    others = [lamp for name, lamp in shown.items() if name != row.conductor and lamp]
    if mine == "bright" and {"out", "dim"} & set(others):
        yield row.finding("lamp bright at the fault")
    volts = row.hull_volts()
    for name, lamp in shown.items():
        if lamp == "out" and abs(volts.get(name) or 0.0) > 0.75 * _star(system):
            cells = {"key": f"lamp_{name}", "name": name, "volts": volts[name]}
            yield row.finding("lamp out under volts", **cells)
    own = volts.get(row.conductor or "")
    rest = [abs(v) for name, v in volts.items() if v is not None and name in names]
    if own is not None and len(rest) > 1 and abs(own) == max(rest) > 1.2 * min(rest):
        yield row.finding("fault reads the most")


def _dates(row: FaultRow) -> Iterator[Problem]:
    if row.source != "ground fault":
        return
    for column, early, late, long in (
        ("cleared", row.found, row.cleared, _LONG),
        ("last_good", row.last_good, row.found, _LONG_UNSEEN),
    ):
        if _exact(early) and _exact(late) and early and late:
            apart = late.earliest - early.latest
            if apart > long:
                cells = {"key": column, "early": early, "late": late}
                yield row.finding("dates years apart", **cells, years=apart / YEAR)


def _exact(when: When | None) -> bool:
    return when is not None and when.width < _EXACT


def _twice(tables: Tables) -> Iterator[Problem]:
    seen: dict[tuple[str | None, ...], FaultRow] = {}
    for row in tables.faults:
        key = (row.system, row.circuit, row.conductor, row.zone, row.found.text)
        if key in seen and _exact(row.found):
            yield row.finding("fault again", other=seen[key])
        seen.setdefault(key, row)
