"""A small sound ship folder, invented, and ways to break one thing in it."""

import csv
from collections.abc import Mapping
from pathlib import Path

from corrosion.records import append_row
from corrosion.records.folder.first_ship import write_example

Cells = Mapping[str, str]

SHIP = """\
[ship]
name = "Teal"
length_m = 60.0
beam_m = 10.0
draught_m = 4.0
block_coefficient = 0.6
built = 1960
next_docking = 2030-05-01
frame_spacing_m = 0.6

[water]
salinity_g_per_kg = 30.0
temperature_c = 10.0

[[system]]
name = "service"
kind = "ac3"
volts = 440
hertz = 60
hull_capacitance_uf = 1.5
insulation_ohm = 400e3
switchboard_zone = "Z1"
lamps = { volts = 127, watts = 15, ratio = 2.0 }

[[system]]
name = "battery"
kind = "dc2"
volts = 220

[prices]
steel_per_kg = 14.0

[assumption.pitting_factor]
median = 4.0
spread = 1.5
why = "pits of the last docking"
"""

FREE = {"permission": "none"}

TABLES: Mapping[str, tuple[Cells, ...]] = {
    "zones": (
        {
            "zone": "Z1",
            "name": "forward",
            "frame_from": "0",
            "frame_to": "50",
            "side": "port",
            "top_m": "0",
            "bottom_m": "4",
            "area_m2": "",
            "exposure": "immersed",
            "metal": "steel",
            "built_mm": "10",
            "limit_mm": "7.5",
            "pit_limit_mm": "",
            "bare_percent": "5",
            "bare_seen": "2020-06",
            "painted": "2019",
            "bond_ohm": "",
            "bonded_to": "",
            "protection_ma_per_m2": "20",
            "consequence": "4",
            "access": "diver",
            "gauge_hours": "3",
            "cable_share": "0.5",
        },
        {
            "zone": "Z2",
            "frame_from": "50",
            "frame_to": "98",
            "side": "port",
            "top_m": "0",
            "bottom_m": "4",
            "exposure": "immersed",
            "built_mm": "11",
            "limit_mm": "8",
            "cable_share": "0.5",
        },
        {
            "zone": "R1",
            "frame_from": "98",
            "frame_to": "101",
            "side": "centre",
            "top_m": "1",
            "bottom_m": "3",
            "area_m2": "6",
            "exposure": "immersed",
            "built_mm": "12",
            "limit_mm": "9",
            "bond_ohm": "0.02",
            "bonded_to": "Z2",
            "cable_share": "0",
        },
    ),
    "faults": (
        {
            "fault": "F1",
            "system": "service",
            "circuit": "galley",
            "conductor": "b",
            "zone": "Z1",
            "source": "ground fault",
            "return": "",
            "last_good": "2024-03-01",
            "found": "2024-03-03 08:15",
            "cleared": "2024-03-03 16:40",
            "amps": "0.4",
            "current": "ac",
            "insulation_ohm": "900",
            "hull_v_a": "400",
            "hull_v_b": "20",
            "hull_v_c": "410",
            "hull_v_pos": "",
            "hull_v_neg": "",
            "meter_ohm": "5000",
            "lamp_a": "bright",
            "lamp_b": "out",
            "lamp_c": "bright",
            "remark": "wet socket",
        },
        {
            "fault": "F2",
            "system": "battery",
            "conductor": "-",
            "found": "1994",
            "hull_v_pos": "210",
            "hull_v_neg": "-5",
        },
        {
            "fault": "F3",
            "source": "welding",
            "zone": "Z2",
            "return": "ashore",
            "found": "2021-05-01",
            "cleared": "2021-05-02",
            "amps": "2",
        },
    ),
    "berths": (
        {
            "from": "1991",
            "to": "2003",
            "berth": "old quay",
            "supply": "shore isolated",
            "earth_cable_ohm": "none",
            "shore_earth_ohm": "",
            "earth_couple_v": "",
            "galvanic_isolator": "",
            "shore_side": "",
            "shore_distance_m": "",
        },
        {
            "from": "2003",
            "berth": "new quay",
            "supply": "shore earthed",
            "earth_cable_ohm": "0.1",
            "shore_earth_ohm": "2",
            "earth_couple_v": "0.3",
            "galvanic_isolator": "yes",
            "shore_side": "port",
            "shore_distance_m": "8",
        },
    ),
    "gaugings": (
        {
            "zone": "Z1",
            "date": "2022-05-11",
            "frame": "40",
            "thickness_mm": "9.1",
            "readings": "12",
            "sd_mm": "0.2",
            "kind": "mean",
            "surface": "prepared",
            "remark": "",
        },
        {
            "zone": "Z2",
            "date": "2022-05-11",
            "thickness_mm": "10.1",
            "surface": "prepared",
        },
        {
            "zone": "R1",
            "date": "2022",
            "thickness_mm": "11.5",
            "kind": "least",
            "surface": "prepared",
        },
    ),
    "circuits": (
        {
            "system": "service",
            "circuit": "panel",
            "fed_from": "",
            "zone": "Z1",
            "minutes_to_open": "5",
            "minutes_to_test": "10",
            "permission": "engineer",
            "minutes_to_clamp": "2",
            "vital": "no",
            "open_when": "dead ship",
            "spare_of": "",
            "test": "500",
            "trip_amps": "63",
        },
        {"system": "service", "circuit": "galley", "fed_from": "panel", **FREE},
        {"system": "service", "circuit": "lights", "fed_from": "panel", **FREE},
    ),
}


def sound(folder: Path) -> Path:
    """Write the sound folder."""
    folder.mkdir(exist_ok=True)
    (folder / "ship.toml").write_text(SHIP, encoding="utf-8")
    for table, rows in TABLES.items():
        write_rows(folder, table, rows)
    return folder


def write_rows(folder: Path, table: str, rows: tuple[Cells, ...]) -> None:
    """Write a table with the columns of its first row."""
    with (folder / f"{table}.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)


def with_cells(folder: Path, place: str, cells: Cells) -> None:
    """Set cells of one row, as in ``faults:2`` for the row on line 2."""
    table, line = place.split(":")
    with (folder / f"{table}.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    rows[int(line) - 2].update(cells)
    write_rows(folder, table, tuple(rows))


def with_text(folder: Path, file: str, old: str, new: str) -> None:
    """Replace some text that must be there once."""
    path = folder / file
    text = path.read_text(encoding="utf-8")
    if text.count(old) != 1:
        msg = f"{old!r} stands {text.count(old)} times in {file}"
        raise LookupError(msg)
    path.write_text(text.replace(old, new), encoding="utf-8")


def append_many(folder: Path, who: str, count: int) -> None:
    """Append faults one by one, each named after the person who adds it."""
    for n in range(count):
        row = {"fault": f"{who}{n}", "system": "service", "found": "2025-01-02"}
        append_row(folder, "faults", row)


def without_anodes(folder: Path) -> Path:
    """Write the example but for its anodes, which take three quarters of its time."""
    write_example(folder)
    anodes = folder / "anodes.csv"
    head, *_ = anodes.read_text(encoding="utf-8").splitlines()
    anodes.write_text(f"{head}\n", encoding="utf-8")
    return folder
