"""Tests of leakage.standing_times: laws against a sweep of each sample, edges."""

from dataclasses import replace
from datetime import datetime, timedelta
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from leakage.systems import found_in_first
from ships import berth, current, fault, ship

from corrosion.foundation.assumptions import Assumptions, default_assumptions
from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array, BoolArray
from corrosion.foundation.units import DAY, HOUR, MINUTE
from corrosion.leakage.duration_laws import sample_laws
from corrosion.leakage.earthed_stays import DrawnFaults
from corrosion.leakage.standing_times import (
    FAULT_COLUMNS,
    FaultIntervals,
    Findings,
    fault_intervals,
)
from corrosion.leakage.time_intervals import (
    constant_intervals,
    distinct_states,
    sample_date,
)
from corrosion.leakage.visibility import opens_breaker
from corrosion.records.dates import as_written
from corrosion.records.measured import Reading
from corrosion.records.ship import Berth, Fault

# Few distinct moments, so that edges coincide, before, within and after the slab.
moments = st.one_of(
    st.integers(-3, 12).map(float), st.floats(-3.0, 12.0, allow_nan=False)
)


@st.composite
def slabs(draw: st.DrawFn) -> tuple[Array, Array, Array, Array]:
    samples, faults = draw(st.integers(1, 5)), draw(st.integers(0, 4))
    pair = arrays(np.float64, (2, samples, faults), elements=moments)
    ends = arrays(np.float64, (2, samples), elements=moments)
    began, ended = np.sort(draw(pair), axis=0)
    standing = draw(arrays(np.bool_, (samples, faults)))
    start, end = np.sort(draw(ends), axis=0)
    return began, np.where(standing, np.inf, ended), start, end


def swept(
    began: Array, ended: Array, start: float, end: float
) -> dict[frozenset[int], float]:
    """Return how long each set of faults stood together, an interval at a time."""
    inside = [t for t in [*began, *ended] if start < t < end]
    edges = sorted({start, end, *inside})
    total: dict[frozenset[int], float] = {}
    for a, b in pairwise(edges):
        middle = 0.5 * (a + b)
        on = frozenset(k for k in range(len(began)) if began[k] <= middle < ended[k])
        total[on] = total.get(on, 0.0) + (b - a)
    return total


def counted(duration: Array, active: BoolArray) -> dict[frozenset[int], float]:
    total: dict[frozenset[int], float] = {}
    for seconds, on in zip(duration.tolist(), active, strict=True):
        if seconds > 0.0:
            key = frozenset(np.flatnonzero(on).tolist())
            total[key] = total.get(key, 0.0) + seconds
    return total


def close(one: dict[frozenset[int], float], two: dict[frozenset[int], float]) -> bool:
    short = 1e-9
    return all(
        abs(one.get(key, 0.0) - two.get(key, 0.0)) < short for key in {*one, *two}
    )


@given(slab=slabs())
@settings(deadline=None, max_examples=300)
def test_stretches_are_those_of_a_sweep(
    slab: tuple[Array, Array, Array, Array],
) -> None:
    began, ended, start, end = slab
    cut = constant_intervals(began, ended, start, end)
    duration, active = cut.duration, cut.active
    assert cut.middle.shape == duration.shape
    assert active.shape == (*duration.shape, began.shape[1])
    assert (duration >= 0.0).all()
    assert duration.sum(axis=1) == pytest.approx(end - start, abs=1e-9)
    for s in range(len(start)):
        expected = swept(began[s], ended[s], float(start[s]), float(end[s]))
        assert close(counted(duration[s], active[s]), expected)


@given(slab=slabs(), part=st.floats(0.0, 1.0))
@settings(deadline=None, max_examples=150)
def test_splitting_a_slab_changes_nothing(
    slab: tuple[Array, Array, Array, Array], part: float
) -> None:
    began, ended, start, end = slab
    cut = np.clip(start + part * (end - start), start, end)
    whole = constant_intervals(began, ended, start, end)
    first, second = (
        constant_intervals(began, ended, *both) for both in ((start, cut), (cut, end))
    )
    for s in range(len(start)):
        joined = counted(first.duration[s], first.active[s])
        for key, seconds in counted(second.duration[s], second.active[s]).items():
            joined[key] = joined.get(key, 0.0) + seconds
        assert close(joined, counted(whole.duration[s], whole.active[s]))


