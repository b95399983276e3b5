"""Further tables of the folder: from files to SI, and what is wrong in them."""

from datetime import date
from pathlib import Path

import pytest
from records.folders import sound, with_cells, with_text, write_rows
from records.written import write_ship

from corrosion.foundation.errors import RecordError
from corrosion.records import read_ship
from corrosion.records.as_of import records_as_of
from corrosion.records.dates import as_written
from corrosion.records.ship import HuntStep, Ship

READINGS = (
    {
        "time": "2024-03-03 09:00",
        "system": "",
        "fault": "F1",
        "circuit": "",
        "clamped": "feeder",
        "conductor": "B",
        "to": "",
        "volts": "20",
        "meter_ohm": "1e6",
        "amps": "0.35",
        "current": "",
        "insulation_ohm": "1200",
        "test_volts": "250",
        "minutes": "10",
        "temperature_c": "40",
        "monitor_ohm": "9000",
        "lamp_a": "bright",
        "lamp_b": "failed",
        "lamp_c": "",
        "by": "watch",
        "remark": "",
    },
    {"time": "2024-04", "system": "service"},
    {"time": "2024-05-01", "system": "battery", "conductor": "+", "to": "-"},
)
WORKS = (
    {
        "date": "2022-06",
        "zone": "underwater",
        "work": "painted",
        "percent": "80",
        "thickness_mm": "",
        "bare_percent": "1",
        "anode": "",
        "counts": "",
    },
    {"date": "2023", "zone": "Z1", "work": "doubler", "thickness_mm": "9"}
    | {"counts": "yes"},
    {"date": "2024-01", "zone": "all", "work": "anodes renewed", "anode": "A1"},
)
ANODES = (
    {
        "anode": "A1",
        "zone": "Z2",
        "metal": "zinc",
        "form": "flush",
        "count": "4",
        "net_kg": "11.5",
        "length_m": "0.3",
        "width_m": "0.15",
        "thickness_m": "0.04",
        "stand_off_m": "",
        "fitted": "2022-06",
        "seen": "2023-06",
        "left_percent": "70",
        "amps": "",
        "set_mv": "",
        "electrode": "",
    },
    {"anode": "A1", "seen": "2024-06", "left_percent": "40"},
    {"anode": "I1", "zone": "Z1", "metal": "impressed", "set_mv": "-850"}
    | {"electrode": "ag/agcl"},
)
POTENTIALS = (
    {
        "time": "2024-05-02 10:00",
        "zone": "Z1",
        "frame": "",
        "side": "",
        "mv": "-655",
        "electrode": "Ag/AgCl",
        "distance_m": "0.3",
        "shore_earth": "disconnected",
        "impressed": "off",
        "settled_min": "90",
        "open_mv": "210",
    },
    {"time": "2024-05", "frame": "20", "side": "port", "mv": "240", "electrode": "zn"},
)
STEPS = (
    {"time": "2024-03-03 08:20", "by": "3/E", "circuit": "service", "act": "began"}
    | {"result": "alongside", "remark": ""},
    {"time": "2024-03-03 08:30", "circuit": "panel", "act": "clamped", "result": "350"},
    {"time": "2024-03-03 08:40", "circuit": "galley", "act": "opened"}
    | {"result": "went"},
    {"time": "2024-03-03 09:40", "circuit": "galley", "act": "tested", "result": "900"},
)


def full(folder: Path) -> Path:
    """Write the sound folder with every table of the second edition."""
    sound(folder)
    write_rows(folder, "readings", READINGS)
    write_rows(folder, "works", WORKS)
    write_rows(folder, "anodes", ANODES)
    write_rows(folder, "potentials", POTENTIALS)
    (folder / "hunts").mkdir()
    write_rows(folder / "hunts", "F1", STEPS)
    return folder


def test_readings_in_si(tmp_path: Path) -> None:
    first, round_, between = read_ship(full(tmp_path)).readings
    assert (first.system, first.fault, first.conductor) == ("service", "F1", "b")
    assert (first.clamped, first.meter, first.duration) == ("feeder", 1e6, 600.0)
    assert first.lamps == ("bright", "failed", None)
    assert (first.temperature, first.monitor, first.test_volts) == (40.0, 9000.0, 250.0)
    assert (round_.fault, round_.clamped, round_.meter) == (None, "fault path", 10e6)
    assert (between.conductor, between.to, between.lamps) == ("+", "-", ())


