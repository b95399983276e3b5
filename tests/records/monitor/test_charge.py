"""Tests of records.monitor.charge: laws, edges, errors."""

import math
from functools import reduce
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from records.hull_logs import START, nanoseconds, rows, write

from corrosion.foundation.errors import InputError, Problem, RecordError
from corrosion.foundation.types import Array
from corrosion.records.monitor.charge import charge, hourly
from corrosion.records.monitor.charge_sums import hour_sums, step_sums
from corrosion.records.monitor.run import Run
from corrosion.records.monitor.samples import Series, equal_runs
from corrosion.records.monitor.state import LogState, joined, scan

DC = Series("ship service", "P1", "dc")
amperes = st.one_of(
    st.floats(-50.0, 50.0, allow_subnormal=False), st.just(math.nan), st.just(0.25)
)
steps = st.one_of(st.just(0.0), st.just(1.0), st.floats(1e-3, 1e4))
samples = st.lists(st.tuples(steps, amperes), min_size=1, max_size=60)


def run_of(seconds: Array, amps: Array) -> Run:
    return Run.of(nanoseconds(seconds), amps, step_sums)


def test_charge_is_the_trapezoid_rule(tmp_path: Path) -> None:
    rng = np.random.default_rng(1)
    t = np.cumsum(rng.uniform(0.5, 1.5, 500))
    i = rng.normal(0.4, 0.1, 500)
    row = charge(write(tmp_path / "a.csv", rows(t, i))).iloc[0]
    assert row["charge"] == pytest.approx(np.trapezoid(i, t), rel=1e-9)
    assert row["hours"] == pytest.approx((t[-1] - t[0]) / 3600.0, rel=1e-9)
    assert row["gap_hours"] == 0.0
    assert (row["system"], row["circuit"], row["current"]) == (
        "ship service",
        "P1",
        "dc",
    )
    assert row["rows"] == 500
    assert row["first"] == pytest.approx(START + t[0], abs=1e-6)
    assert row["last"] == pytest.approx(START + t[-1], abs=1e-6)


def test_one_ampere_for_an_hour_is_one_ampere_hour(tmp_path: Path) -> None:
    log = write(tmp_path / "a.csv", rows(np.arange(0.0, 3601.0, 60.0), np.ones(61)))
    row = charge(log).iloc[0]
    assert row["charge"] == pytest.approx(3600.0, rel=1e-12)
    assert row["hours"] == pytest.approx(1.0, rel=1e-12)


def test_magnitude_of_a_current_that_turns_is_two_triangles(tmp_path: Path) -> None:
    log = write(tmp_path / "a.csv", rows([0.0, 4.0], [-1.0, 3.0]))
    row = charge(log).iloc[0]
    # It crosses zero after one second: a triangle of 1 s by 1 A, one of 3 s by 3 A.
    assert row["charge"] == pytest.approx(4.5 - 0.5)
    assert row["magnitude"] == pytest.approx(4.5 + 0.5)


def test_kinds_and_circuits_stay_apart(tmp_path: Path) -> None:
    lines = [
        line
        for group in zip(
            rows([0.0, 1.0, 2.0], [1.0, 1.0, 1.0]),
            rows([0.0, 1.0, 2.0], [2.0, 2.0, 2.0], current="AC"),
            rows([0.0, 1.0, 2.0], [4.0, 4.0, 4.0], name="lighting,"),
            strict=True,
        )
        for line in group
    ]
    frame = charge(write(tmp_path / "a.csv", lines))
    assert frame["charge"].tolist() == [8.0, 4.0, 2.0]
    assert frame["current"].tolist() == ["dc", "ac", "dc"]
    assert frame["circuit"].tolist() == ["", "P1", "P1"]


