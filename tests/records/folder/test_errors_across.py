"""Each thing that can be wrong in a folder, broken one at a time.

The sound folder is broken in one cell or one line; the message must begin with the
exact place and must offer a way out.
"""

from pathlib import Path

import pytest
from records.folders import sound, with_cells, with_text

from corrosion.foundation.errors import RecordError
from corrosion.records import read_ship

Cell = tuple[str, dict[str, str], str, str]

CELLS: list[Cell] = [
    # where, cells, exact beginning of the message, part of the remedy
    ("zones:2", {"zone": "Z2"}, "zones.csv:3: zone: 'Z2' stands already", "rename"),
    ("zones:3", {"zone": ""}, "zones.csv:3: zone: blank", "a name"),
    ("zones:2", {"frame_to": "x"}, "zones.csv:2: frame_to: 'x'", "a number"),
    ("zones:2", {"frame_to": "-3"}, "zones.csv:2: frame_to: -3, before", "exchange"),
    ("zones:2", {"frame_to": "0"}, "zones.csv:2: frame_to: 0, the same", "area_m2"),
    ("zones:4", {"frame_to": "200"}, "zones.csv:4: frame_to: frame 200", "60 m"),
    ("zones:2", {"frame_from": "-20"}, "zones.csv:2: frame_from: frame -20", "within"),
    ("zones:2", {"side": "prt"}, "zones.csv:2: side: 'prt'", "did you mean 'port'?"),
    ("zones:2", {"side": ""}, "zones.csv:2: side: blank", "port, starboard, centre"),
    ("zones:2", {"top_m": "5"}, "zones.csv:2: bottom_m: 4 m, above", "exchange"),
    ("zones:2", {"bottom_m": "4.5"}, "zones.csv:2: bottom_m: 4.5 m, below", "height"),
    ("zones:2", {"area_m2": "0"}, "zones.csv:2: area_m2: '0'", "above 0"),
    ("zones:2", {"exposure": "wet"}, "zones.csv:2: exposure: 'wet'", "immersed"),
    ("zones:2", {"metal": "stel"}, "zones.csv:2: metal: no metal 'stel'", "'steel'"),
    ("zones:2", {"built_mm": "0.01"}, "zones.csv:2: built_mm: '0.01'", "metres"),
    ("zones:2", {"built_mm": "=1+2"}, "zones.csv:2: built_mm: '=1+2'", "formula"),
    ("zones:2", {"built_mm": "12 lb"}, "zones.csv:2: built_mm: '12 lb'", "alone"),
    ("zones:2", {"area_m2": "big"}, "zones.csv:2: area_m2: 'big'", "leave it blank"),
    ("zones:2", {"built_mm": "?"}, "zones.csv:2: built_mm: blank", "1 to 300 mm"),
    ("zones:2", {"built_mm": "inf"}, "zones.csv:2: built_mm: 'inf'", "1 to 300 mm"),
    ("zones:2", {"limit_mm": "12"}, "zones.csv:2: limit_mm: 12 mm, above", "least"),
    ("zones:2", {"pit_limit_mm": "12"}, "zones.csv:2: pit_limit_mm: 12 mm", "least"),
    ("zones:2", {"bare_percent": "120"}, "zones.csv:2: bare_percent: '120'", "100 %"),
    ("zones:2", {"bare_seen": "3/6/94"}, "zones.csv:2: bare_seen: '3/6/94'", "1994-06"),
    ("zones:2", {"painted": "1950"}, "zones.csv:2: painted: 1950, before", "her life"),
    ("zones:4", {"bond_ohm": "0"}, "zones.csv:4: bond_ohm: '0'", "above 0 Ω"),
    ("zones:4", {"bond_ohm": ""}, "zones.csv:4: bond_ohm: blank", "resistance (Ω)"),
    (
        "zones:2",
        {"turning_ohm": "0.5"},
        "zones.csv:2: bond_ohm: blank, though turning_ohm is given",
        "at rest (Ω)",
    ),
    ("zones:4", {"bonded_to": ""}, "zones.csv:4: bonded_to: blank", "other side"),
    (
        "zones:4",
        {"bonded_to": "Z9"},
        "zones.csv:4: bonded_to: no zone",
        "known: Z1, Z2",
    ),
    ("zones:4", {"bonded_to": "R1"}, "zones.csv:4: bonded_to: a loop", "welded"),
    ("zones:2", {"consequence": "6"}, "zones.csv:2: consequence: '6'", "from 1 to 5"),
    ("zones:2", {"consequence": "2.5"}, "zones.csv:2: consequence: '2.5'", "whole"),
    ("zones:2", {"access": "boat"}, "zones.csv:2: access: 'boat'", "inside, diver"),
    ("zones:2", {"gauge_hours": "0"}, "zones.csv:2: gauge_hours: '0'", "above 0"),
    ("zones:2", {"cable_share": "50"}, "zones.csv:2: cable_share: '50'", "per cent"),
    ("faults:3", {"fault": "F1"}, "faults.csv:3: fault: 'F1' stands", "rename"),
    ("faults:2", {"system": "servce"}, "faults.csv:2: system: no system", "'service'"),
    ("faults:2", {"system": ""}, "faults.csv:2: system: blank for a ground", "source"),
    ("faults:2", {"conductor": "+"}, "faults.csv:2: conductor: no conductor", "a, b"),
    ("faults:3", {"conductor": "c"}, "faults.csv:3: conductor: no conductor", "+, -"),
    ("faults:4", {"conductor": "a"}, "faults.csv:4: system: blank, though", "system"),
    ("faults:2", {"zone": "Z11"}, "faults.csv:2: zone: no zone 'Z11'", "'Z1'"),
    ("faults:2", {"source": "fire"}, "faults.csv:2: source: 'fire'", "ground fault"),
    ("faults:2", {"return": "home"}, "faults.csv:2: return: 'home'", "aboard, ashore"),
    ("faults:2", {"found": ""}, "faults.csv:2: found: blank", "1994-06-03 14:20"),
    ("faults:2", {"found": "1994-13"}, "faults.csv:2: found: '1994-13' is", "month"),
    ("faults:2", {"found": "1950"}, "faults.csv:2: found: 1950, before she", "life"),
    ("faults:2", {"found": "2024-02-01"}, "faults.csv:2: found: 2024-02-01", "after"),
    ("faults:2", {"cleared": "2024-03-01"}, "faults.csv:2: cleared: 2024", "exchange"),
    ("faults:2", {"amps": "3000"}, "faults.csv:2: amps: '3000'", "milliamperes"),
    ("faults:2", {"amps": "-3"}, "faults.csv:2: amps: -3 A of alternating", "rms"),
    ("faults:4", {"amps": ""}, "faults.csv:4: amps: blank for source", "(A)"),
    ("faults:4", {"source": "other"}, "faults.csv:4: current: blank, and", "dc or ac"),
    ("faults:4", {"amps": "-1", "current": "ac"}, "faults.csv:4: amps: -1 A", "rms"),
    ("faults:2", {"insulation_ohm": "0"}, "faults.csv:2: insulation_ohm: '0'", "scale"),
    ("faults:2", {"insulation_ohm": "-5"}, "faults.csv:2: insulation_ohm: '-5'", "Ω"),
    ("faults:2", {"hull_v_a": "4000"}, "faults.csv:2: hull_v_a: 4000 V", "484 V"),
    ("faults:2", {"hull_v_a": "-40"}, "faults.csv:2: hull_v_a: -40 V", "never neg"),
    ("faults:2", {"hull_v_pos": "9"}, "faults.csv:2: hull_v_pos: 9 V", "blank here"),
    ("faults:3", {"hull_v_c": "9"}, "faults.csv:3: hull_v_c: 9 V", "voltages of +, -"),
    ("faults:2", {"meter_ohm": "10"}, "faults.csv:2: meter_ohm: '10'", "10e6"),
    ("faults:2", {"lamp_a": "off"}, "faults.csv:2: lamp_a: 'off'", "out, dim, even"),
    ("faults:3", {"lamp_a": "out"}, "faults.csv:3: lamp_a: 'out', but", "ship.toml"),
    ("berths:2", {"supply": "shore"}, "berths.csv:2: supply: 'shore'", "shore earthed"),
    ("berths:2", {"to": "1980"}, "berths.csv:2: to: 1980, before from", "exchange"),
    ("berths:2", {"to": ""}, "berths.csv:3: from: 2003, while the berth", "end the"),
    ("berths:3", {"from": "1995"}, "berths.csv:3: from: 1995, while", "end the"),
    ("berths:3", {"from": ""}, "berths.csv:2: from: 1991, while", "end the"),
    ("berths:2", {"from": "1940"}, "berths.csv:2: from: 1940, before she", "life"),
    ("berths:3", {"earth_cable_ohm": "0"}, "berths.csv:3: earth_cable_ohm: '0'", "Ω"),
    ("berths:3", {"earth_couple_v": "300"}, "berths.csv:3: earth_couple_v", "milli"),
    ("berths:3", {"galvanic_isolator": "x"}, "berths.csv:3: galvanic", "yes, no"),
    ("gaugings:2", {"zone": "Z"}, "gaugings.csv:2: zone: no zone 'Z'", "did you mean"),
    ("gaugings:2", {"date": "1953"}, "gaugings.csv:2: date: 1953, before", "her life"),
    ("gaugings:2", {"thickness_mm": "0.0091"}, "gaugings.csv:2: thick", "not metres"),
    ("gaugings:2", {"thickness_mm": ""}, "gaugings.csv:2: thickness_mm: blank", "mm"),
    ("gaugings:2", {"readings": "0"}, "gaugings.csv:2: readings: '0'", "from 1"),
    ("gaugings:2", {"sd_mm": "0.0002"}, "gaugings.csv:2: sd_mm: '0.0002'", "milli"),
    ("gaugings:2", {"kind": "avg"}, "gaugings.csv:2: kind: 'avg'", "mean, least"),
    ("circuits:3", {"circuit": "panel"}, "circuits.csv:3: circuit: 'panel'", "rename"),
    (
        "circuits:2",
        {"system": "serv"},
        "circuits.csv:2: system: no system",
        "'service'",
    ),
    ("circuits:2", {"zone": "Z4"}, "circuits.csv:2: zone: no zone 'Z4'", "known: Z1"),
    ("circuits:2", {"fed_from": "galley"}, "circuits.csv:2: fed_from: a loop", "blank"),
    ("circuits:2", {"minutes_to_open": "-1"}, "circuits.csv:2: minutes_to", "min"),
]