def test_works_in_si(tmp_path: Path) -> None:
    ship = read_ship(full(tmp_path))
    painted, doubler, renewed = ship.works
    assert (painted.share, painted.bare, painted.counts) == (0.8, 0.01, False)
    assert doubler.thickness == pytest.approx(0.009)
    assert doubler.counts
    assert (renewed.share, renewed.anode) == (1.0, "A1")
    assert [painted.covers(zone) for zone in ship.zones] == [True, True, True]
    assert [doubler.covers(zone) for zone in ship.zones] == [True, False, False]


def test_an_anode_has_all_looks_at_it(tmp_path: Path) -> None:
    zinc, impressed = read_ship(full(tmp_path)).anodes
    dates = [look.seen for look in zinc.looks]
    assert dates == [as_written("2023-06"), as_written("2024-06")]
    assert [look.left for look in zinc.looks] == pytest.approx([0.7, 0.4])
    assert (zinc.net_mass, zinc.count, zinc.width) == (11.5, 4, 0.15)
    assert impressed.set_potential == pytest.approx(-0.850)
    assert (impressed.electrode, impressed.count) == ("Ag/AgCl", 1)


def test_potentials_in_si(tmp_path: Path) -> None:
    silver, zinc = read_ship(full(tmp_path)).potentials
    assert silver.potential == pytest.approx(-0.655)
    assert silver.open_circuit == pytest.approx(0.210)
    assert (silver.settled, silver.shore_earth) == (5400.0, "disconnected")
    assert (zinc.electrode, zinc.frame, zinc.side) == ("Zn", 20.0, "port")


def test_hunts_in_si(tmp_path: Path) -> None:
    (hunt,) = read_ship(full(tmp_path)).hunts
    assert (hunt.hunt, hunt.system) == ("F1", "service")
    numbers = [step.number for step in hunt.steps]
    assert numbers == [None, pytest.approx(0.35), None, 900.0]
    assert hunt.steps[2] == HuntStep(
        time=as_written("2024-03-03 08:40"),
        act="opened",
        circuit="galley",
        result="went",
        line=4,
    )


def test_new_columns_of_old_tables(tmp_path: Path) -> None:
    full(tmp_path)
    write_rows(
        tmp_path,
        "gaugings",
        (
            {"zone": "Z1", "date": "2022", "thickness_mm": "0", "kind": "least"}
            | {"surface": "As found", "built_mm": "12", "pit_depth_mm": "2"}
            | {"pitting_percent": "5", "seen_m2": "3", "plate": "C4", "by": "diver"},
            {"zone": "Z2", "date": "2022", "thickness_mm": "10"},
            {"zone": "R1", "date": "2022", "thickness_mm": "11"},
        ),
    )
    gauging = read_ship(tmp_path).gaugings[0]
    assert gauging.thickness == 0.0  # a hole is a reading
    assert (gauging.surface, gauging.seen_area) == ("as found", 3.0)
    assert (gauging.built, gauging.pit_depth, gauging.pitting) == (0.012, 0.002, 0.05)


@pytest.mark.parametrize(
    ("cells", "afloat", "lies"),
    [("yes", True, "afloat"), ("no", False, "dock"), ("Aground", True, "aground")],
)
def test_how_she_lay(tmp_path: Path, cells: str, afloat: bool, lies: str) -> None:
    full(tmp_path)
    rows = ({"from": "1991", "supply": "own", "afloat": cells},)
    write_rows(tmp_path, "berths", rows)
    (berth,) = read_ship(tmp_path).berths
    assert (berth.afloat, berth.lies) == (afloat, lies)


@pytest.mark.parametrize(
    ("supply", "cable", "connected"),
    [
        ("own", "", False),
        ("shore earthed", "", None),
        ("shore isolated", "", None),
        ("shore earthed", "none", False),
        ("shore isolated", "0.2", True),
        ("own", "0.2", True),
    ],
)
def test_whether_an_earth_is_connected(
    tmp_path: Path, supply: str, cable: str, connected: bool | None
) -> None:
    full(tmp_path)
    rows = ({"from": "1991", "supply": supply, "earth_cable_ohm": cable},)
    write_rows(tmp_path, "berths", rows)
    assert read_ship(tmp_path).berths[0].earth_connected is connected


