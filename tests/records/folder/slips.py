"""101 slips that people plausibly make in an invented ferry's records, one at a time.

Collected from what a column invites: another unit, a shifted mark, a year or a row
mistyped, a sign, a word in the wrong column. A key is ``table:row`` (2 is the first row
of a csv file) or a piece of ship.toml; ``*`` means every row that has the cell.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

Cells = Mapping[str, str]


@dataclass(frozen=True)
class Slip:
    """One slip: what was meant, and what was written instead."""

    name: str
    where: str
    cells: Cells
    every: Callable[[float], float] | None = None


def times(factor: float) -> Callable[[float], float]:
    """Return what writes a number in a unit that many times smaller."""
    return lambda value: value * factor


def cell(name: str, where: str, **cells: str) -> Slip:
    """Return a slip in one row."""
    return Slip(name=name, where=where, cells=cells)


def column(name: str, where: str, column: str, factor: float) -> Slip:
    """Return a slip in a whole column: every number in another unit."""
    return Slip(name=name, where=where, cells={column: ""}, every=times(factor))


def text(name: str, old: str, new: str) -> Slip:
    """Return a slip in ship.toml."""
    return Slip(name=name, where=old, cells={"": new})


SLIPS: Final = (
    # gaugings in another unit, of another zone, of another year
    column("all gaugings in inches", "gaugings:*", "thickness_mm", 1 / 25.4),
    column("all gaugings in tenths", "gaugings:*", "thickness_mm", 10.0),
    column("all gaugings in centimetres", "gaugings:*", "thickness_mm", 0.1),
    cell("inches: one gauging", "gaugings:3", thickness_mm="0.42"),
    cell("inches: a gauging of 3/8", "gaugings:5", thickness_mm="0.375"),
    cell("one gauging in mils", "gaugings:4", thickness_mm="400"),
    cell("one gauging without its point", "gaugings:4", thickness_mm="102"),
    cell("one gauging with a digit lost", "gaugings:4", thickness_mm="1.02"),
    cell("one gauging with digits exchanged", "gaugings:5", thickness_mm="12.1"),
    cell("a later gauging thicker", "gaugings:30", thickness_mm="11.6"),
    cell("the loss in place of the thickness", "gaugings:6", thickness_mm="0.6"),
    cell("the year of a gauging in the future", "gaugings:6", date="2091-04-10"),
    cell("the year of a gauging before she was built", "gaugings:6", date="1991-04-10"),
    cell("a gauging pasted twice", "gaugings:8", date="2019-04-10", zone="MA-S-BOT"),
    cell("a frame of another zone", "gaugings:5", frame="120"),
    cell("sd in tenths", "gaugings:5", sd_mm="3"),
    cell("sd in inches", "gaugings:5", sd_mm="0.01"),
    # plates
    cell("inches: built", "zones:6", built_mm="0.39"),
    cell("built in tenths", "zones:6", built_mm="100"),
    cell("built with a point lost", "zones:10", built_mm="105"),
    cell("inches: limit", "zones:6", limit_mm="0.31"),
    cell("the loss allowed in place of the limit", "zones:6", limit_mm="2.2"),
    cell("limit above built", "zones:6", limit_mm="17.8"),
    cell("limit as built", "zones:6", limit_mm="10.0"),
    cell("pit limit in place of the limit", "zones:6", pit_limit_mm="8.2"),
    cell("area in square feet", "zones:2", area_m2="301"),
    cell("area of both sides", "zones:2", area_m2="56"),
    cell("area with a point lost", "zones:22", area_m2="95"),
    cell("bare as a share", "zones:10", bare_percent="0.02"),
    cell("bare of ten for one", "zones:10", bare_percent="20"),
    cell("frames exchanged", "zones:6", frame_from="37", frame_to="0"),
    cell("a digit of a frame doubled", "zones:6", frame_to="377"),
    cell("depth as a height", "zones:6", top_m="2.2", bottom_m="0"),
    cell("depth in feet", "zones:7", top_m="7.2", bottom_m="11.8"),
    cell("depth in centimetres", "zones:7", bottom_m="360"),
    cell("port for starboard", "zones:8", side="port"),
    cell("joint in milliohms", "zones:22", bond_ohm="30"),
    cell("joint without its point", "zones:23", bond_ohm="12"),
    cell("protection in amperes", "zones:10", protection_ma_per_m2="0.015"),
    cell("protection in microamperes", "zones:10", protection_ma_per_m2="15000"),
    cell("hours in minutes", "zones:10", gauge_hours="120"),
    cell("consequence upside down", "zones:10", consequence="1"),
    cell("cable share in per cent", "zones:10", cable_share="7"),
    cell("cable share with a digit lost", "zones:10", cable_share="0.7"),
    cell("bare seen in another century", "zones:10", bare_seen="1925-10-08"),
    cell("painted in the future", "zones:10", painted="2042-05"),
    cell("a zone's metal mistyped", "zones:24", metal="nickel aluminum bronze"),
    # faults
    cell("insulation in megohms", "faults:2", insulation_ohm="0.0014", lamp_b=""),
    cell("megohms: insulation of a leak", "faults:8", insulation_ohm="0.0076"),
    cell("megohms: a whole number", "faults:9", insulation_ohm="4"),
    cell("kilohms: insulation of a leak", "faults:8", insulation_ohm="7.6"),
    cell("insulation a thousand times too high", "faults:8", insulation_ohm="7600000"),
    cell("thousands: a mark for a point", "faults:8", insulation_ohm="7.600"),
    cell("thousands: a mark of thousands", "faults:8", insulation_ohm="7.600.000"),
    cell("thousands: a comma", "faults:8", insulation_ohm="7,600"),
    cell("amperes in milliamperes", "faults:3", amps="420"),
    cell("a small current in milliamperes", "faults:3", amps="42"),
    cell("a current without its point", "faults:3", amps="4.2"),
    cell("volts in kilovolts", "faults:2", hull_v_a="0.382", hull_v_b="0.179"),
    cell("volts with a digit lost", "faults:2", hull_v_a="38"),
    cell("volts with a digit doubled", "faults:2", hull_v_a="3822"),
    cell("volts of another system", "faults:4", hull_v_pos="230"),
    cell("volts between conductors", "faults:5", hull_v_c="440"),
    cell("a sign lost", "faults:4", hull_v_neg="16"),
    cell("meter in megohms", "faults:2", meter_ohm="10"),
    cell("meter in kilohms", "faults:2", meter_ohm="10000"),
    cell("conductor beside the lamp", "faults:5", conductor="a"),
    cell("conductor of another kind", "faults:4", conductor="a"),
    cell("lamps exchanged", "faults:5", lamp_a="out", lamp_c="bright"),
    cell("year of clearing", "faults:2", cleared="2022-01-12 10:00"),
    cell("year of clearing, ten years on", "faults:2", cleared="2031-01-12 10:00"),
    cell("month and day of clearing exchanged", "faults:5", cleared="2021-12-03"),
    cell("cleared before found", "faults:2", cleared="2021-01-11 10:00"),
    cell("found in another century", "faults:2", found="0201-01-12"),
    cell("last good years before", "faults:2", last_good="2011-01-12"),
    cell("last good after found", "faults:2", last_good="2021-01-13"),
    cell("a fault's id twice", "faults:3", fault="SM-001"),
    cell("a zone mistyped", "faults:2", zone="MB-P-SIDE"),
    cell("a system mistyped", "faults:2", system="hotell"),
    cell("a circuit mistyped", "faults:2", circuit="galey"),
    cell("welding amperes of the set", "faults:6", amps="160"),
    # berths and circuits
    cell("earth cable in milliohms", "berths:5", earth_cable_ohm="150"),
    cell("earth cable without its point", "berths:5", earth_cable_ohm="15"),
    cell("couple in millivolts", "berths:5", earth_couple_v="300"),
    cell("shore earth in kilohms", "berths:5", shore_earth_ohm="0.0008"),
    cell("distance in another unit", "berths:5", shore_distance_m="2000"),
    cell("berths that overlap", "berths:4", to="2021-06-26"),
    cell("a gap of years between berths", "berths:4", to="2020-04-26"),
    cell("a wrong supply", "berths:10", supply="own"),
    cell("minutes in hours", "circuits:4", minutes_to_open="0.1"),
    cell("minutes in seconds", "circuits:4", minutes_to_test="900"),
    cell("a panel mistyped", "circuits:8", fed_from="pump panle A"),
    # ship.toml
    text("length in feet", "length_m = 88.0", "length_m = 289"),
    text("beam in feet", "beam_m = 17.0", "beam_m = 56"),
    text("draught in feet", "draught_m = 3.6", "draught_m = 11.8"),
    text("frames in feet", "frame_spacing_m = 0.60", "frame_spacing_m = 2.0"),
    text("frames in centimetres", "frame_spacing_m = 0.60", "frame_spacing_m = 60"),
    text("system volts in kilovolts", "volts = 690", "volts = 6.9"),
    text("volts to neutral", "volts = 690", "volts = 398"),
    text("megohms: a system", "insulation_ohm = 2e6", "insulation_ohm = 2"),
    text("temperature in Fahrenheit", "temperature_c = 10.5", "temperature_c = 51"),
)

NEVER_SILENT: Final = ("inches", "megohms", "thousands")
