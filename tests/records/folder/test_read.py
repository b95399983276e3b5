"""From files to a ship in SI units, and what a folder may lack."""

import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from records.folders import sound, with_cells, with_text

from corrosion import records
from corrosion.foundation.errors import RecordError
from corrosion.records import folder_digest, read_ship
from corrosion.records.dates import as_written
from corrosion.records.folder.columns import METAL_NAMES, FaultRow
from corrosion.records.folder.row import columns
from corrosion.records.ship import (
    Berth,
    LampSet,
    MonitorLog,
    Prices,
    Readings,
    Water,
)


def contents(folder: Path) -> dict[Path, tuple[bytes, int]]:
    return {
        path: (path.read_bytes(), path.stat().st_mtime_ns)
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def test_converts_to_si_and_keeps_blank_unknown(tmp_path: Path) -> None:
    ship = read_ship(sound(tmp_path))
    first, second, rudder = ship.zones
    assert ship.form.length == 60.0
    assert ship.water == Water(salinity=30.0, temperature=10.0)
    assert ship.prices == Prices(steel_per_kg=14.0)
    assert (first.built, first.limit) == pytest.approx((0.010, 0.0075))
    assert first.pit_limit == pytest.approx(0.005)  # blank: half of built_mm
    assert first.bare == pytest.approx(0.05)
    assert first.protection == pytest.approx(0.020)
    assert first.painted == as_written("2019")
    assert (second.bare, second.area, second.metal) == (None, None, "steel")
    assert (second.consequence, second.access, second.gauge_hours) == (3, "inside", 2)
    assert (rudder.bond, rudder.bonded_to) == (0.02, "Z2")
    assert ship.gaugings[0].thickness == pytest.approx(0.0091)
    assert ship.gaugings[0].sd == pytest.approx(0.0002)
    assert ship.gaugings[1].sd is None
    assert ship.next_docking == as_written("2030-05-01")
    (own,) = ship.assumptions.overridden
    assert (own.name, own.median, own.geometric_sd) == ("pitting_factor", 4.0, 1.5)
    assert own.source == "pits of the last docking"


def test_systems_carry_farads_and_their_lamps(tmp_path: Path) -> None:
    service, battery = read_ship(sound(tmp_path)).systems
    assert service.capacitance == pytest.approx(1.5e-6)
    assert service.lamps == LampSet(volts=127.0, watts=15.0, ratio=2.0)
    assert (service.insulation, service.switchboard_zone) == (400e3, "Z1")
    assert (battery.hertz, battery.capacitance, battery.lamps) == (0.0, None, None)
    assert service.fed_from_shore


def test_readings_stand_in_the_order_of_the_conductors(tmp_path: Path) -> None:
    lamps, battery, welding = read_ship(sound(tmp_path)).faults
    assert lamps.readings == Readings(
        conductor="b",
        amps=0.4,
        insulation=900.0,
        hull_volts=(400.0, 20.0, 410.0),
        meter=5000.0,
        current="ac",
        lamps=("bright", "out", "bright"),
    )
    assert battery.readings.hull_volts == (210.0, -5.0)
    assert battery.readings.meter == 10e6
    assert battery.readings.lamps == ()
    assert (lamps.current, battery.current, welding.current) == ("ac", "dc", "dc")
    assert (lamps.line, battery.line, welding.line) == (2, 3, 4)
    assert (battery.last_good, battery.cleared, battery.zone) == (None, None, None)
    assert welding.returns == "ashore"


def test_two_lamps_of_a_two_wire_system(tmp_path: Path) -> None:
    lamps = "volts = 220\nlamps = { volts = 110, watts = 25 }"
    with_text(sound(tmp_path), "ship.toml", "volts = 220", lamps)
    with_cells(tmp_path, "faults:3", {"lamp_a": "Bright", "lamp_b": "dim"})
    assert read_ship(tmp_path).faults[1].readings.lamps == ("bright", "dim")


def test_missing_tables_are_empty_and_she_lies_afloat(tmp_path: Path) -> None:
    for table in ("faults", "berths", "gaugings", "circuits"):
        (sound(tmp_path) / f"{table}.csv").unlink(missing_ok=True)
    for table in ("faults", "berths", "gaugings", "circuits"):
        (tmp_path / f"{table}.csv").unlink(missing_ok=True)
    ship = read_ship(tmp_path)
    assert (ship.faults, ship.gaugings, ship.circuits) == ((), (), ())
    assert ship.berths == (Berth(start=None, end=None, berth="afloat", supply="own"),)


def test_lists_the_logs_of_the_monitor(tmp_path: Path) -> None:
    place = sound(tmp_path) / "monitor"
    place.mkdir()
    for name in ("b.csv", "a.parquet", "c.csv.gz", "notes.txt"):
        (place / name).write_bytes(b"")
    logs = [log.path.name for log in read_ship(tmp_path).logs]
    assert logs == ["a.parquet", "b.csv", "c.csv.gz"]


def test_reading_changes_nothing(tmp_path: Path) -> None:
    before = contents(sound(tmp_path))
    read_ship(tmp_path)
    folder_digest(tmp_path)
    assert contents(tmp_path) == before


def test_the_digest_follows_every_file_that_is_read(tmp_path: Path) -> None:
    place = sound(tmp_path) / "monitor"
    place.mkdir()
    (place / "a.csv").write_text("time\n")
    digests = [folder_digest(tmp_path)]
    for path in [*contents(tmp_path)]:
        path.write_bytes(path.read_bytes() + b"\n")
        digests.append(folder_digest(tmp_path))
    assert len(set(digests)) == len(digests) == 8
    (tmp_path / "notes.txt").write_text("not read")
    assert folder_digest(tmp_path) == digests[-1]


def test_every_metal_is_steel_or_another(tmp_path: Path) -> None:
    assert METAL_NAMES[0] == "steel"
    assert len(set(METAL_NAMES)) == 13


def test_public_names_are_sorted_and_there() -> None:
    assert records.__all__ == sorted(records.__all__)
    assert all(getattr(records, name) for name in records.__all__)
    with pytest.raises(AttributeError, match="no attribute 'red_ship'"):
        _ = records.red_ship


def test_columns_are_named_as_in_the_files() -> None:
    assert "return" in columns(FaultRow)
    assert "returns" not in columns(FaultRow)


def test_a_missing_folder_is_one_problem(tmp_path: Path) -> None:
    with pytest.raises(
        RecordError, match=r"no folder that can be read .*corrosion new"
    ):
        read_ship(tmp_path / "nowhere")
    with pytest.raises(RecordError, match="no folder that can be read"):
        read_ship(sound(tmp_path) / "ship.toml")
    with pytest.raises(RecordError, match="no folder that can be read"):
        read_ship("a\0b")
    with pytest.raises(RecordError, match="no folder that can be read"):
        folder_digest(tmp_path / "nowhere")


def test_a_missing_ship_file_still_has_the_other_files_checked(tmp_path: Path) -> None:
    (sound(tmp_path) / "ship.toml").rename(tmp_path / "Ship.toml")
    with_cells(tmp_path, "faults:2", {"amps": "x"})
    with pytest.raises(RecordError, match=r"did you mean 'Ship\.toml'") as caught:
        read_ship(tmp_path)
    assert [p.file for p in caught.value.problems] == ["ship.toml", "faults.csv"]


def test_a_folder_or_pipe_in_place_of_a_file(tmp_path: Path) -> None:
    (sound(tmp_path) / "faults.csv").unlink()
    (tmp_path / "faults.csv").mkdir()
    (tmp_path / "berths.csv").unlink()
    os.mkfifo(tmp_path / "berths.csv")
    with pytest.raises(RecordError, match=r"faults.csv: it .* \(a folder\)") as caught:
        read_ship(tmp_path)
    assert "berths.csv: it cannot be read (not a plain file)" in str(caught.value)


def test_a_loop_of_links(tmp_path: Path) -> None:
    loop = sound(tmp_path) / "faults.csv"
    loop.unlink()
    loop.symlink_to(loop)
    (tmp_path / "monitor").symlink_to(tmp_path / "monitor")
    with pytest.raises(RecordError, match=r"faults.csv: it cannot be read \(Too many"):
        read_ship(tmp_path)
    with pytest.raises(RecordError, match=r"faults\.csv: it cannot"):
        folder_digest(tmp_path)


def test_an_unreadable_monitor_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (sound(tmp_path) / "monitor").mkdir()
    plain = Path.iterdir

    def refuse(path: Path) -> Iterator[Path]:
        if path.name == "monitor":
            raise PermissionError(13, "Permission denied")
        return plain(path)

    monkeypatch.setattr(Path, "iterdir", refuse)
    with pytest.raises(RecordError, match=r"^monitor: it cannot be read \(Permission"):
        read_ship(tmp_path)
    with pytest.raises(RecordError, match=r"^monitor: it cannot be read"):
        folder_digest(tmp_path)


def test_an_unreadable_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(path: Path) -> bytes:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "read_bytes", refuse)
    with pytest.raises(
        RecordError, match=r"zones.csv: .* \(Permission denied\); a pla"
    ):
        read_ship(sound(tmp_path))


def test_a_log_that_goes_while_it_is_looked_at_is_a_problem(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    gone = MonitorLog(path=sound(tmp_path) / "monitor" / "gone.csv")
    monkeypatch.setattr(
        "corrosion.records.folder.files.monitor_logs", lambda *_: (gone,)
    )
    with pytest.raises(RecordError, match=r"monitor/gone\.csv: it cannot be read"):
        folder_digest(tmp_path)