@given(slab=slabs())
@settings(deadline=None, max_examples=100)
def test_no_more_stretches_than_the_busiest_sample_needs(
    slab: tuple[Array, Array, Array, Array],
) -> None:
    duration = constant_intervals(*slab).duration
    assert duration.shape[1] == max(1, int((duration > 0.0).sum(axis=1).max()))


AS_OF = as_written("2010").earliest


def spans_of(  # noqa: PLR0913 - what differs between cases
    faults: tuple[Fault, ...],
    *,
    shown: bool = True,
    turned: bool = False,
    table: Assumptions | None = None,
    readings: tuple[Reading, ...] = (),
    berths: tuple[Berth, ...] = (),
    samples: int = 128,
) -> FaultIntervals:
    one = replace(ship(faults=faults), readings=readings, berths=berths)
    draws = Draws(samples, 1, table or default_assumptions())
    uniform = np.stack(
        [draws.block(f.fault, len(FAULT_COLUMNS)) for f in faults], axis=1
    )
    hidden = np.full(uniform.shape[:2], not shown)
    ohms, pole = np.full(hidden.shape, 1e3), np.zeros(hidden.shape, dtype=np.int64)
    found_in = found_in_first(one, len(uniform))
    most = np.full(hidden.shape, 10.0)
    none = np.zeros(ohms.shape)
    opened = opens_breaker(one, found_in, DrawnFaults(ohms, pole, none, most, none))
    laws = sample_laws(
        one,
        draws,
        shown=1.0 - hidden.mean(axis=0),
        opened=opened.mean(axis=0),
        as_of=AS_OF,
    )
    return fault_intervals(
        one,
        uniform,
        laws=laws,
        findings=Findings(hidden, np.full(hidden.shape, turned), opened, found_in),
        as_of=AS_OF,
    )


dates = st.sampled_from(
    [
        "2001",
        "2003-06",
        "2003-06-10",
        "2003-06-10 08:00",
        "2003-06-11",
        "2004",
        "2004-02-29 23:59",
    ]
)


@given(
    rows=st.lists(
        st.tuples(dates, st.none() | dates, st.none() | dates, st.booleans()),
        min_size=1,
        max_size=4,
    )
)
@settings(deadline=None, max_examples=60)
def test_began_before_found_before_ended(
    rows: list[tuple[str, str | None, str | None, bool]],
) -> None:
    faults = tuple(
        fault(
            f"F{k}",
            found,
            cleared,
            good=good,
            amps=1.0,
            source="ground fault" if ground else "welding",
        )
        for k, (found, cleared, good, ground) in enumerate(rows)
    )
    spans = spans_of(faults)
    assert (spans.began <= spans.found).all()
    assert (spans.found <= spans.ended).all()
    for k, one in enumerate(faults):
        assert (spans.found[:, k] >= one.found.earliest).all()
        assert (spans.found[:, k] <= one.found.latest).all()
        if one.cleared is not None:
            assert (
                spans.ended[:, k] <= max(one.cleared.latest, one.found.latest)
            ).all()


def test_began_between_last_good_and_found_by_the_law_of_the_delay() -> None:
    for shown, hours in ((True, 6), (False, 24 * 130)):
        good = stamp_before("2003-06-10 00:00", hours)
        one = fault("F", "2003-06-10 00:00", good=good)
        spans = spans_of((one,), shown=shown, samples=512)
        waited = (spans.found - spans.began)[:, 0] / (hours * HOUR)
        assert (waited <= 1.0 + 60.0 / (hours * HOUR)).all()
        low, middle, high = np.quantile(waited, [0.1, 0.5, 0.9])
        # Wherever a look a watch, or a test a quarter, before would have missed it.
        assert low < 0.35 < middle < 0.8 < high