@given(
    samples=samples, cuts=st.sets(st.integers(1, 59), max_size=4), seed=st.integers(0)
)
@settings(max_examples=60, deadline=None)
def test_however_a_log_is_cut_its_state_is_the_same(
    samples: list[tuple[float, float]], cuts: set[int], seed: int
) -> None:
    t = np.cumsum([step for step, _ in samples])
    i = np.array([amps for _, amps in samples])
    whole = run_of(t, i)
    ends = [0, *sorted(cut for cut in cuts if cut < len(t)), len(t)]
    parts = [LogState(runs={DC: run_of(t[a:b], i[a:b])}) for a, b in pairwise(ends)]
    forward = reduce(lambda left, right: joined([left, right]), parts).runs[DC]
    backward = reduce(lambda right, left: joined([left, right]), parts[::-1]).runs[DC]
    for run in (forward, backward):
        assert (run.first, run.last, run.rows) == (whole.first, whole.last, whole.rows)
        assert run.duplicates == whole.duplicates
        assert run.conflicts == whole.conflicts
        np.testing.assert_array_equal(run.sums.key, whole.sums.key)
        np.testing.assert_array_equal(run.sums.whole, whole.sums.whole)
        scale = np.abs(whole.sums.part).max(initial=0.0)
        np.testing.assert_allclose(
            run.sums.part, whole.sums.part, rtol=1e-12, atol=1e-12 * scale
        )


def test_merging_takes_either_order() -> None:
    early = LogState(runs={DC: run_of(np.array([0.0, 1.0]), np.array([1.0, 2.0]))})
    late = LogState(runs={DC: run_of(np.array([2.0, 3.0]), np.array([3.0, 4.0]))})
    charge_c, magnitude, held, _ = joined([late, early]).runs[DC].sums.part.sum(axis=1)
    assert (charge_c, magnitude, held) == pytest.approx((7.5, 7.5, 6.0))
    assert joined([early, late]).runs[DC].last == joined([late, early]).runs[DC].last


@settings(deadline=None)
@given(data=st.lists(st.integers(-(10**6), 10**6), max_size=50))
def test_equal_runs_are_those_of_a_stable_sort(data: list[int]) -> None:
    key = np.array(data, dtype=np.int64)
    order, starts = equal_runs(key)
    np.testing.assert_array_equal(key[order], np.sort(key))
    np.testing.assert_array_equal(key[order][starts], np.unique(key))
    np.testing.assert_array_equal(
        np.arange(len(key))[order], np.argsort(key, kind="stable")
    )


def test_a_step_of_five_medians_counts_and_a_longer_one_is_a_gap(
    tmp_path: Path,
) -> None:
    t = [0.0, 1.0, 2.0, 3.0, 8.0, 9.0, 14.001, 15.0]
    row = charge(write(tmp_path / "a.csv", rows(t, np.ones(8)))).iloc[0]
    assert row["gap"] == 5.0
    assert row["charge"] == pytest.approx(15.0 - 5.001)
    assert row["hours"] * 3600.0 == pytest.approx(15.0 - 5.001)
    assert row["gap_hours"] * 3600.0 == pytest.approx(5.001)


@given(
    steps=st.lists(st.floats(0.5, 2.0), min_size=1, max_size=40),
    long=st.lists(st.floats(3.0, 40.0), max_size=9),
)
@settings(max_examples=60, deadline=None)
def test_gap_is_five_medians_within_the_width_of_a_bin(
    steps: list[float], long: list[float]
) -> None:
    step = np.array([*steps, *long])
    moments = nanoseconds(np.concatenate([[0.0], np.cumsum(step)]))
    run = Run.of(moments, np.ones(len(moments)), step_sums)
    exact = 5.0 * np.median(np.diff(moments))
    assert run.gap == pytest.approx(exact, rel=2.0**-12)
    # Steps away from the edge by more than the width of a bin are told rightly.
    sure = np.abs(np.diff(moments) / exact - 1.0) > 2.0**-11
    if sure.all():
        counted = run.sums.key <= run.longest(run.gap)
        expected = np.diff(moments)[np.diff(moments) <= exact].sum()
        assert run.sums.whole[2, counted].sum() == expected


def test_gap_can_be_given(tmp_path: Path) -> None:
    log = write(tmp_path / "a.csv", rows([0.0, 1.0, 2.0, 12.0], np.ones(4)))
    assert charge(log)["charge"].iloc[0] == pytest.approx(2.0)
    assert charge(log, gap=10.0)["charge"].iloc[0] == pytest.approx(12.0)
    assert charge(log, gap=0.5)["charge"].iloc[0] == 0.0
    assert charge(log, gap=0.5)["gap_hours"].iloc[0] == pytest.approx(12.0 / 3600.0)


