"""Tests of inspection.ahead: faults to come, second faults, and what a measure keeps.

Expected values are worked by hand from the log's own counts, hours and ohms.
"""

from dataclasses import replace
from datetime import date
from functools import cache

import numpy as np
import pytest
from ships import berth, current, fault, ship

from corrosion.estimate import estimate
from corrosion.foundation.units import HOUR, YEAR
from corrosion.history.integrate import integrate_history
from corrosion.history.time_steps import Scenario
from corrosion.inspection.ahead.new_faults import (
    depth_ahead,
    new_faults,
    with_new_faults,
)
from corrosion.inspection.ahead.second_faults import SecondFaults, second_faults
from corrosion.inspection.whatif.measures import Measure, cleared_within
from corrosion.inspection.whatif.savings import what_if
from corrosion.presentation.answers.isolation import isolation_result
from corrosion.records.ship import Circuit, Ship
from corrosion.results import Estimate

DAY = date(2026, 1, 1)
SAMPLES = 2048
MM = 1e-3

SHORT = ship(
    faults=(
        *(
            fault(
                f"P{year}",
                f"{year}-03-01 00:00",
                f"{year}-03-02 00:00",
                good=f"{year}-03-01 00:00",
                insulation=2.0,
                circuit="winch",
            )
            for year in (2018, 2020, 2022, 2024)
        ),
        current("W", "2017-01-01", "2017-02-01", 4.0, returns="ashore"),
    ),
    berths=(berth("2000-01-01", None, "shore earthed", earth_cable=0.1),),
)


@cache
def run(circuits: tuple[Circuit, ...] = ()) -> Estimate:
    return estimate(replace(SHORT, circuits=circuits), samples=SAMPLES, as_of=DAY)


def expected(result: Estimate) -> SecondFaults:
    new = new_faults(result.inputs)
    spans = result.inputs.faults.spans
    return second_faults(result.inputs, spans, new, result.inputs.time_grid.horizon)


def test_faults_arise_as_often_as_the_log_shows() -> None:
    """Four in the nine years since the log begins, and half of one: 4.5 / 9 a year."""
    inputs = run().inputs
    new = new_faults(inputs)
    window = (inputs.time_grid.as_of - SHORT.faults[-1].found.middle) / YEAR
    power = new.rate[:, :4].sum(axis=1) * YEAR
    error = np.sqrt(4.5) / window / np.sqrt(SAMPLES)
    assert power.mean() == pytest.approx(4.5 / window, abs=4.0 * error)
    assert power.std() == pytest.approx(np.sqrt(4.5) / window, rel=0.1)
    ahead = (new.moments[-1] - new.moments[0]) / YEAR
    arisen = new.count[:, :4, -1].sum(axis=1)
    mean = 4.5 / window * ahead
    spread = np.sqrt(mean + 4.5 * (ahead / window) ** 2)  # negative binomial
    assert arisen.mean() == pytest.approx(mean, abs=4.0 * spread / np.sqrt(SAMPLES))
    assert arisen.std() == pytest.approx(spread, rel=0.1)
    assert not new.count[:, :, 0].any()
    assert (np.diff(new.count, axis=2) >= 0).all()


def test_a_fault_of_old_tells_what_but_hardly_how_often() -> None:
    old = replace(SHORT, faults=(fault("O", "2003-03-01", "2003-03-02"),))
    new = new_faults(estimate(old, samples=SAMPLES, as_of=DAY).inputs)
    assert new.rate.mean() * YEAR == pytest.approx(0.5 / 10.0, rel=0.15)


def test_one_more_fault_moves_no_other_fault_to_come() -> None:
    other = fault("N", "2025-05-01", "2025-05-02", system="battery", current="dc")
    more = estimate(
        replace(SHORT, faults=(*SHORT.faults, other)), samples=64, as_of=DAY
    )
    fewer = estimate(SHORT, samples=64, as_of=DAY)
    with_it, without = (new_faults(each.inputs).count[:, :5] for each in (more, fewer))
    assert np.array_equal(with_it, without)


def test_what_arises_takes_what_its_like_took_where_it_took_it() -> None:
    inputs, history = run().inputs, run().history
    new = new_faults(inputs)
    mass = depth_ahead(inputs, history, new) * inputs.kg_per_metre
    by_hand = (new.count[:, :, -1] * history.fault_kg).sum(axis=1)
    assert history.fault_kg.any()
    assert mass[:, -1].sum(axis=1) == pytest.approx(by_hand)
    assert not mass[:, 0].any()


def test_a_day_of_each_fault_meets_its_rate_times_two_thirds_of_a_day() -> None:
    """Three conductors: a second one is on another in two cases of three."""
    result = run()
    new = new_faults(result.inputs)
    rate = new.rate[:, :4].sum(axis=1)
    docking = result.inputs.time_grid.horizon
    window = (docking - new.moments[0]) / HOUR
    each = 24.0 - 24.0**2 / (2.0 * window)  # some arise on the last day
    hours = new.until(result.inputs.time_grid.horizon)[:, :4].sum(axis=1) * each
    by_hand = float((rate * hours * HOUR * 2.0 / 3.0).mean())
    assert expected(result).another_conductor == pytest.approx(by_hand, rel=1e-3)