def test_a_battery_on_charge_stands_above_its_name(tmp_path: Path) -> None:
    full(tmp_path)
    with_cells(tmp_path, "faults:3", {"hull_v_pos": "274"})  # of 220 V, 25 % more
    assert read_ship(tmp_path).faults[1].readings.hull_volts[0] == 274.0


def told(ship: Ship) -> list[object]:
    """Return her further tables, without where they stand."""
    tables = (ship.readings, ship.works, ship.anodes, ship.potentials, ship.hunts)
    return [repr(table).partition("line=")[0] for table in tables]


def test_written_and_read_again(tmp_path: Path) -> None:
    ship = read_ship(full(tmp_path / "one"))
    write_ship(ship, tmp_path / "two")
    again = read_ship(tmp_path / "two")
    assert told(again) == told(ship)
    assert again.readings == ship.readings  # lines too: same rows in the same order
    assert again.anodes == ship.anodes
    assert again.hunts == ship.hunts
    assert again.works == ship.works
    assert again.potentials == ship.potentials


def test_what_was_not_known_on_a_day(tmp_path: Path) -> None:
    ship = read_ship(full(tmp_path))
    known, words = records_as_of(ship, date(2023, 7, 1))
    assert (known.readings, known.potentials, known.hunts) == ((), (), ())
    assert [len(known.works), len(known.anodes[0].looks)] == [2, 1]
    assert sum("left out" in one for one in words) >= 4


BROKEN = [
    ("readings:2", {"fault": "F9"}, "readings.csv:2: fault: no fault 'F9'"),
    ("readings:3", {"system": ""}, "readings.csv:3: system: blank, and no fault"),
    ("readings:4", {"fault": "F1"}, "readings.csv:4: system: 'battery', but"),
    ("readings:2", {"conductor": "+"}, "readings.csv:2: conductor: no conductor"),
    ("readings:4", {"to": "a"}, "readings.csv:4: to: no conductor 'a'"),
    ("readings:4", {"to": "+"}, "readings.csv:4: to: '+', the conductor itself"),
    ("readings:2", {"volts": "600"}, "readings.csv:2: volts: 600 V on a system"),
    ("readings:2", {"amps": "-1"}, "readings.csv:2: amps: -1 A of alternating"),
    ("readings:4", {"lamp_a": "out"}, "readings.csv:4: lamp_a: 'out', but"),
    ("works:2", {"zone": "Z9"}, "works.csv:2: zone: no zone 'Z9'"),
    ("works:2", {"work": "paint"}, "works.csv:2: work: 'paint'"),
    ("works:4", {"anode": "A2"}, "works.csv:4: anode: no anode 'A2'"),
    ("works:2", {"anode": "A1"}, "works.csv:2: anode: 'A1', though the work"),
    ("works:2", {"counts": "no"}, "works.csv:2: counts: no, though the work"),
    ("anodes:2", {"metal": ""}, "anodes.csv:2: metal: blank in the anode's first"),
    ("anodes:2", {"seen": ""}, "anodes.csv:2: seen: blank"),
    ("anodes:3", {"net_kg": "12"}, "anodes.csv:3: net_kg: another net_kg than on"),
    ("anodes:4", {"set_mv": ""}, "anodes.csv:4: amps: blank for impressed"),
    ("anodes:4", {"electrode": ""}, "anodes.csv:4: electrode: blank, though"),
    ("potentials:2", {"zone": ""}, "potentials.csv:2: zone: blank; the zone, or"),
    ("potentials:2", {"electrode": "Cu"}, "potentials.csv:2: electrode: 'Cu'"),
    (
        "hunts/F1:2",
        {"act": "opened", "result": "went"},
        "hunts/F1.csv:2: act: 'opened' in row 1",
    ),
    ("hunts/F1:2", {"circuit": "x"}, "hunts/F1.csv:2: circuit: no circuit 'x'"),
    ("hunts/F1:3", {"result": "some"}, "hunts/F1.csv:3: result: some; a number"),
    ("hunts/F1:4", {"result": "gone"}, "hunts/F1.csv:4: result: gone; one of"),
    ("hunts/F1:4", {"circuit": ""}, "hunts/F1.csv:4: circuit: blank"),
    ("faults:2", {"standing": "yes"}, "faults.csv:2: standing: yes, though cleared"),
    ("faults:4", {"return_zone": "Q"}, "faults.csv:4: return_zone: no zone 'Q'"),
]