def test_a_blank_reading_is_not_known_and_never_zero(tmp_path: Path) -> None:
    blank = write(
        tmp_path / "a.csv", rows(np.arange(6.0), [1.0, 1.0, math.nan, 3.0, 3.0, 3.0])
    )
    row = charge(blank).iloc[0]
    assert row["charge"] == pytest.approx(1.0 + 6.0)
    assert row["hours"] * 3600.0 == pytest.approx(3.0)
    assert row["gap_hours"] * 3600.0 == pytest.approx(2.0)


def test_duplicates_count_once_and_other_readings_of_a_moment_are_a_doubt(
    tmp_path: Path,
) -> None:
    t, i = [0.0, 1.0, 1.0, 2.0, 2.0, 3.0], [1.0, 1.0, 1.0, 1.0, 5.0, 5.0]
    frame = charge(write(tmp_path / "a.csv", rows(t, i)))
    assert frame["charge"].iloc[0] == pytest.approx(7.0)
    assert frame["duplicates"].iloc[0] == 1
    (doubt,) = frame.attrs["doubts"]
    assert "1 rows of ship service P1 dc say otherwise at the same moment" in str(doubt)


def test_twice_a_second_with_times_in_whole_seconds_is_no_gap(tmp_path: Path) -> None:
    t = np.repeat(np.arange(10.0), 2)
    row = charge(write(tmp_path / "a.csv", rows(t, np.tile([1.0, 3.0], 10)))).iloc[0]
    assert row["charge"] == pytest.approx(18.0)
    assert row["gap_hours"] == 0.0


def test_a_single_row_covers_no_time(tmp_path: Path) -> None:
    row = charge(write(tmp_path / "a.csv", rows([0.0], [1.0]))).iloc[0]
    assert (row["charge"], row["hours"], row["gap_hours"]) == (0.0, 0.0, 0.0)
    assert math.isnan(row["gap"])


def test_files_follow_each_other_in_any_order(tmp_path: Path) -> None:
    t, i = np.arange(30.0), np.linspace(0.0, 3.0, 30)
    one = charge(write(tmp_path / "one.csv", rows(t, i)))
    parts = [
        write(tmp_path / f"{k}.csv.gz", rows(t[k : k + 10], i[k : k + 10]))
        for k in (20, 0, 10)
    ]
    several = charge(parts)
    assert several["charge"].iloc[0] == pytest.approx(one["charge"].iloc[0], rel=1e-12)
    assert several.drop(columns=["charge", "magnitude"]).equals(
        one.drop(columns=["charge", "magnitude"])
    )


@pytest.mark.parametrize(
    "spans",
    [
        [(0, 20), (10, 30)],
        [(0, 30), (5, 25)],
        [(0, 30), (0, 30)],
        [(0, 30), (3, 4)],
        [(0, 15), (10, 25), (12, 30)],
        [(0, 20), (2, 18), (15, 30)],
    ],
)
def test_overlapping_files_that_agree_count_once(
    tmp_path: Path, spans: list[tuple[int, int]]
) -> None:
    t, i = np.arange(30.0), np.linspace(0.0, 3.0, 30)
    other = rows([0.0, 1.0], [1.0, 1.0], name="lighting,")
    parts = [
        write(tmp_path / f"{k}.csv", rows(t[a:b], i[a:b]) + (other if k == 0 else []))
        for k, (a, b) in enumerate(spans)
    ]
    frame = charge(parts).set_index("system")
    row = frame.loc["ship service"]
    assert row["charge"] == pytest.approx(np.trapezoid(i, t), rel=1e-12)
    assert row["rows"] == sum(b - a for a, b in spans)
    assert row["duplicates"] == row["rows"] - 30
    (_, covered) = hourly(parts)
    assert covered.seconds.sum() == pytest.approx(29.0)


def test_overlapping_files_that_differ_are_refused(tmp_path: Path) -> None:
    t = np.arange(20.0)
    left = write(tmp_path / "left.csv", rows(t, np.ones(20)))
    right = write(tmp_path / "right.csv", rows(t + 10.0, np.full(20, 2.0)))
    with pytest.raises(
        RecordError,
        match=r"right\.csv: time: from 2026-01-01T00:00:10\.000Z to .*19\.000Z it "
        r"overlaps .*left\.csv in ship service P1 dc, and they differ; one file",
    ):
        charge([left, right])


