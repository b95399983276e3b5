"""What people write down of a life: it reads, it can be true, it errs as it should."""

from datetime import date
from functools import cache
from pathlib import Path

import numpy as np
import pytest

import corrosion
from corrosion.records.dates import as_written
from corrosion.records.monitor import charge
from corrosion.validation.folder import write_folder
from corrosion.validation.instruments import clamped
from corrosion.validation.kinds import KINDS
from corrosion.validation.life import Circumstances, Life, live
from corrosion.validation.logbook import (
    Habits,
    Logbook,
    coarseness,
    keep_log,
    written_date,
)
from corrosion.validation.nature import HOUR, NOW, YEAR
from corrosion.validation.surveyors import Survey, judge_paint, survey


@cache
def written(kind: str, seed: int) -> tuple[Life, Logbook, Survey]:
    life = live(kind, seed, Circumstances())
    return life, keep_log(life, Habits()), survey(life, Habits())


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("habits", [Habits(), Habits(dockings=False, years_only=True)])
def test_every_kind_reads_without_a_problem(
    kind: str, habits: Habits, tmp_path: Path
) -> None:
    life = live(kind, 12, Circumstances(protected=True))
    log, gauged = keep_log(life, habits), survey(life, habits)
    write_folder(tmp_path, life, habits, log=log, survey=gauged)
    ship = corrosion.read_ship(tmp_path)
    assert len(ship.faults) == len(log.rows)
    assert len(ship.gaugings) == len(gauged.rows)
    assert len(ship.zones) == len(life.vessel.plates)
    assert ship.water.salinity == life.vessel.salinity


def test_welding_and_brackish_water_are_written_as_they_were(tmp_path: Path) -> None:
    """What flowed is amperes x share x days; the clamp ashore is written so."""
    life = live("museum", 15, Circumstances(welding=True))
    log, gauged = keep_log(life, Habits()), survey(life, Habits())
    write_folder(tmp_path, life, Habits(), log=log, survey=gauged)
    ship = corrosion.read_ship(tmp_path)
    rows = [fault for fault in ship.faults if fault.source == "welding"]
    assert len(rows) == len(life.welds) > 3
    for row, weld in zip(rows, life.welds, strict=True):
        assert row.cleared is not None
        hours = (row.cleared.latest - row.found.earliest) / 3600.0
        assert row.readings.amps is not None
        charge = row.readings.amps * row.present * hours
        assert charge == pytest.approx(weld.charge_ah, rel=0.02)
        assert (row.returns == "ashore") == (weld.clamp is None)
        assert (row.return_zone is not None) == (weld.told and weld.clamp is not None)
    assert any(weld.clamp is None for weld in life.welds)
    own = life.vessel.salinity
    there = {stay.salinity for stay in life.voyages.stays if stay.start < NOW} - {own}
    assert {berth.salinity for berth in ship.berths} - {None} == {13.0} < there


@pytest.mark.parametrize("seed", range(4))
def test_dates_as_written_hold_what_happened(seed: int) -> None:
    life, log, _ = written("ferry", seed)
    faults = life.faults
    for k, row in enumerate(log.rows):
        f = log.which[k]
        for column, true in (
            ("last_good", faults.last_good[f]),
            ("found", faults.found[f]),
            ("cleared", faults.end[f]),
        ):
            if column in row:
                when = as_written(str(row[column]))
                assert when.earliest - 1.0 <= true <= when.latest + 1.0
        assert faults.last_good[f] <= faults.began[f] <= faults.found[f]
        assert faults.found[f] <= faults.end[f]


def test_old_and_long_entries_are_coarser() -> None:
    rng = np.random.default_rng(1)
    hours = np.full(4000, 10.0)
    late = coarseness(np.full(4000, NOW - 0.5 * YEAR), hours, rng).mean()
    old = coarseness(np.full(4000, NOW - 25.0 * YEAR), hours, rng).mean()
    long_ = coarseness(np.full(4000, NOW - 0.5 * YEAR), 500.0 * hours, rng).mean()
    assert old > late + 0.5
    assert long_ > late + 1.0
    assert written_date(NOW - HOUR, 0) == "2025-12-31 23:00"
    assert written_date(NOW - HOUR, 3) == "2025"


def test_delay_depends_on_what_lamps_can_show() -> None:
    """Low resistances are found within hours, high ones at the next round."""
    low, high = [], []
    for seed in range(12):
        life, log, _ = written("large", seed)
        f = log.which
        delay = (life.faults.found[f] - life.faults.began[f]) / HOUR
        low += delay[log.ohms < 100.0].tolist()
        high += delay[log.ohms > 30e3].tolist()
    assert np.median(low) < 12.0
    assert np.median(high) > 200.0


