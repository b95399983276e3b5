import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corrosion.foundation.errors import InputError
from corrosion.inspection.whatif.durations import durations, kaplan_meier
from corrosion.records.dates import When
from corrosion.records.ship import Fault

HOUR = 3600.0


def at(hours: float) -> When:
    return When(text="", earliest=hours * HOUR, latest=hours * HOUR)


def fault(found: float, cleared: float | None, good: float | None = None) -> Fault:
    return Fault(
        fault="F",
        system="main",
        current="ac",
        found=at(found),
        cleared=None if cleared is None else at(cleared),
        last_good=None if good is None else at(good),
    )


@settings(deadline=None, max_examples=30)
@given(hours=st.lists(st.integers(0, 50), min_size=1, max_size=40))
def test_without_standing_faults_it_is_the_plain_share(hours: list[int]) -> None:
    curve = kaplan_meier(hours, [True] * len(hours))
    share = [(np.array(hours) > hour).mean() for hour in curve.hours[1:]]
    assert curve.standing[1:] == pytest.approx(share)


@settings(deadline=None, max_examples=30)
@given(
    rows=st.lists(st.tuples(st.integers(1, 40), st.booleans()), min_size=1, max_size=40)
)
def test_falls_and_stays_within_its_band(rows: list[tuple[int, bool]]) -> None:
    curve = kaplan_meier([row[0] for row in rows], [row[1] for row in rows])
    assert (np.diff(curve.standing) < 0.0).all()
    known = ~np.isnan(curve.low)
    assert (curve.low[known] <= curve.standing[known] + 1e-12).all()
    assert (curve.high[known] >= curve.standing[known] - 1e-12).all()
    assert curve.curve()[0] == [0.0, 1.0, 1.0, 1.0]


def test_all_cleared_leaves_the_band_unknown() -> None:
    assert kaplan_meier([2.0], [True]).curve()[-1] == [2.0, 0.0, None, None]


def test_nothing_cleared_has_no_median() -> None:
    curve = kaplan_meier([5.0, 9.0], [False, False])
    assert curve.curve() == [[0.0, 1.0, 1.0, 1.0]]
    assert curve.median == np.inf


def test_counts_from_found() -> None:
    log = [
        fault(10.0, 14.0, good=6.0),
        fault(20.0, None, good=19.0),
        fault(30.0, 31.0),
        fault(40.0, 90.0),
        fault(80.0, 81.0),
    ]
    found = durations(log, as_of=50.0 * HOUR)
    assert found.from_found.tolist() == [4.0, 30.0, 1.0, 10.0]
    assert found.cleared.tolist() == [True, False, True, False]
    assert "2 of 4 faults have a last good check" in found.note
    assert "2 still stand" in found.note


def test_names_what_is_impossible() -> None:
    with pytest.raises(InputError, match=r"durations must be 0 h or more, got -1 h at"):
        kaplan_meier([1.0, -1.0], [True, True])
    with pytest.raises(InputError, match="one 'observed' for each fault, got 1 and 2"):
        kaplan_meier([1.0], [True, True])
    with pytest.raises(InputError, match="for each fault, got 0 and 0"):
        kaplan_meier([], [])
    with pytest.raises(InputError, match="needs at least one fault found by the date"):
        durations([fault(9.0, None)], as_of=0.0)
