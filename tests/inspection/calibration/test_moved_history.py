"""Tests of calibration.moved_history: pits grow ahead at the rate of their time."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from ships import ship

from corrosion.estimate import estimate
from corrosion.foundation.units import MM
from corrosion.history.kept_history import kept_history
from corrosion.inspection.ahead.new_faults import new_faults, with_new_faults
from corrosion.inspection.calibration.moved_history import moved
from corrosion.inspection.outlook import project
from corrosion.records.dates import as_written
from corrosion.records.measured import Gauging
from corrosion.records.upkeep import Work

DAY = date(2026, 1, 1)


def test_twice_as_fast_until_today_and_as_recorded_from_then_on() -> None:
    """By hand: 2 d(today), and every further millimetre once; pits as d ** 0.65."""
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
    lost = (records.since[:, ahead, k] / MM) ** (1.0 / 0.65)  # [mm]
    expected = MM * (lost + lost[:, :1]) ** 0.65
    assert shifted.since[:, ahead, k] == pytest.approx(expected, rel=1e-3)
    assert shifted.mean[:, ahead, k] - inside[:, ahead, k] == pytest.approx(
        2.0 * sea[:, now, None, k] + later[:, ahead, k], rel=1e-3
    )
    assert shifted.worn[:, ahead, k] - inside[:, ahead, k] == pytest.approx(
        np.broadcast_to(2.0 * (records.worn - inside)[:, now, None, k], lost.shape),
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


def test_a_pit_of_the_past_has_the_factor_of_its_time() -> None:
    """By hand: three times the loss in 2016 to 2020 alone; before it as recorded."""
    result = estimate(ship(), samples=32, as_of=DAY)
    inputs, given = result.inputs, result.calibration.factors
    records = kept_history(inputs, {})
    moments = records.moments
    begun, ended = (as_written(day).middle for day in ("2016-01-01", "2020-01-01"))
    inside = inputs.zones.inner[:, None] * (moments - inputs.time_grid.start)[:, None]
    sea = np.maximum(records.mean - inside, 1e-15)
    edges = [int(np.searchsorted(moments, at)) for at in (begun, ended)]
    early, late = (sea[:, at, None] for at in edges)
    more = 2.0 * np.clip(sea - early, 0.0, late - early)
    still = replace(
        given,
        moments=moments,
        rate=(sea + more) / sea,
        inside=np.ones_like(given.inside),
        extra=np.zeros_like(sea),
    )
    shifted = moved(inputs, records, still)
    k = result.ship.zone_index("AP")  # last painted in May 2015
    now = int(np.searchsorted(moments, inputs.time_grid.as_of))
    ratio = (sea + more)[:, :, k] / sea[:, :, k]
    grown = records.since[:, :, k]
    after = np.flatnonzero((moments >= begun) & (np.arange(moments.size) <= now))
    assert after.size >= 3
    # the rate fell in 2020, and no pit grew shallower since
    least = np.minimum.accumulate(ratio[:, now::-1], axis=1)[:, ::-1]
    by_hand = grown[:, after] * least[:, after] ** 0.65
    assert shifted.since[:, after, k] == pytest.approx(by_hand, rel=2e-3)
    todays = grown[:, after] * ratio[:, now, None] ** 0.65  # as it would be by today's
    assert np.median(todays[:, 0] / by_hand[:, 0]) > 1.1
    before = np.flatnonzero((grown > 1e-7).all(axis=0) & (moments < begun))
    assert shifted.since[:, before, k] == pytest.approx(grown[:, before], rel=2e-3)
    pits = (shifted.pit - inside)[:, after, k]
    assert (np.diff(pits[np.isfinite(pits).all(axis=1)], axis=1) > -1e-12).all()


def test_a_pit_that_a_weld_left_goes_on_whatever_the_rate_was() -> None:
    """By hand, twice the loss: left at a third, grown by the ratio of the losses."""
    weld = Work(
        date=as_written("2015-06-20"), zone="AP", work="pits welded", share=0.01
    )
    result = estimate(ship(works=(weld,)), samples=128, as_of=DAY)
    inputs, given = result.inputs, result.calibration.factors
    records = kept_history(inputs, {})
    twice = np.full_like(records.mean, 2.0)
    still = replace(
        given,
        moments=records.moments,
        rate=twice,
        whole=twice,
        inside=np.ones_like(given.inside),
        extra=np.zeros_like(twice),
    )
    shifted = moved(inputs, records, still)
    now = int(np.searchsorted(records.moments, inputs.time_grid.as_of))
    ahead = (slice(None), slice(now, None))
    k, other = (result.ship.zone_index(name) for name in ("AP", "FP"))
    pits, were = shifted.pit[ahead], records.pit[ahead]
    assert pits[..., k] == pytest.approx(were[..., k], rel=1e-4)
    age = records.moments[ahead[1], None] - inputs.time_grid.start
    inside = (inputs.zones.inner[:, None] * age)[..., other]
    old = were[..., other] - inside
    some = np.isfinite(old)
    assert some.any()
    grown = pits[..., other] - inside
    assert grown[some] == pytest.approx(2.0**0.65 * old[some], rel=1e-4)


def test_earlier_states_are_those_of_the_same_samples_ahead() -> None:
    """Cut to what is to come, a history is moved as the whole one; chances are means.

    The chance at the horizon is that of both states, each projected by itself.
    """
    read = [
        Gauging(zone="AP", date=as_written("2020-05-01"), thickness=8.9e-3, readings=8),
        Gauging(zone="FP", date=as_written("2020-05-01"), thickness=8.6e-3, readings=8),
    ]
    result = estimate(ship(gaugings=read), samples=64, as_of=DAY)
    inputs, told = result.inputs, result.calibration
    records = kept_history(inputs, {})
    now = int(np.searchsorted(records.moments, inputs.time_grid.as_of))
    new = new_faults(inputs)
    (factors,), (ahead,) = told.earlier, told.moved_earlier(inputs, records)
    whole = moved(inputs, records, factors)
    for name in ("mean", "worn", "since", "pit"):
        short, full = getattr(ahead, name), getattr(whole, name)[:, now:]
        some = np.isfinite(full)
        assert short[some] == pytest.approx(full[some], rel=1e-6, abs=1e-12)
    each = [
        project(inputs, with_new_faults(inputs, one, new), by).chance_ahead
        for one, by in ((told.moved(inputs, records), told.factors), (whole, factors))
    ]
    assert np.abs(each[0] - each[1]).max() > 0.0
    assert result.outlook.chance_ahead == pytest.approx(np.mean(each, axis=0), abs=1e-6)