@pytest.mark.parametrize(("where", "cells", "start"), BROKEN)
def test_one_problem(
    tmp_path: Path, where: str, cells: dict[str, str], start: str
) -> None:
    full(tmp_path)
    for column in ("standing", "return_zone"):
        with_cells(tmp_path, "faults:2", {column: ""})
    with_cells(tmp_path, where, cells)
    with pytest.raises(RecordError, match=r"\.csv:\d") as caught:
        read_ship(tmp_path)
    assert [str(one)[: len(start)] for one in caught.value.problems] == [start]


def test_a_system_is_tied_where_its_kind_can_be(tmp_path: Path) -> None:
    tied = 'volts = 220\nearthed_at = "star"'
    with_text(full(tmp_path), "ship.toml", "volts = 220", tied)
    with pytest.raises(RecordError, match=r"earthed_at: 'star' for kind dc2; one of"):
        read_ship(tmp_path)
    with_text(tmp_path, "ship.toml", '"star"', '"-"\nearth_ohm = 0.5')
    battery = read_ship(tmp_path).systems[1]
    assert (battery.earthed_at, battery.earthing) == ("-", 0.5)


def test_display_and_prices(tmp_path: Path) -> None:
    more = '[display]\nunits = "us"\ncurrency = "kr"\n[prices]\ndock_day = 9000'
    with_text(full(tmp_path), "ship.toml", "[prices]", more)
    ship = read_ship(tmp_path)
    assert (ship.display.units, ship.display.currency) == ("us", "kr")
    assert ship.prices.dock_day == 9000.0


SET_POINTS = (
    ("850", "Ag/AgCl", "850 mV holds no hull against Ag/AgCl"),
    ("-850", "Zn", "-850 mV holds no hull against Zn"),
    ("250", "CSE", "250 mV holds no hull against CSE"),
    ("-1150", "SCE", "-1150 mV against SCE overprotects steel"),
    ("-60", "Zn", "-60 mV against Zn overprotects steel"),
    ("-850", "Ag/AgCl", ""),
    ("230", "Zn", ""),
)


HULL_POTENTIALS = (
    ("655", "Ag/AgCl", "655 mV is not usual against Ag/AgCl"),
    ("-655", "Zn", "-655 mV is not usual against Zn"),
    ("-655", "Ag/AgCl", ""),
    ("400", "Zn", ""),
)


@pytest.mark.parametrize(("mv", "electrode", "said"), HULL_POTENTIALS)
def test_a_potential_whose_sign_does_not_fit_its_electrode_is_a_doubt(
    mv: str, electrode: str, said: str, tmp_path: Path
) -> None:
    folder = full(tmp_path)
    with_cells(folder, "potentials:2", {"mv": mv, "electrode": electrode})
    doubts = [str(doubt) for doubt in read_ship(folder).doubts]
    named = [text for text in doubts if text.startswith("potentials.csv:2: mv: ")]
    assert len(named) == bool(said)
    assert said in " ".join(named)
    assert all("check sign, electrode and unit" in text for text in named)


@pytest.mark.parametrize(("set_mv", "electrode", "said"), SET_POINTS)
def test_a_set_point_that_does_not_fit_its_electrode_is_a_doubt(
    set_mv: str, electrode: str, said: str, tmp_path: Path
) -> None:
    folder = full(tmp_path)
    with_cells(folder, "anodes:4", {"set_mv": set_mv, "electrode": electrode})
    doubts = [str(doubt) for doubt in read_ship(folder).doubts]
    named = [text for text in doubts if text.startswith("anodes.csv:4: set_mv")]
    assert len(named) == bool(said)
    assert said in " ".join(named)


@pytest.mark.parametrize(
    ("metal", "kg", "odd"),
    [("zinc", "36", False), ("zinc", "60", True), ("aluminium", "36", True)],
)
def test_an_anode_heavier_than_its_form_is_a_doubt(
    metal: str, kg: str, odd: bool, tmp_path: Path
) -> None:
    folder = full(tmp_path)
    sizes = {"length_m": "0.6", "width_m": "0.15", "thickness_m": "0.06"}
    with_cells(folder, "anodes:2", {"metal": metal, "net_kg": kg} | sizes)
    doubts = [str(doubt) for doubt in read_ship(folder).doubts]
    assert any("does not fit into 5.4 litres" in text for text in doubts) == odd