TEXTS = [
    # text of ship.toml, what it becomes, exact beginning, part of the remedy
    ("length_m = 60.0", 'length_m = "60.0"', "ship.toml:3: ship.length_m", "quotation"),
    ("length_m = 60.0", "lenght_m = 60.0", "ship.toml:3: ship.lenght_m", "'length_m'"),
    ("length_m = 60.0", "", "ship.toml:1: ship.length_m: blank", "500 m"),
    ("beam_m = 10.0", "beam_m = 1e400", "ship.toml:4: ship.beam_m: inf", "500 m"),
    ("beam_m = 10.0", "beam_m = true", "ship.toml:4: ship.beam_m: True", "a number"),
    ("beam_m = 10.0", "beam_m = [", "ship.toml:5: ", "a line as"),
    (
        "beam_m = 10.0",
        "beam_m = " + "\n".join(["[" * 999] * 9),
        "ship.toml: brackets",
        "a line",
    ),
    ("beam_m = 10.0", "beam_m = " + "9" * 5000, "ship.toml:4: a line of", "2000"),
    ("= 0.6\nbuilt", "= 1.6\nbuilt", "ship.toml:6: ship.block_coefficient: 1.6", "0.3"),
    ('name = "Teal"', "name = 7", "ship.toml:2: ship.name: 7", "words"),
    ("built = 1960", "built = 60", "ship.toml:7: ship.built: '60' is not", "1994"),
    ("2030-05-01", "1955-05-01", "ship.toml:8: ship.next_docking: 1955", "her life"),
    ("2030-05-01", "2030-05", "ship.toml:8: ", "quotation marks"),
    ("[ship]", "[shop]", "ship.toml: no table [ship]", "corrosion new"),
    ("[ship]", "[shop]", "ship.toml:1: shop: no table", "did you mean 'ship'?"),
    ("[ship]", "ship = 5\n[shop]", "ship.toml:1: ship: 5", "a table with the keys"),
    ("[water]", "[water", "ship.toml:11: ", "a line as"),
    ("temperature_c = 10.0", "", "ship.toml:11: water.temperature_c: blank", "resist"),
    ("= 30.0", "= 0.0", "ship.toml:12: water.salinity_g_per_kg: 0.0", "fresh water"),
    ('"battery"', '"service"', "ship.toml:26: system.name: 'service' stands", "rename"),
    ('"dc2"', '"dc"', "ship.toml:27: system.kind: 'dc'", "did you mean 'dc2'?"),
    ("hertz = 60", "", "ship.toml:15: system.hertz: no frequency", "50 or 60"),
    ("volts = 220", "volts = 220\nhertz = 50", "ship.toml:29: system.hertz: 50", "0"),
    ("volts = 220", "volts = 0.22", "ship.toml:28: system.volts: 0.22", "not kV"),
    ("_uf = 1.5", "_uf = 1.5e-6", "ship.toml:20: system.hull_capacitance_uf", "farads"),
    ("400e3", "0", "ship.toml:21: system.insulation_ohm: 0", "above 0"),
    ('"Z1"', '"Z"', "ship.toml:22: system.switchboard_zone: no zone 'Z'", "did you"),
    ("watts = 15, ", "", "ship.toml:23: system.lamps.watts: blank", "1000 W"),
    ("lamps = {", "lamps = 5 # {", "ship.toml:23: system.lamps: 5", "volts, watts"),
    ("[[system]]\nname = \"b", "[system]\nname = \"b", "ship.toml:25: ", "a line"),
    ("[prices]", "[prices]\nx = 1", "ship.toml:31: prices.x: no key 'x'", "known"),
    ("[prices]", "[price]", "ship.toml:30: price: no table", "'prices'"),
    ("_kg = 14.0", "_kg = -1", "ship.toml:31: prices.steel_per_kg: -1", "at least 0"),
    ("pitting_f", "piting_f", "ship.toml:33: assumption.piting", "'pitting_factor'"),
    ("= 4.0\nspread", "= 4e3\nspread", "ship.toml:34: assumption.pitting", "between"),
    ("spread = 1.5", "spread = 0.5", "ship.toml:35: assumption.pitting", "from 1"),
    (".pitting_factor]", "]", "ship.toml:34: assumption.median: 4.0", "a table with"),
]  # fmt: skip


