"""Tests of calibration.moved_history: pits grow ahead at the rate of their time."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from ships import ship

from corrosion.estimate import estimate
from corrosion.history.kept_history import kept_history
from corrosion.inspection.calibration.moved_history import moved
from corrosion.records.dates import as_written
from corrosion.records.upkeep import Work

DAY = date(2026, 1, 1)


def test_twice_as_fast_until_today_and_as_recorded_from_then_on() -> None:
    """By hand: 2 d(today), and every further millimetre once, mean and pit alike."""
    result = estimate(ship(), samples=32, as_of=DAY)
    inputs = result.inputs
    records = kept_history(inputs, {})
    now = int(np.searchsorted(records.moments, inputs.time_grid.as_of))
    inside = (
        inputs.zones.inner[:, None]
        * (records.moments - inputs.time_grid.start)[:, None]
    )
    sea = np.maximum(records.mean - inside, 1e-15)
    later = np.maximum(sea - sea[:, now, None], 0.0)
    factor = (2.0 * np.minimum(sea, sea[:, now, None]) + later) / sea
    given = result.calibration.factors
    still = replace(
        given,
        moments=records.moments,
        rate=factor,
        whole=factor,
        inside=np.ones_like(given.inside),
        extra=np.zeros_like(factor),
    )
    shifted = moved(inputs, records, still)
    ahead = slice(now, None)
    k = result.ship.zone_index("AP")  # bare steel, nothing painted ahead
    grown = records.since[:, ahead, k] - records.since[:, now, None, k]
    expected = 2.0 * records.since[:, now, None, k] + grown
    assert shifted.since[:, ahead, k] == pytest.approx(expected, rel=1e-3)
    assert shifted.mean[:, ahead, k] - inside[:, ahead, k] == pytest.approx(
        2.0 * sea[:, now, None, k] + later[:, ahead, k], rel=1e-3
    )
    assert shifted.worn[:, ahead, k] - inside[:, ahead, k] == pytest.approx(
        np.broadcast_to(2.0 * (records.worn - inside)[:, now, None, k], grown.shape),
        abs=1e-9,
    )


def test_a_pit_under_planned_paint_keeps_what_it_has() -> None:
    """Painted in 2027: no shallower in 2028 than today, and no new pit overtakes it."""
    plan = Work(date=as_written("2027-01"), zone="AP", work="painted", bare=0.0)
    result = estimate(ship(works=(plan,)), samples=128, as_of=DAY)
    history = result.history
    k = result.ship.zone_index("AP")
    at = int(np.searchsorted(history.moments, as_written("2028-06").middle))
    old, today = history.pit[:, at, k], result.outlook.deepest[:, k]
    assert np.isfinite(old).all()
    assert np.median(old) > 0.5 * np.median(today)
    assert (history.since[:, at, k] < history.since[:, at - 3, k].max()).all()
