"""The two invented ships are sound, rich, and say that they are invented."""

import csv
from collections import Counter
from datetime import date
from itertools import pairwise
from pathlib import Path

import pytest

from corrosion.estimate import estimate
from corrosion.foundation.units import DAY, YEAR
from corrosion.presentation.sentences import headline
from corrosion.records.folder.read import read_ship
from corrosion.records.ship import WETTED, Ship, Zone

DATA = Path(__file__).parents[1] / "data"
BOTH = ("grey-plover", "saltmarsh")


@pytest.fixture(scope="module")
def plover() -> Ship:
    return read_ship(DATA / "grey-plover")


@pytest.fixture(scope="module")
def saltmarsh() -> Ship:
    return read_ship(DATA / "saltmarsh")


@pytest.fixture(scope="module", params=BOTH)
def ship(request: pytest.FixtureRequest) -> Ship:
    return read_ship(DATA / request.param)


@pytest.mark.parametrize("folder", BOTH)
def test_says_first_that_it_is_invented(folder: str) -> None:
    first = (DATA / folder / "ship.toml").read_text(encoding="utf-8").splitlines()[0]
    assert first.startswith("#")
    assert "is an invented ship" in first


@pytest.mark.parametrize(
    "path", sorted(DATA.rglob("*.csv")), ids=lambda path: path.name
)
def test_a_text_editor_and_a_spreadsheet_open_it(path: Path) -> None:
    raw = path.read_bytes()
    assert b"\r" not in raw
    assert raw.endswith(b"\n")
    rows = list(csv.reader(raw.decode("utf-8").splitlines(), strict=True))
    assert {len(row) for row in rows} == {len(rows[0])}
    assert path.parent.name == "monitor" or len(rows) <= 100


def test_has_zones_of_every_kind_on_both_sides(ship: Ship) -> None:
    assert 20 <= len(ship.zones) <= 40
    sides = Counter(zone.side for zone in ship.zones)
    assert sides["port"] == sides["starboard"]
    assert sides["centre"] >= 3
    exposures = {zone.exposure for zone in ship.zones}
    assert exposures == {"immersed", "splash", "bilge", "tank"}
    assert {zone.consequence for zone in ship.zones} >= {2, 3, 4, 5}
    assert {zone.access for zone in ship.zones} == {"inside", "diver"}
    assert sum(zone.cable_share or 0.0 for zone in ship.zones) == pytest.approx(1.0)


def test_has_jointed_parts_of_another_metal_and_behind_a_poor_joint(ship: Ship) -> None:
    parts = {zone.zone: zone for zone in ship.zones if zone.bond is not None}
    assert len(parts) >= 5
    assert all(
        part.bonded_to in {z.zone for z in ship.zones} for part in parts.values()
    )
    assert {part.metal for part in parts.values()} == {
        "steel",
        "nickel-aluminium bronze",
    }
    assert max(part.bond or 0.0 for part in parts.values()) == parts["C-SEA"].bond


def test_shell_zones_tile_the_wetted_hull(ship: Ship) -> None:
    shell = [
        zone
        for zone in ship.zones
        if zone.exposure in WETTED and zone.bond is None and zone.side != "centre"
    ]
    form = ship.form
    girths = {
        side: [z for z in shell if z.side == side] for side in ("port", "starboard")
    }
    for zones in girths.values():
        assert sum(_sheer(zone) for zone in zones) == pytest.approx(
            max(zone.frame_to for zone in zones) * form.draught
        )
        assert not any(_overlap(a, b) for a in zones for b in zones if a is not b)
    end = max(zone.frame_to for zone in shell) * form.frame_spacing
    assert end == pytest.approx(form.length, abs=form.frame_spacing)


def _sheer(zone: Zone) -> float:
    return (zone.frame_to - zone.frame_from) * (zone.bottom - zone.top)


def _overlap(a: Zone, b: Zone) -> bool:
    along = min(a.frame_to, b.frame_to) > max(a.frame_from, b.frame_from)
    return along and min(a.bottom, b.bottom) > max(a.top, b.top)