@pytest.mark.parametrize(("place", "cells", "begins", "remedy"), CELLS)
def test_names_the_cell_and_a_remedy(
    tmp_path: Path, place: str, cells: dict[str, str], begins: str, remedy: str
) -> None:
    with_cells(sound(tmp_path), place, cells)
    _expect(tmp_path, begins, remedy)


@pytest.mark.parametrize(("old", "new", "begins", "remedy"), TEXTS)
def test_names_the_key_and_a_remedy(
    tmp_path: Path, old: str, new: str, begins: str, remedy: str
) -> None:
    with_text(sound(tmp_path), "ship.toml", old, new)
    _expect(tmp_path, begins, remedy)


def _expect(folder: Path, begins: str, remedy: str) -> None:
    with pytest.raises(RecordError, match=r": .*; ") as caught:
        read_ship(folder)
    lines = [row for row in str(caught.value).splitlines() if row.startswith(begins)]
    assert lines, f"{begins!r} begins no line of:\n{caught.value}"
    assert remedy in lines[0].partition("; ")[2]


def test_reports_every_problem_of_all_files_at_once(tmp_path: Path) -> None:
    folder = sound(tmp_path)
    with_text(folder, "ship.toml", "beam_m = 10.0", "beam_m = -1")
    broken = {
        "zones:2": {"built_mm": "x", "frame_to": "-5"},
        "zones:3": {"side": "x"},
        "faults:2": {"amps": "x", "zone": "Z7", "cleared": "1990"},
        "berths:3": {"from": "1995"},
        "gaugings:3": {"date": "x"},
        "circuits:2": {"fed_from": "panel"},
    }
    for place, cells in broken.items():
        with_cells(folder, place, cells)
    with pytest.raises(RecordError, match="beam_m: -1") as caught:
        read_ship(folder)
    found = [(p.file, p.line, p.column) for p in caught.value.problems]
    assert found == [
        ("ship.toml", 4, "ship.beam_m"),
        ("zones.csv", 2, "built_mm"),
        ("zones.csv", 2, "frame_to"),
        ("zones.csv", 3, "side"),
        ("faults.csv", 2, "amps"),
        ("faults.csv", 2, "zone"),
        ("faults.csv", 2, "cleared"),
        ("berths.csv", 3, "from"),
        ("gaugings.csv", 3, "date"),
        ("circuits.csv", 2, "fed_from"),
    ]