def test_what_hid_and_shows_when_it_is_found_turned_within_days() -> None:
    good = stamp_before("2003-06-10 00:00", 24 * 130)
    days = default_assumptions().value("turning_days")
    for check in (None, good):
        one = fault("F", "2003-06-10 00:00", good=check)
        spans = spans_of((one,), shown=False, turned=True, samples=512)
        waited = (spans.found - spans.began)[:, 0] / DAY
        assert np.median(waited) == pytest.approx(days, rel=0.15)


def test_between_two_looks_a_fault_begins_at_any_time() -> None:
    """Watches kept to a plan, lived through: faults that begin at even moments."""
    rng = np.random.default_rng(5)
    table = default_assumptions()
    regular = np.log(table["look_interval_factor"].geometric_sd)
    looks = np.cumsum(8.0 * np.exp(regular * rng.standard_normal(20_000)))
    began = rng.uniform(100.0, looks[-2], 20_000)
    found = np.searchsorted(looks, began)
    delay, gap = looks[found] - began, looks[found] - looks[found - 1]
    one = fault("F", "2003-06-10 00:00")
    laws = sample_laws(
        ship(faults=(one,)),
        Draws(4096, 1, table),
        shown=np.ones(1),
        opened=np.zeros(1),
        as_of=AS_OF,
    )
    hidden = np.zeros(4096, dtype=np.bool_)
    law, between = laws.waiting(hidden)
    twice = np.exp(np.median(between.median - law.median))
    assert twice == pytest.approx(8.0 / np.median(delay), rel=0.15)
    # Of those with one gap the delay is even in it.
    mine = (gap > 7.5) & (gap < 8.5)
    lived = np.median(delay[mine]) / 8.0
    even = (np.arange(4096) + 0.5) / 4096
    told = law.since_check(even, np.full(4096, 8.0 * HOUR), between) / (8.0 * HOUR)
    assert np.median(told) == pytest.approx(lived, abs=0.1)


def stamp_before(text: str, hours: float) -> str:
    then = datetime.fromisoformat(text) - timedelta(hours=hours)
    return then.strftime("%Y-%m-%d %H:%M")


def moment_of_text(text: str) -> float:
    return as_written(text).earliest


def test_an_entry_of_another_fault_is_no_check() -> None:
    # An unrelated entry ten years before turned eighteen hours into 43,842.
    alone = fault("B", "2003-06-08 00:00", "2003-06-08 18:00")
    both = (fault("A", "1993-05-01", "1993-06-01 00:00"), alone)
    hours = (spans_of(both).found - spans_of(both).began)[:, 1] / HOUR
    assert np.quantile(hours, 0.9) < 7.0 * 24.0


@pytest.mark.parametrize(
    ("shown", "row", "unit"),
    [(True, "undetected_hours", HOUR), (False, "insulation_test_days", DAY)],
)
def test_the_delay_is_that_of_what_could_have_shown_it(
    shown: bool, row: str, unit: float
) -> None:
    spans = spans_of((fault("A", "2003-06-08 00:00"),), shown=shown, samples=1024)
    waited = (spans.found - spans.began)[:, 0] / unit
    table = default_assumptions()
    assert np.median(waited) == pytest.approx(table.value(row), rel=0.1)
    both = np.hypot(
        *(np.log(table[n].geometric_sd) for n in (row, "delay_ship_factor"))
    )
    assert np.log(waited).std() == pytest.approx(both, rel=0.1)


def test_a_healthy_round_is_a_check_of_what_it_could_show() -> None:
    when = as_written("2003-06-07 12:00")
    looked = Reading(time=when, system="power", lamps=("even", "even", "even"))
    tested = replace(looked, lamps=(), insulation=2e6)
    one = (fault("A", "2003-06-08 00:00"),)
    for shown, rounds, bound in (
        (True, looked, True),
        (False, looked, False),
        (False, tested, True),
        (True, tested, True),
    ):
        spans = spans_of(one, shown=shown, readings=(rounds,))
        assert (spans.began.min() >= when.earliest) == bound, (shown, rounds)
    other = replace(tested, system="battery")
    assert spans_of(one, readings=(other,)).began.min() < when.earliest


