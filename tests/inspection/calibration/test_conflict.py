"""How a ship's gaugings lie to her records, in one sentence."""

import os
import sys
import threading
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import ships
from forward_ships import ship
from scipy.stats import binom

from corrosion.estimate import estimate
from corrosion.foundation import parallel
from corrosion.foundation.types import Array
from corrosion.inspection.calibration import calibrate
from corrosion.inspection.calibration.conflict import (
    LeftOut,
    PriorConflict,
    leave_out,
    prior_conflict,
)
from corrosion.inspection.calibration.measurements import Measured
from corrosion.inspection.calibration.readings import Surfaces
from corrosion.records.dates import as_written
from corrosion.records.measured import Gauging

PLATES = 12


def found(thinner: int, ratio: float) -> PriorConflict:
    """Return the answer for twelve plates of 10 mm, gauged twice, foreseen as 9.5."""
    rows = 2 * PLATES
    off = np.where(np.arange(PLATES) < thinner, -0.2e-3, 0.2e-3)
    gone = np.concatenate([0.5e-3 + off, 0.5e-3 - off])  # only the later ones count
    measured = Measured(
        row=np.arange(rows),
        lead=np.arange(rows),
        zone=np.tile(np.arange(PLATES), 2),
        campaign=np.repeat([0, 1], PLATES),
        moment=np.repeat([1e9, 1.4e9], PLATES),
        gone=gone,
        sd=np.full(rows, 0.1e-3),
        times=np.ones(rows),
        backed=np.ones(rows),
        replaced=np.zeros(rows),
        pitted=np.zeros(rows, np.bool_),
        spots=np.full(rows, np.inf),
        surfaces=Surfaces(
            mean=np.zeros(1), sd=np.array([1e-4]), chance=np.ones((2, 1))
        ),
    )
    predicted = np.full((64, rows), 9.5e-3)
    losses: tuple[Array, Array] = (np.full(64, 100.0), np.full(64, 100.0 * ratio))
    return prior_conflict(predicted, measured, 10e-3 - gone, losses)


def test_thin_plates_are_told_in_one_sentence() -> None:
    one = found(11, 2.4)
    assert one.words == (
        "her gaugings show 2.4 times the loss foreseen for the plates gauged; "
        "11 of 12 are thinner than foreseen"
    )
    assert one.conflict
    assert 2.0 * binom.cdf(1, 12, 0.5) < 0.05  # what calls it more than chance


def test_what_chance_explains_is_no_conflict() -> None:
    assert not found(7, 1.1).conflict
    assert not found(11, 1.1).conflict
    assert not found(7, 2.4).conflict
    assert found(7, 2.4).words.endswith("foreseen, as chance alone may have it")


def test_two_campaigns_say_little() -> None:
    known = ship(np.random.default_rng(3), [30.0, 50.0], samples=64)
    one = leave_out(
        np.random.default_rng(1), known.start, known.prior.until(2), known.readings
    )
    assert one.readings is None
    assert one.words == "two campaigns say little of how well this ship is foreseen"


def test_three_campaigns_are_foreseen_one_from_the_others() -> None:
    # four ships of some 29 readings; half of four standard errors, readings of one
    # campaign alike
    held = readings = 0
    for seed in range(4):
        rng = np.random.default_rng(seed)
        known = ship(rng, [30.0, 45.0, 58.0], samples=96)
        one = leave_out(rng, known.start, known.prior.until(3), known.readings)
        assert one.held is not None
        assert one.readings == known.readings.zone.size
        held, readings = held + one.held, readings + one.readings
    assert held / readings == pytest.approx(0.8, abs=0.14)


def test_the_same_is_found_by_a_child(monkeypatch: pytest.MonkeyPatch) -> None:
    """Campaigns of three dates through a whole estimate, with children and without."""
    read = [
        Gauging(zone=zone, date=as_written(day), thickness=left, readings=8)
        for day, left in (("2005-05", 9.4e-3), ("2013-05", 9.1e-3), ("2021-05", 8.8e-3))
        for zone in ("AP", "FP")
    ]
    known, here, ways = ships.ship(gaugings=read), os.getpid(), []
    monkeypatch.setenv("CORROSION_KEEP", "no")
    monkeypatch.setattr(threading, "active_count", lambda: 1)

    def told(*given: Any) -> LeftOut:
        return replace(leave_out(*given), words=f"{os.getpid() == here}")

    monkeypatch.setattr(calibrate, "leave_out", told)
    for children in (False, True):
        monkeypatch.setitem(
            parallel._allowed, "children", children and sys.platform == "linux"
        )
        found = estimate(known, samples=64, as_of="2026-01-01")
        assert found.calibration.left_out is not None
        ways.append((found.calibration.left_out, found.zone_table.rows))
    (one, rows), (other, others) = ways
    assert (one.words, other.words) == ("True", str(sys.platform != "linux"))
    assert (one.held, one.readings) == (other.held, 6)
    assert rows == others


def test_a_campaign_that_is_off_is_not_foreseen() -> None:
    rng = np.random.default_rng(5)
    known = ship(rng, [30.0, 45.0, 58.0], samples=96)
    off = known.readings.gone + 3e-3 * (known.readings.campaign == 1)
    turned = replace(known.readings, gone=off)
    one = leave_out(rng, known.start, known.prior.until(3), turned)
    plain = leave_out(rng, known.start, known.prior.until(3), known.readings)
    assert one.held is not None
    assert plain.held is not None
    assert one.held < plain.held - 5
