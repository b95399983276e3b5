"""Numbers that can be, but are most often another unit's: a question each.

The bounds are common practice of ships' electrics and plating, with no source: outside
them a number is rare enough to ask. Nothing is changed.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from math import inf, isfinite
from typing import Final

from corrosion.foundation.errors import Problem
from corrosion.records.folder.cell_messages import unit_of
from corrosion.records.folder.folder_tables import Tables
from corrosion.records.folder.row import Row

_SHARE: Final = "per cent, 1 to 100; was a share written?"
_CONTACT: Final = "ohms; was it mΩ or µΩ?"


@dataclass(frozen=True, slots=True)
class _Usual:
    """What a column holds as a rule; zero is never asked about."""

    column: str
    low: float
    high: float
    question: str


_SHARES: Final = tuple(
    _Usual(column, 1.0 + 1e-9, inf, _SHARE)
    for column in (
        "bare_percent",
        "inside_bare_percent",
        "present_percent",
        "under_way_percent",
        "percent",
        "left_percent",
    )
)
_USUAL: Final[Mapping[str, tuple[_Usual, ...]]] = {
    "zones": (
        _Usual("built_mm", 3.0, 60.0, "millimetres; was it inches or tenths?"),
        _Usual("bond_ohm", 0.0, 5.0, _CONTACT),
        _Usual("turning_ohm", 0.0, 50.0, _CONTACT),
        _Usual("gauge_hours", 0.1, 24.0, "hours; was it minutes?"),
        _Usual("protection_ma_per_m2", 0.5, 500.0, "mA/m²; was it A/m²?"),
        *_SHARES[:2],
    ),
    "faults": (_SHARES[2],),
    "berths": (
        _Usual("earth_cable_ohm", 1e-3, 5.0, "ohms; was it mΩ?"),
        _Usual(
            "shore_earth_ohm", 0.02, 300.0, "ohms of the electrode; was it mΩ or kΩ?"
        ),
        _Usual("earth_couple_v", 0.02, 1.2, "volts; was it mV?"),
        _Usual("temperature_c", -2.5, 33.0, "°C; was it °F?"),
        _Usual("shore_distance_m", 0.2, 500.0, "metres; was it centimetres?"),
        _SHARES[3],
    ),
    "gaugings": (
        _Usual(
            "sd_mm", 0.02, 2.0, "millimetres of one reading; was it tenths or inches?"
        ),
        _Usual("pitting_percent", 0.05, inf, _SHARE),
    ),
    "circuits": (
        _Usual("minutes_to_open", 0.5, 90.0, "minutes; was it hours or seconds?"),
        _Usual("minutes_to_test", 0.5, 240.0, "minutes; was it hours or seconds?"),
        _Usual("minutes_to_clamp", 0.5, 90.0, "minutes; was it hours or seconds?"),
        _Usual("trip_amps", 0.5, 5000.0, "amperes; was it mA or kA?"),
    ),
    "works": (_SHARES[4], _Usual("bare_percent", 0.1, inf, _SHARE)),
    "anodes": (
        _Usual("net_kg", 0.3, 300.0, "kilograms of one; was it grams?"),
        _Usual("length_m", 0.03, 3.0, "metres; was it feet or centimetres?"),
        _Usual("width_m", 0.02, 1.0, "metres; was it feet or centimetres?"),
        _Usual("thickness_m", 0.01, 0.5, "metres; was it centimetres?"),
        _SHARES[5],
    ),
    "potentials": (_Usual("mv", 5.0, 2000.0, "millivolts; was it volts?"),),
    "ship": (
        _Usual("frame_spacing_m", 0.3, 1.2, "metres; was it feet?"),
        _Usual("length_m", 8.0, 350.0, "metres; was it feet?"),
    ),
    "water": (
        _Usual("temperature_c", -2.5, 33.0, "°C; was it °F?"),
        _Usual("salinity_g_per_kg", 0.02, 42.0, "g/kg; is it a salt lake?"),
        _Usual("resistivity_ohm_m", 0.12, 200.0, "Ω·m; was it Ω·cm?"),
        _Usual("depth_m", 0.5, 6000.0, "metres; was it feet or fathoms?"),
    ),
    "system": (
        _Usual("insulation_ohm", 1000.0, 1e10, "ohms; was it kΩ or MΩ?"),
        _Usual("hull_capacitance_uf", 0.005, 100.0, "µF; was it nF or mF?"),
        _Usual("monitor_internal_ohm", 1000.0, 1e8, "ohms; was it kΩ?"),
    ),
    "prices": (
        _Usual(
            "steel_per_kg", 0.1, 1000.0, "the price of a kilogram; was it a tonne's?"
        ),
    ),
}
_VOLTAGES: Final = (
    *(12, 24, 28, 32, 36, 42, 48, 60, 80, 100, 110, 115, 120, 127, 200, 208, 220),
    *(225, 230, 240, 250, 380, 400, 415, 440, 450, 460, 480, 500, 525, 575, 600, 660),
    *(690, 750, 1000, 1500, 3000, 3300, 4160, 6000, 6600, 10000, 11000, 13800, 15000),
)
_FREQUENCIES: Final = (16.7, 25, 50, 60, 400)
_NEAR: Final = 0.04


def odd_numbers(tables: Tables) -> Iterator[Problem]:
    """Yield each number outside what its column holds as a rule."""
    file = tables.file
    keys: Mapping[str, Iterable[Row]] = {
        "ship": (file.ship,),
        "water": (file.water,),
        "system": file.systems or (),
        "prices": (),  # a record already: below
    }
    for table, some in _USUAL.items():
        for row in keys[table] if table in keys else getattr(tables, table) or ():
            for usual in some:
                yield from _odd(row, usual)
    yield from _named_values(tables)
    steel = file.prices.steel_per_kg
    if steel and not _USUAL["prices"][0].low <= steel <= _USUAL["prices"][0].high:
        found = f"{steel:g} is not usual here"
        expected = f"write {_USUAL['prices'][0].question}"
        yield Problem("ship.toml", None, "prices.steel_per_kg", found, expected, 2)


def _odd(row: Row, usual: _Usual) -> Iterator[Problem]:
    value = getattr(row, usual.column)
    if value is None or value == 0.0 or not isfinite(value):
        return
    size = value if usual.low < 0.0 else abs(value)
    if not usual.low <= size <= usual.high:
        unit = unit_of(type(row).model_fields[usual.column])
        found = f"{value:g} {unit.unit if unit else ''}".strip()
        found = found.replace(" Ω, or none", " Ω")
        words = f"{found} is not usual here"
        yield row.problem(usual.column, words, f"write {usual.question}", weight=3)


def _named_values(tables: Tables) -> Iterator[Problem]:
    """Yield voltages and frequencies that are no system's."""
    rows: tuple[Row, ...] = (*(tables.file.systems or ()), *tables.berths)
    for row in rows:
        for column, known, unit, slip in (
            ("volts", _VOLTAGES, "V", "between conductors; was it kV, or to neutral?"),
            ("hertz", _FREQUENCIES, "Hz", "write 50 or 60 as a rule"),
        ):
            value = getattr(row, column)
            if value and not any(abs(value / one - 1.0) <= _NEAR for one in known):
                expected = f"write the volts {slip}" if column == "volts" else slip
                found = f"{value:g} {unit} is not usual"
                yield row.problem(column, found, expected, weight=3)