def test_has_a_log_of_faults_of_every_source(ship: Ship) -> None:
    assert 40 <= len(ship.faults) <= 120
    sources = Counter(fault.source for fault in ship.faults)
    assert sources["welding"] >= 4
    assert sources["other"] >= 1
    assert sources["ground fault"] >= 40
    faulty = {(f.system, f.circuit) for f in ship.faults if f.source == "ground fault"}
    assert faulty <= {(c.system, c.circuit) for c in ship.circuits}
    assert {"ashore", "aboard"} <= {fault.returns for fault in ship.faults}


def test_has_every_reading_somewhere(ship: Ship) -> None:
    readings = [fault.readings for fault in ship.faults]
    assert sum(r.insulation is not None for r in readings) >= 20
    assert sum(r.amps is not None for r in readings) >= 10
    assert sum(any(r.hull_volts) for r in readings) >= 10
    assert {3e3, 10e6} <= {r.meter for r in readings if any(r.hull_volts)}
    seen = {lamp for r in readings for lamp in r.lamps if lamp is not None}
    assert seen == {"out", "dim", "even", "bright"}


def test_circuits_form_a_tree_some_of_it_behind_a_permission(ship: Ship) -> None:
    names = {(row.system, row.circuit) for row in ship.circuits}
    assert 20 <= len(names) == len(ship.circuits) <= 35
    feeders = [(r.system, r.fed_from) for r in ship.circuits if r.fed_from is not None]
    assert len(feeders) >= 8
    assert set(feeders) <= names
    asked = [row for row in ship.circuits if row.permission != "none"]
    assert any(not row.permission for row in asked)
    assert any(row.permission for row in asked)
    assert len(names) / 4 < len(asked) < len(names)
    assert any(row.vital for row in ship.circuits)
    assert {row.open_when for row in ship.circuits} >= {"any time", "alongside"}
    assert {row.test for row in ship.circuits} >= {"500", "250", "never"}
    assert all(row.minutes_to_open and row.minutes_to_test for row in ship.circuits)


def test_berths_follow_one_another_from_building_to_the_present(ship: Ship) -> None:
    first, last = ship.berths[0].start, ship.berths[-1].end
    assert first is not None
    assert first.text == ship.built.text
    assert last is None
    for before, after in pairwise(ship.berths):
        assert before.end == after.start


def test_the_museum_ships_records_are_patchy(plover: Ship) -> None:
    widths = [fault.found.width for fault in plover.faults]
    assert sum(width > 300 * DAY for width in widths) >= 12
    assert sum(27 * DAY < width < 32 * DAY for width in widths) >= 20
    assert sum(width <= DAY for width in widths) >= 30
    assert sum(fault.cleared is None for fault in plover.faults) == 3
    assert sum(fault.zone is None for fault in plover.faults) >= 2
    assert sum(fault.last_good is None for fault in plover.faults) >= 20
    decades = {fault.found.text[:3] for fault in plover.faults}
    assert decades == {"199", "200", "201", "202"}


def test_the_museum_ships_gaugings_disagree_with_one_another(plover: Ship) -> None:
    assert 35 <= len(plover.gaugings) <= 50
    assert {gauging.date.text[:4] for gauging in plover.gaugings} == {"2007", "2021"}
    mean = {(g.zone, g.date.text[:4]): g for g in plover.gaugings if g.kind == "mean"}
    low = mean["M3-P-BOT", "2021"].thickness - mean["M3-S-BOT", "2021"].thickness
    assert low == pytest.approx(2.1e-3)
    doubler = plover.zones[plover.zone_index("M1-P-SID")]
    assert mean["M1-P-SID", "2021"].thickness > doubler.built
    assert sum(gauging.kind == "least" for gauging in plover.gaugings) >= 3


def test_the_museum_ship_lay_on_an_earthed_supply_with_and_without_conductor(
    plover: Ship,
) -> None:
    earthed = [berth for berth in plover.berths if berth.supply == "shore earthed"]
    assert len(earthed) >= 6
    assert any(berth.earth_cable is None for berth in earthed)
    assert [berth.galvanic_isolator for berth in earthed] == [False] * 6 + [True]
    assert {berth.supply for berth in plover.berths} == {
        "own",
        "shore isolated",
        "shore earthed",
    }
    docked, docks = plover.last_docking, plover.next_docking
    assert docked is not None
    assert docks is not None
    assert docks.earliest - docked.earliest > 19 * YEAR