def test_a_written_round_is_a_bound_and_not_the_last_look() -> None:
    """A dozen rounds in five years are written; the watch looks each four hours."""
    when = as_written("2003-03-01 12:00")
    looked = Reading(time=when, system="power", lamps=("even", "even", "even"))
    one = (fault("A", "2003-06-08 00:00"),)
    alone, after = (
        spans_of(one, readings=rows, samples=1024) for rows in ((), (looked,))
    )
    waited = [(spans.found - spans.began)[:, 0] for spans in (alone, after)]
    assert np.median(waited[1]) == pytest.approx(np.median(waited[0]), rel=0.05)
    assert (after.began >= when.earliest).all()


def test_a_fault_that_trips_its_branch_stood_for_a_minute() -> None:
    at = "2003-06-08 10:15"
    quay = berth("2003-01", "2004-01", "shore earthed", earth_cable=0.1)
    for lying, seconds in ((quay, 60.0), (replace(quay, supply="own"), 4.0 * HOUR)):
        spans = spans_of((fault("A", at, at),), berths=(lying,), samples=1024)
        stood = (spans.ended - spans.began)[:, 0]
        assert np.median(stood) == pytest.approx(seconds, rel=0.5)


def test_what_somebody_switched_on_begins_when_it_is_found() -> None:
    faults = (fault("A", "2003"), current("W", "2004-02", "2004-03", 5.0))
    spans = spans_of(faults)
    assert (spans.began[:, 1] == spans.found[:, 1]).all()


def test_a_fault_cleared_before_it_was_found_did_not_stand_after() -> None:
    one = fault("A", "2003-06-10 12:00", "2003-06-10", good="2003-06-10 10:00")
    spans = spans_of((one,))
    assert (spans.ended >= spans.found).all()
    assert (spans.ended - spans.found).max() <= 12.0 * HOUR


def test_found_and_cleared_in_one_year_stand_for_a_response_within_it() -> None:
    spans = spans_of((fault("A", "2003", "2003", good="2000"),), samples=1024)
    stood = (spans.ended - spans.found)[:, 0]
    assert (stood > 0.0).all()
    assert (spans.ended <= moment_of_text("2004")).all()
    # Not a third of a year: what the ship's response leaves of it.
    assert np.median(stood) < 30.0 * DAY


def test_where_the_law_is_wide_dates_in_one_year_are_even_in_their_order() -> None:
    # of two even moments in their order, the k-th stands at k/3 in the mean; a law as
    # wide as this is 1/T, under which the two lie closer together
    table = default_assumptions()
    for name, median in (("response_hours", 8766.0), ("response_spread", 3.0)):
        table = table.override(name, median=median, spread=1.01)
    spans = spans_of((fault("A", "2003", "2003"),), table=table, samples=1024)
    found = (spans.found[:, 0] - moment_of_text("2003")) / (365.0 * DAY)
    assert 0.33 < found.mean() < 0.6


def test_a_blank_clearing_is_drawn_where_it_is_not_likely_standing() -> None:
    old, late = fault("A", "2001-05-03 08:00"), fault("B", "2009-12-31 08:00")
    spans = spans_of((old, late))
    assert np.isinf(spans.ended[:, 1]).all()
    assert (spans.ended[:, 0] < AS_OF).mean() > 0.95
    for standing in (True, False):
        written = replace(old, standing=standing)
        ended = spans_of((written,)).ended[:, 0]
        assert (np.isinf(ended) if standing else ended <= AS_OF).all()


def test_an_isolated_fault_carries_current_no_longer() -> None:
    one = replace(fault("A", "2003-06-08"), isolated=as_written("2003-06-10 12:00"))
    spans = spans_of((one,))
    assert spans.ended[:, 0] == pytest.approx(
        moment_of_text("2003-06-10 12:00"), abs=61
    )