def test_the_loop_of_two_faults_trips_what_its_branch_trips_at() -> None:
    """440 V through 2 and 2 ohms, each within a few times: 110 A, not 4 kA."""
    low, high = (
        run((Circuit(system="power", circuit="winch", trip_amps=amps),))
        for amps in (0.5, 4000.0)
    )
    tripped, not_tripped = expected(low), expected(high)
    assert tripped.another_conductor == not_tripped.another_conductor > 0.0
    assert tripped.past_trip > 0.95 * tripped.another_conductor
    assert not_tripped.past_trip < 0.05 * not_tripped.another_conductor
    for each in (tripped, not_tripped):
        assert each.past_trip + each.between == pytest.approx(each.another_conductor)


def test_who_changes_nothing_keeps_nothing_and_who_clears_at_once_keeps_all() -> None:
    result = run()
    same, at_once = what_if(
        result.inputs,
        result.calibration,
        [Measure(words="nothing"), cleared_within(0.0)],
    )
    assert not same.from_now.kept_kg.any()
    assert not same.from_now.months.any()
    assert same.from_now.second_faults == expected(result)
    left = at_once.from_now.second_faults.another_conductor  # a minute until found
    assert left < expected(result).another_conductor / (24.0 * 60.0)
    new = new_faults(result.inputs)
    lost = new.until(result.inputs.time_grid.horizon) * result.history.fault_kg
    assert at_once.from_now.kept_kg.mean() == pytest.approx(
        lost.sum(axis=1).mean(), rel=0.05
    )


def standing() -> Ship:
    left = fault("S", "2025-12-01", good="2025-11-30", insulation=50.0, standing=True)
    return replace(SHORT, faults=(left,))


def test_a_standing_fault_cleared_now_is_part_of_what_is_kept() -> None:
    """It would stand for 516 days until the docking; cleared, it takes nothing."""
    result = estimate(standing(), samples=64, as_of=DAY)
    (row,) = isolation_result(result, [1.0])["limits"]
    assert row["from_now"]["second_faults"]["another_conductor"] < 0.02
    now = isolation_result(result, [1.0])["second_faults_now"]
    new, docking = new_faults(result.inputs), result.inputs.time_grid.horizon
    window = docking - result.inputs.time_grid.as_of
    standing_ones = 1.0 + new.until(docking).sum(axis=1) / 2.0  # half the window each
    by_hand = (new.rate.sum(axis=1) * window * standing_ones * 2.0 / 3.0).mean()
    assert now["another_conductor"] == pytest.approx(by_hand, rel=1e-6)
    assert row["from_now"]["kept_kg"]["p50"] > 0.0
    assert row["from_now"]["zone"] in {zone.zone for zone in result.ship.zones}


def test_what_new_faults_take_is_gone_ahead_and_not_before() -> None:
    """By hand: rate times the years until the docking times what each takes."""
    result = run()
    inputs, history = result.inputs, result.history
    alone = result.calibration.moved(
        inputs, integrate_history([Scenario(inputs, inputs.faults.spans)])[0]
    )
    both = with_new_faults(inputs, alone, new_faults(inputs))
    then = int(np.searchsorted(both.moments, inputs.time_grid.horizon))
    now = int(np.searchsorted(both.moments, inputs.time_grid.as_of))
    assert np.array_equal(both.mean[:, : now + 1], alone.mean[:, : now + 1])
    more = ((both.mean - alone.mean)[:, then] * inputs.kg_per_metre).sum(axis=1)
    years = (inputs.time_grid.horizon - inputs.time_grid.as_of) / YEAR
    each = history.fault_kg.mean(axis=0)
    rate = new_faults(inputs).rate.mean(axis=0) * YEAR
    error = more.std() / np.sqrt(SAMPLES)
    assert more.mean() == pytest.approx((rate * each).sum() * years, abs=4.0 * error)
    assert np.array_equal(both.mean, history.mean)
    bare = np.maximum(alone.bare[:, then], 1e-6)
    # as pits go by it: at a millimetre as it is, to the power of 0.65 beside
    since = [MM * (one.since[:, then] / MM) ** (1.0 / 0.65) for one in (both, alone)]
    at_spot = since[0] - since[1]
    assert at_spot * bare == pytest.approx((both.mean - alone.mean)[:, then])


def test_months_are_kept_depth_over_the_rate_that_is_expected() -> None:
    """Of a plate that loses 0.1 mm in two years, 0.05 mm kept are twelve months."""
    result = run()
    (saved,) = what_if(result.inputs, result.calibration, [cleared_within(0.0)])
    grid, ahead = result.inputs.time_grid, saved.from_now
    lost = saved.history.mean[:, -1, ahead.zone] - saved.history.mean[:, 0, ahead.zone]
    years = (grid.horizon - grid.as_of) / YEAR
    plate = result.inputs.kg_per_metre[ahead.zone]
    shares = ahead.months / 12.0 / years * lost.mean() * plate
    assert (shares <= ahead.kept_kg * (1.0 + 1e-9)).all()  # of all zones together
    assert ahead.months.mean() > 0.0
    assert np.isfinite(ahead.months).all()