def test_merging_overlapping_states_is_refused(tmp_path: Path) -> None:
    state = scan(write(tmp_path / "a.csv", rows([0.0, 9.0], [1.0, 1.0])))
    with pytest.raises(InputError, match=r"must not overlap in time, got one .* 9 s"):
        joined([state, state])


@pytest.mark.parametrize("held", [False, True])
@given(samples=samples, offset=st.floats(0.0, 3600.0))
@settings(max_examples=60, deadline=None)
def test_hours_add_up_to_the_whole(
    samples: list[tuple[float, float]], offset: float, *, held: bool
) -> None:
    moments = nanoseconds(offset + np.cumsum([step for step, _ in samples]))
    i = np.array([amps for _, amps in samples])
    run = Run.of(moments, i, step_sums)
    longest = run.longest(run.gap)
    counted = run.sums.key <= longest
    hours = hour_sums(moments, i, longest=longest, held=held)
    rule = slice(2, 4) if held else slice(0, 2)
    assert hours.whole[0].sum() == run.sums.whole[2, counted].sum()
    assert (hours.whole[0] <= 3600 * 10**9).all()
    assert (np.diff(hours.key) > 0).all()
    np.testing.assert_allclose(
        hours.part.sum(axis=1),
        run.sums.part[rule, counted].sum(axis=1),
        rtol=1e-9,
        atol=1e-9 * np.abs(run.sums.part).max(initial=1.0),
    )


def test_an_hour_takes_its_share_of_a_step_across_its_edge(tmp_path: Path) -> None:
    # Rising by 1 A an hour from 0 A at 00:30, a sample every two hours.
    t = 1800.0 + 7200.0 * np.arange(3)
    (hours,) = hourly(write(tmp_path / "a.csv", rows(t, [0.0, 2.0, 4.0])))
    np.testing.assert_allclose((hours.start - START) / 3600.0, [0, 1, 2, 3, 4])
    np.testing.assert_allclose(hours.seconds, [1800, 3600, 3600, 3600, 1800])
    np.testing.assert_allclose(hours.amps, [0.25, 1.0, 2.0, 3.0, 3.75])
    assert hours.series == DC


def test_hours_leave_gaps_out(tmp_path: Path) -> None:
    t = np.concatenate([np.arange(0.0, 600.0, 60.0), np.arange(7200.0, 7500.0, 60.0)])
    (hours,) = hourly(write(tmp_path / "a.csv", rows(t, np.full(len(t), 2.0))))
    np.testing.assert_allclose((hours.start - START) / 3600.0, [0, 2])
    np.testing.assert_allclose(hours.seconds, [540.0, 240.0])
    np.testing.assert_allclose(hours.amps, 2.0)
    (whole,) = hourly(tmp_path / "a.csv", gap=86400.0)
    assert whole.seconds.sum() == t[-1]


def test_hours_follow_across_files(tmp_path: Path) -> None:
    t, i = np.arange(0.0, 9000.0, 300.0), np.linspace(0.0, 3.0, 30)
    parts = [
        write(tmp_path / f"{k}.csv", rows(t[k : k + 15], i[k : k + 15]))
        for k in (15, 0)
    ]
    (cut,) = hourly(parts)
    (whole,) = hourly(write(tmp_path / "one.csv", rows(t, i)))
    np.testing.assert_array_equal(cut.start, whole.start)
    np.testing.assert_allclose(cut.amps, whole.amps, rtol=1e-12)


@pytest.mark.parametrize("gap", [0.0, -1.0, math.nan, math.inf])
def test_an_impossible_gap_is_refused(tmp_path: Path, gap: float) -> None:
    log = write(tmp_path / "a.csv", rows([0.0, 1.0], [1.0, 1.0]))
    with pytest.raises(InputError, match="gap must be > 0 s, got"):
        charge(log, gap=gap)


def test_no_file_is_refused() -> None:
    with pytest.raises(InputError, match="at least one log file"):
        charge([])