def test_the_museum_ship_has_her_two_systems(plover: Ship) -> None:
    service, legacy = plover.systems
    assert (service.kind, service.volts, service.fed_from_shore) == ("ac3", 440, True)
    assert (legacy.kind, legacy.volts, legacy.fed_from_shore) == ("dc2", 220, False)
    assert service.switchboard_zone == "M2-S-BIL"
    ashore = [f for f in plover.faults if f.returns == "ashore" and f.current == "dc"]
    assert len(ashore) >= 4
    assert all(fault.readings.amps is not None for fault in ashore)


def test_the_ferrys_records_are_tidy(saltmarsh: Ship) -> None:
    assert all(fault.found.width <= 60.0 for fault in saltmarsh.faults)
    assert all(fault.last_good is not None for fault in saltmarsh.faults)
    hours = [
        (fault.cleared.earliest - fault.found.earliest) / 3600.0
        for fault in saltmarsh.faults
        if fault.cleared is not None
    ]
    assert len(saltmarsh.faults) - len(hours) == 1
    assert sorted(hours)[-2] <= 72.0
    assert max(hours) == 176.0  # the week that the ship's story is about
    assert min(hours) < 1.0
    assert [system.kind for system in saltmarsh.systems] == ["ac3", "ac3", "dc2"]
    assert {g.date.text[:4] for g in saltmarsh.gaugings} == {"2019", "2024"}


def test_some_of_the_ferry_is_protected_and_some_is_not(saltmarsh: Ship) -> None:
    immersed = [z for z in saltmarsh.zones if z.exposure == "immersed"]
    assert any(zone.protection > 0.0 for zone in immersed)
    assert any(zone.protection == 0.0 for zone in immersed)


def test_the_ferrys_hull_current_log_covers_one_hour_of_one_fault(
    saltmarsh: Ship,
) -> None:
    (log,) = saltmarsh.logs
    with log.path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == 3600 - 40
    amps = [float(row["amps"]) for row in rows]
    assert min(amps) >= 0.1
    assert max(amps) <= 2.0
    assert {(row["system"], row["circuit"], row["current"]) for row in rows} == {
        ("main", "propulsion drive 1", "ac")
    }


def test_doubts_are_few_and_intended(ship: Ship) -> None:
    doubts = [str(doubt) for doubt in ship.doubts]
    asked = ("never gauged", "surface: it is blank")  # of many rows, said once each
    others = [doubt for doubt in doubts if not any(words in doubt for words in asked)]
    assert len(doubts) - len(others) == len(asked)
    if ship.name == "Grey Plover":
        long, doubler = others  # stood for years; a doubler that no drawing shows
        assert "3.6 years; is the year right?" in long
        assert "the 11.5 mm as built" in doubler
    else:
        assert others == []


def test_each_new_table_is_shown_by_one_ship_or_the_other(
    plover: Ship, saltmarsh: Ship
) -> None:
    for ship in (plover, saltmarsh):
        assert any(row.fault is None for row in ship.readings)  # rounds
        assert any(row.fault is not None for row in ship.readings)
        assert ship.works
        assert ship.hunts[0].steps[0].act == "began"
    assert {row.clamped for row in plover.readings} == {"fault path", "earth lead"}
    assert {row.electrode for row in plover.potentials} == {"Ag/AgCl"}
    assert all(len(row.looks) == 1 for row in saltmarsh.anodes)
    last = saltmarsh.hunts[0].steps[-1]
    (fault,) = (row for row in saltmarsh.faults if row.fault == "SM-056")
    assert (last.act, last.time) == ("cleared", fault.cleared)


def test_the_ferrys_week_of_direct_current_ranks_its_zone_first_and_says_why() -> None:
    """A young hull in sound paint; what went ashore left through a few holidays."""
    result = estimate(DATA / "saltmarsh", samples=128, as_of=date(2026, 11, 25))
    first = result.zones.iloc[0]
    assert first["zone"] == "C-SEA"
    assert first["leading_cause"] == "faults"
    assert first["leading_fault"] == "SM-050"
    assert first["stray_mm_p50"] > 1.0
    assert first["bare_share"] < 0.05
    # what is taken elsewhere is some tenths: her propellers are cathodes of her hull
    assert result.zones["stray_mm_p50"].iloc[1:].max() < 0.5 * first["stray_mm_p50"]
    said = headline(result)
    assert said.startswith("Gauge C-SEA")
    assert "stray current from faults" in said
