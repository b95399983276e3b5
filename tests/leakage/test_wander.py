"""Tests of leakage.wander: a mean over a time, against paths drawn day by day."""

import numpy as np
import pytest

from corrosion.foundation.units import DAY
from corrosion.leakage.wander import Wander

WANDER = Wander(daily=0.0, slow=1.5, memory=120.0 * DAY)


def drawn(days: int, paths: int = 2000) -> np.ndarray:
    """Return paths of the slow part, day by day: exact steps of its own law."""
    rng = np.random.default_rng(5)
    keep = np.exp(-DAY / WANDER.memory)
    sd = np.sqrt(0.5 * WANDER.slow)  # two moments far apart differ by the whole of it
    out = np.empty((paths, days))
    out[:, 0] = sd * rng.standard_normal(paths)
    for k in range(1, days):
        fresh = np.sqrt(1.0 - keep**2) * sd * rng.standard_normal(paths)
        out[:, k] = keep * out[:, k - 1] + fresh
    return out


@pytest.mark.parametrize(
    ("read", "start", "end"), [(0, 30, 430), (0, 0, 300), (200, 0, 300), (250, 0, 60)]
)
def test_the_mean_of_a_time_is_that_of_paths(read: int, start: int, end: int) -> None:
    paths = drawn(460)
    means = paths[:, start : end + 1].mean(axis=1) - paths[:, read]
    middle = np.array(abs(0.5 * (start + end) - read) * DAY)
    shift, sd = WANDER.over(middle, np.array((end - start) * DAY))
    assert sd == pytest.approx(means.std(), rel=0.06)  # four standard errors of 2,000
    # The current goes with the conductance, whose mean is above that of the logarithm.
    within = paths[:, start : end + 1].var(axis=1).mean()
    assert shift == pytest.approx(-0.5 * within, rel=0.1)


def test_a_moment_scatters_as_two_readings_do_and_a_long_time_hardly_wanders() -> None:
    far = np.array([10.0, 100.0, 1000.0]) * DAY
    _, sd = WANDER.over(far, np.zeros(3))
    expected = [WANDER.between(each) for each in far.tolist()]
    assert sd == pytest.approx(expected)
    shift, sd = WANDER.over(np.zeros(1), np.zeros(1))  # as it was read
    assert (shift[0], sd[0]) == (0.0, 0.0)
    # Over many years the mean is the long-run one: what is left is the reading's day.
    _, sd = WANDER.over(np.array(1e4 * DAY), np.array(2e4 * DAY))
    assert sd == pytest.approx(np.sqrt(0.5 * WANDER.slow), rel=0.01)
    daily = Wander(daily=0.24, slow=0.0, memory=DAY)
    shift, sd = daily.over(np.array(50.0 * DAY), np.array(100.0 * DAY))
    assert shift == pytest.approx(-0.5 * 0.24 * 0.99)
    assert sd == pytest.approx(np.sqrt(0.24 * 1.01))