def test_instruments_read_what_is_there() -> None:
    clamped, tested = [], []
    for seed in range(12):
        _, log, _ = written("ferry", seed)
        for k, row in enumerate(log.rows):
            if "insulation_ohm" in row:
                read = float(str(row["insulation_ohm"]))
                tested.append(np.log(read / log.ohms[k]))
            if "amps" in row and "hull_v_a" in row and "conductor" in row:
                volts = float(str(row.get(f"hull_v_{row['conductor']}", np.nan)))
                if log.ohms[k] > 50.0 and row.get("meter_ohm") == 1e7:
                    amps = abs(float(str(row["amps"])))
                    clamped.append((amps - volts / log.ohms[k]) / max(amps, 0.02))
    assert abs(np.mean(tested)) < 0.2
    assert np.std(tested) == pytest.approx(np.hypot(np.log(2.0), np.log(1.15)), rel=0.2)
    assert np.median(np.abs(clamped)) < 0.15


def test_a_clamp_shows_no_number_beyond_its_range() -> None:
    assert clamped(-3.456) == -3.46
    assert clamped(2295.0) is None


def test_a_recorder_writes_what_flowed(tmp_path: Path) -> None:
    """The log read back holds the charge of all faults of a direct system."""
    life, habits = live("ferry", 3, Circumstances()), Habits(recorder=True)
    log, gauged = keep_log(life, habits), survey(life, habits)
    write_folder(tmp_path, life, habits, log=log, survey=gauged)
    assert corrosion.read_ship(tmp_path).recorder.writes == "on change"
    read = charge(tmp_path / "monitor" / "hull-current.csv", writes="on change")
    told = float(read.loc[read["current"] == "dc", "charge"].iloc[0])
    flown, faults = life.currents, life.faults
    since = np.clip(flown.end, NOW - 2.0 * YEAR, NOW)
    seconds = since - np.clip(flown.start, NOW - 2.0 * YEAR, NOW)
    direct = np.array([s.direct for s in life.vessel.systems])[faults.system]
    whole = float(seconds @ (flown.dc * faults.share * direct).sum(axis=1))
    assert abs(whole) > 1000.0  # C
    assert told == pytest.approx(whole, rel=0.1)  # gain of the recorder, last digit


def test_gaugings_err_by_campaign_and_slip_as_asked() -> None:
    error, held, slips, rows = [], [], 0, 0
    for seed in range(40):
        life = live("coaster", seed, Circumstances())
        gauged = survey(life, Habits(slips=0.2))
        slips, rows = slips + int(gauged.slipped.sum()), rows + len(gauged.rows)
        mean, _ = life.lost(gauged.moments)
        left = life.plating.rolled - mean
        for k, row in enumerate(gauged.rows):
            if not gauged.slipped[k] and row["kind"] == "mean":
                true = left[gauged.campaign[k], gauged.plate[k]]
                read = float(str(row["thickness_mm"])) - gauged.bias_mm[k]
                error.append(read - true)
                held.append(abs(read - true) < 2.0 * gauged.sd_mm[k])
    assert slips / rows == pytest.approx(0.2, abs=4.0 * np.sqrt(0.16 / rows))
    assert abs(np.mean(error)) < 0.02  # mm, of some 1,500: unbiased
    # fewer than 95 %: where paint failed again and again a plate's spots are skewed
    assert 0.90 < np.mean(held) < 0.96


def test_one_eye_judges_all_paint() -> None:
    """Judged over true shares spread little within a ship, and much between ships."""
    within, between = [], []
    for seed in range(36):
        life = live("coaster", seed, Circumstances())
        seen = judge_paint(life)
        moment = as_written(next(row[1] for row in seen if row)).middle
        bare = 100.0 * life.plating.bare(np.array([moment]))[0]
        ratio = [
            np.log(row[0] / true)
            for row, true in zip(seen, bare, strict=True)
            if row and 3.0 < true < 60.0
        ]
        if len(ratio) > 3:
            within.append(np.std(ratio))
            between.append(np.mean(ratio))
    assert np.median(within) < 0.5
    assert 0.25 < np.std(between) < 0.65


def test_nothing_is_written_of_what_is_to_come(tmp_path: Path) -> None:
    life, log, gauged = written("museum", 3)
    write_folder(tmp_path, life, Habits(), log=log, survey=gauged)
    for table in ("faults", "gaugings", "works", "berths"):
        for line in (tmp_path / f"{table}.csv").read_text().splitlines()[1:]:
            for cell in line.split(","):
                if cell[:2] == "20" and len(cell) in (4, 7, 10, 16):
                    assert as_written(cell).earliest <= NOW
    assert date(2025, 12, 31).toordinal() - 719163 + 1 == NOW / 86400.0