def test_problems_of_all_files_are_told_at_once(tmp_path: Path) -> None:
    first = write(tmp_path / "a.csv", ["yesterday,ship service,P1,1.0,dc"])
    with pytest.raises(RecordError, match=r"(?s)a\.csv:2: time: 'yesterday'.*b\.csv"):
        charge([first, tmp_path / "b.csv"])


def changing(many: int = 200) -> tuple[Array, Array]:
    """Return moments [s] and amperes of a recorder that writes on change; invented."""
    rng = np.random.default_rng(5)
    t = np.cumsum(np.ceil(rng.exponential(1.0, many) ** 3 * 60.0))
    return t, 0.5 + 0.01 * np.cumsum(np.where(rng.random(many) < 0.5, -1.0, 1.0))


def test_a_recorder_that_writes_on_change_is_recognised_and_held(
    tmp_path: Path,
) -> None:
    t, i = changing()
    path = write(tmp_path / "a.csv", rows(t, i))
    frame = charge(path)
    assert frame["writes"].tolist() == ["on change"]
    assert frame["charge"].iloc[0] == pytest.approx(float(i[:-1] @ np.diff(t)))
    assert frame["gap_hours"].iloc[0] == 0.0
    assert "writes on change" in str(frame.attrs["doubts"][0])
    (hours,) = hourly(path)
    assert float(hours.amps @ hours.seconds) == pytest.approx(frame["charge"].iloc[0])


def test_how_a_recorder_writes_can_be_told(tmp_path: Path) -> None:
    t, i = changing()
    path = write(tmp_path / "a.csv", rows(t, i))
    told = charge(path, writes="on change")
    assert told.attrs["doubts"] == ()
    even = charge(path, writes="at intervals", gap=1e6)
    assert even["charge"].iloc[0] == pytest.approx(float(np.trapezoid(i, t)))
    lossy = charge(path, writes="at intervals")
    assert lossy["gap_hours"].iloc[0] > 0.5 * np.ptp(t) / 3600.0
    assert "hours in gaps" in str(lossy.attrs["doubts"][0])
    found: list[Problem] = []
    hourly(path, writes="at intervals", doubts=found)
    assert [str(doubt) for doubt in found] == [*map(str, lossy.attrs["doubts"])]


def test_a_held_reading_ends_at_a_gap_that_is_given(tmp_path: Path) -> None:
    path = write(tmp_path / "a.csv", rows([0.0, 10.0, 1000.0], [1.0, 2.0, 3.0]))
    frame = charge(path, gap=100.0, writes="on change")
    assert frame["charge"].iloc[0] == pytest.approx(10.0)
    assert frame["gap_hours"].iloc[0] == pytest.approx(990.0 / 3600.0)


@pytest.mark.parametrize("seed", range(4))
def test_a_regular_recorder_is_never_taken_for_one_that_writes_on_change(
    tmp_path: Path, seed: int
) -> None:
    rng = np.random.default_rng(seed)
    t = np.arange(500.0) * 10.0 + rng.uniform(-4.0, 4.0, 500)  # it polls unevenly
    t = t[rng.random(500) > 0.3]  # and loses some
    frame = charge(write(tmp_path / "a.csv", rows(t, rng.uniform(0.0, 1.0, len(t)))))
    assert frame["writes"].tolist() == ["at intervals"]


@pytest.mark.parametrize(("lost", "said"), [(0.05, False), (0.15, True)])
def test_a_log_that_loses_more_than_a_tenth_of_its_hours_is_a_doubt(
    tmp_path: Path, lost: float, *, said: bool
) -> None:
    t = np.arange(10_000.0)
    t = t[(t < 5000.0 - 5000.0 * lost) | (t > 5000.0 + 5000.0 * lost)]
    frame = charge(write(tmp_path / "a.csv", rows(t, np.full(len(t), 1.0))))
    words = [str(doubt) for doubt in frame.attrs["doubts"]]
    assert any("hours in gaps" in one for one in words) == said


def test_milliamperes_taken_for_amperes_are_asked(tmp_path: Path) -> None:
    t = np.arange(100.0)
    frame = charge(write(tmp_path / "a.csv", rows(t, 150.0 + t)))
    assert "as milliamperes look" in str(frame.attrs["doubts"][0])
    assert frame.attrs["doubts"][0].weight == 3
