"""Tests of leakage.standing_times: laws against a sweep of each sample, edges."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from ships import current, fault, ship

from corrosion.foundation import assumptions
from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array, BoolArray
from corrosion.foundation.units import DAY, HOUR, MINUTE
from corrosion.leakage.standing_times import (
    FAULT_COLUMNS,
    FaultIntervals,
    constant_intervals,
    fault_intervals,
    sample_date,
)
from corrosion.records.dates import as_written
from corrosion.records.ship import Fault

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
    duration, active = constant_intervals(began, ended, start, end)
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
        joined = counted(first[0][s], first[1][s])
        for key, seconds in counted(second[0][s], second[1][s]).items():
            joined[key] = joined.get(key, 0.0) + seconds
        assert close(joined, counted(whole[0][s], whole[1][s]))


@given(slab=slabs())
@settings(deadline=None, max_examples=100)
def test_no_more_stretches_than_the_busiest_sample_needs(
    slab: tuple[Array, Array, Array, Array],
) -> None:
    duration, _ = constant_intervals(*slab)
    assert duration.shape[1] == max(1, int((duration > 0.0).sum(axis=1).max()))


def spans_of(faults: tuple[Fault, ...], seed: int = 1) -> FaultIntervals:
    one = ship(faults=faults)
    draws = Draws(128, seed, default_assumptions())
    uniform = np.stack(
        [draws.block(f.fault, len(FAULT_COLUMNS)) for f in faults], axis=1
    )
    return fault_intervals(one, uniform)


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
        assert np.isinf(spans.ended[:, k]).all() == (one.cleared is None)
        if one.cleared is not None:
            assert (
                spans.ended[:, k] <= max(one.cleared.latest, one.found.latest)
            ).all()


def test_began_evenly_between_last_good_and_found() -> None:
    one = fault("F", "2003-06-10 00:00", good="2003-06-01 00:00")
    spans = spans_of((one,))
    share = (spans.began[:, 0] - moment_of_text("2003-06-01")) / (9.0 * DAY)
    assert np.sort(share) == pytest.approx((np.arange(128) + 0.5) / 128, abs=0.005)


def moment_of_text(text: str) -> float:
    return as_written(text).earliest


def test_a_blank_last_good_is_the_previous_entry_of_that_system() -> None:
    faults = (
        fault("A", "2003-05-01", "2003-06-01 00:00"),
        fault("B", "2003-06-08 00:00"),
        fault("other", "2003-06-07 00:00", system="battery", current="dc"),
        fault("later", "2003-06-09 00:00"),
    )
    spans = spans_of(faults)
    since = moment_of_text("2003-06-01")
    assert spans.began[:, 1].min() >= since
    assert spans.began[:, 1].min() < since + 0.1 * DAY
    # The later fault's previous entry is B being found, a day before.
    assert spans.began[:, 3].min() >= moment_of_text("2003-06-08")


def test_without_any_check_before_the_detection_time_of_the_table_holds() -> None:
    spans = spans_of((fault("A", "2003-06-08 00:00"),))
    hours = (spans.found - spans.began)[:, 0] / HOUR
    row = assumptions.entry("undetected_hours")
    assert np.median(hours) == pytest.approx(row.median, rel=0.05)
    assert (hours <= row.high * (1.0 + 1e-9)).all()


def test_an_entry_whose_date_overlaps_is_no_check_before() -> None:
    spans = spans_of((fault("A", "2003"), fault("B", "2003-06-08 00:00")))
    assert (spans.found - spans.began)[:, 1].max() < 8766.0 * HOUR
    assert spans.began[:, 1] == pytest.approx(
        spans_of((fault("B", "2003-06-08 00:00"),)).began[:, 0]
    )


def test_what_somebody_switched_on_begins_when_it_is_found() -> None:
    faults = (fault("A", "2003"), current("W", "2004-02", "2004-03", 5.0))
    spans = spans_of(faults)
    assert (spans.began[:, 1] == spans.found[:, 1]).all()


def test_a_fault_cleared_before_it_was_found_did_not_stand_after() -> None:
    one = fault("A", "2003-06-10 12:00", "2003-06-10", good="2003-06-10 10:00")
    spans = spans_of((one,))
    assert (spans.ended >= spans.found).all()
    assert (spans.ended - spans.found).max() <= 12.0 * HOUR


def test_found_and_cleared_in_one_year_are_two_moments_in_their_order() -> None:
    # of n even moments in their order, the k-th stands at k/(n + 1) in the mean
    spans = spans_of((fault("A", "2003", "2003", good="2000"),))
    found, ended = (
        (at[:, 0] - moment_of_text("2003")) / (365.0 * DAY)
        for at in (spans.found, spans.ended)
    )
    assert found.mean() == pytest.approx(1.0 / 3.0, abs=0.01)
    assert ended.mean() == pytest.approx(2.0 / 3.0, abs=0.01)
    assert (ended > found).all()
    assert np.var(found) == pytest.approx(1.0 / 18.0, rel=0.05)


def test_so_are_check_finding_and_clearing() -> None:
    spans = spans_of((fault("A", "2003", "2003", good="2003"),))
    found, ended = (
        (at[:, 0] - moment_of_text("2003")) / (365.0 * DAY)
        for at in (spans.found, spans.ended)
    )
    assert found.mean() == pytest.approx(0.5, abs=0.01)
    assert ended.mean() == pytest.approx(0.75, abs=0.01)
    # the check stands at a quarter, and the beginning evenly between it and finding
    began = (spans.began[:, 0] - moment_of_text("2003")) / (365.0 * DAY)
    assert began.mean() == pytest.approx(0.375, abs=0.02)


def test_a_date_spreads_over_what_was_written() -> None:
    when = as_written("2003-06-10 12:00")
    moment = sample_date(when, np.array([0.0, 0.5, 1.0]))
    assert moment - when.earliest == pytest.approx([0.0, 30.0, MINUTE])