def test_a_single_system_needs_two_brackets(tmp_path: Path) -> None:
    path = sound(tmp_path) / "ship.toml"
    head, _, rest = path.read_text().partition("[[system]]")
    tail = rest.partition("[prices]")[2]
    path.write_text(f'{head}[system]\nname = "service"\n[prices]{tail}')
    with pytest.raises(
        RecordError, match=r"ship\.toml:15: system: .*two brack"
    ) as caught:
        read_ship(tmp_path)
    assert len(caught.value.problems) == 1  # and no system's name is blamed


def test_assumptions_are_tables(tmp_path: Path) -> None:
    path = sound(tmp_path) / "ship.toml"
    head = path.read_text().partition("[assumption")[0]
    path.write_text(f"assumption = 4\n{head}")
    with pytest.raises(RecordError, match=r"ship\.toml:1: assumption: 4; a table for"):
        read_ship(tmp_path)


def test_a_third_lamp_on_two_conductors(tmp_path: Path) -> None:
    lamps = "volts = 220\nlamps = { volts = 110, watts = 25 }"
    with_text(sound(tmp_path), "ship.toml", "volts = 220", lamps)
    with_cells(tmp_path, "faults:3", {"lamp_c": "out"})
    with pytest.raises(
        RecordError, match=r"faults\.csv:3: lamp_c: .*; lamp_a and lamp"
    ):
        read_ship(tmp_path)


def test_a_measured_resistivity_stands_for_the_salinity(tmp_path: Path) -> None:
    water = "resistivity_ohm_m = 0.4"
    with_text(sound(tmp_path), "ship.toml", "salinity_g_per_kg = 30.0", water)
    with_text(tmp_path, "ship.toml", "temperature_c = 10.0", "")
    assert read_ship(tmp_path).water.resistivity == 0.4


def test_an_unreadable_zones_file_blames_no_name(tmp_path: Path) -> None:
    (sound(tmp_path) / "zones.csv").write_bytes(b"zone\n\xff\n")
    with pytest.raises(RecordError, match="byte 0xff at position 5") as caught:
        read_ship(tmp_path)
    assert len(caught.value.problems) == 1


def test_no_zones_is_a_problem(tmp_path: Path) -> None:
    path = sound(tmp_path) / "zones.csv"
    path.write_text(path.read_text().splitlines()[0])
    with pytest.raises(RecordError, match="no zones; one row for each"):
        read_ship(tmp_path)