def test_a_date_spreads_over_what_was_written() -> None:
    when = as_written("2003-06-10 12:00")
    moment = sample_date(when, np.array([0.0, 0.5, 1.0]))
    assert moment - when.earliest == pytest.approx([0.0, 30.0, MINUTE])


def test_stretches_in_which_the_same_faults_stand_are_one_state() -> None:
    began, ended = np.array([[1.0, 3.0, 6.0]]), np.array([[2.0, 4.0, 9.0]])
    slab = np.zeros(1), np.full(1, 10.0)
    turned = np.array([[-np.inf, -np.inf, 7.0]])
    cut = constant_intervals(began, ended, *slab, turned)
    assert cut.duration.tolist() == [[1.0, 1.0, 1.0, 1.0, 2.0, 1.0, 2.0, 1.0]]
    same = np.zeros(3, dtype=np.bool_)
    states, duration, (which,) = distinct_states(cut, [np.arange(3)], turned, same)
    assert duration[0, 0, 0, which[0]].tolist() == [
        5.0,
        1.0,
        5.0,
        1.0,
        5.0,
        1.0,
        2.0,
        5.0,
    ]
    assert duration.shape == (1, 1, 1, 5)
    assert (states.active[0, which[0]] == cut.active[0]).all()
    assert (states.middle[0, which[0, 5:7]] < 7.0).tolist() == [True, False]


def test_histories_share_the_states_that_both_have() -> None:
    began, ended = np.array([[1.0, 3.0, 1.0]]), np.array([[5.0, 4.0, 2.0]])
    cut = constant_intervals(began, ended, np.zeros(1), np.full(1, 6.0))
    never, same = np.full((1, 2), -np.inf), np.zeros(2, dtype=np.bool_)
    # the first fault stands to 5 in one history, to 2 in the other, the second to 4
    columns = [np.array([0, 1]), np.array([2, -1])]
    states, duration, which = distinct_states(cut, columns, never, same)
    first, other = (
        {tuple(states.active[0, k].tolist()): float(t) for k, t in enumerate(one) if t}
        for one in duration[0, :, 0]
    )
    assert first == {(False, False): 2.0, (True, False): 3.0, (True, True): 1.0}
    assert other == {(False, False): 5.0, (True, False): 1.0}
    assert (which[0][0, :2] == which[1][0, :2]).all()


def test_what_differs_from_hour_to_hour_is_not_merged() -> None:
    began, ended = np.array([[0.0, 2.0, 5.0]]), np.array([[9.0, 3.0, 6.0]])
    cut = constant_intervals(began, ended, np.zeros(1), np.full(1, 9.0))
    never = np.full((1, 3), -np.inf)
    apart = np.array([True, False, False])
    for differs, lengths in (
        (apart, [1.0, 1.0, 2.0, 2.0, 3.0]),
        (~apart & False, [1, 1, 7]),
    ):
        _, duration, _ = distinct_states(cut, [np.arange(3)], never, differs)
        assert np.sort(duration[0, 0, 0]).tolist() == lengths


def test_parts_of_a_time_share_their_states() -> None:
    """By hand: a fault from 1 to 5 and a cut at 3; each part knows its own hours."""
    began, ended = np.array([[1.0]]), np.array([[5.0]])
    cuts = [3.0, 6.0]
    cut = constant_intervals(began, ended, np.zeros(1), np.full(1, 9.0), None, cuts)
    assert cut.duration.tolist() == [[1.0, 2.0, 2.0, 1.0, 3.0]]
    never, same = np.full((1, 1), -np.inf), np.zeros(1, dtype=np.bool_)
    states, duration, _ = distinct_states(
        cut, [np.zeros(1, dtype=int)], never, same, cuts
    )
    stands = states.active[0, :, 0]
    assert duration[0, 0][:, stands].ravel().tolist() == [2.0, 2.0, 0.0]
    assert duration[0, 0][:, ~stands].ravel().tolist() == [1.0, 1.0, 3.0]
