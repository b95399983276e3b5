"""How long faults stand, against a published product-limit table and a library."""

import lifelines
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from published.printed import printed

from corrosion.inspection.whatif.durations import kaplan_meier

# Weeks of remission under 6-mercaptopurine; a plus sign: still in remission.
WEEKS = "6 6 6 6+ 7 9+ 10 10+ 11+ 13 16 17+ 19+ 20+ 22 23 25+ 32+ 32+ 34+ 35+"
DURATIONS = [float(week.rstrip("+")) for week in WEEKS.split()]
ENDED = [not week.endswith("+") for week in WEEKS.split()]


@pytest.mark.published(
    source="Freireich et al., Blood 21, 1963, 699 (6-MP arm)",
    where="product-limit estimates as reprinted in textbooks; data from memory",
    status="from memory",
)
def test_freireich_estimates() -> None:
    curve = kaplan_meier(DURATIONS, ENDED)
    assert curve.hours[1:].tolist() == [6, 7, 10, 13, 16, 22, 23]
    estimates = ["0.8571", "0.8067", "0.7529", "0.6902", "0.6275", "0.5378", "0.4482"]
    for share, text in zip(curve.standing[1:], estimates, strict=True):
        assert share == printed(text)
    assert curve.median == 23.0


@pytest.mark.published(
    source="lifelines, KaplanMeierFitter",
    where="share, log-log band and median",
    status="computed",
)
@settings(deadline=None, max_examples=20)
@given(
    rows=st.lists(
        st.tuples(st.integers(1, 30), st.booleans()), min_size=2, max_size=60
    ).filter(lambda rows: any(ended for _, ended in rows))
)
def test_a_general_library(rows: list[tuple[int, bool]]) -> None:
    hours, ended = np.array([row[0] for row in rows]), [row[1] for row in rows]
    ours = kaplan_meier(hours, ended)
    theirs = lifelines.KaplanMeierFitter().fit(hours, ended)
    share = theirs.survival_function_at_times(ours.hours).to_numpy()
    assert ours.standing == pytest.approx(share, abs=1e-12)
    if not np.isclose(ours.standing, 0.5).any():  # there rounding decides for theirs
        assert ours.median == theirs.median_survival_time_
    band = theirs.confidence_interval_.loc[ours.hours].to_numpy()
    partial = (ours.standing > 0.0) & (ours.standing < 1.0)
    assert ours.low[partial] == pytest.approx(band[partial, 0], rel=1e-6)
    assert ours.high[partial] == pytest.approx(band[partial, 1], rel=1e-6)
