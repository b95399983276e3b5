"""The deepest pits, given least readings and that shell plating is not holed."""

import numpy as np
import pytest
from scipy.stats import norm

from corrosion.inspection.calibration.pit_evidence import PitEvidence, PitPrior
from corrosion.inspection.calibration.pits import pit_law
from corrosion.inspection.factors import PitLaw

SAMPLES, SD = 20_000, 0.6


def law(room: float, **what: float) -> PitLaw:
    """Return the law of a gauged plate (9: not), a sound one and one of inside."""
    shared, gauged = what.get("shared", 0.0), what.get("gauged", 9.0)
    unnoticed, least = what.get("unnoticed", 1e-9), what.get("least", -9.0)
    rng = np.random.default_rng(3)
    prior = PitPrior(
        recorded=SD * rng.standard_normal((SAMPLES, 3)),
        sd=np.full(3, SD),
        shared=shared,
        unnoticed=unnoticed,
        unwelded=what.get("unwelded", 0.0),
        hidden=what.get("hidden", what.get("unwelded", 0.0)),
        otherwise=what.get("otherwise", 0.0),
        mended=what.get("mended", 0.0),
        waits=what.get("waits", 0.0),
        again=what.get("again", 0.0),
    )
    deep = np.full((SAMPLES, 3), -np.inf)
    deep[:, 1] = what.get("deep", -np.inf)
    through = np.full((SAMPLES, 3), np.nan)
    through[:, 1] = what.get("through", np.nan)
    weld = np.full((SAMPLES, 3), np.inf)
    weld[:, 1] = what.get("weld", np.inf)
    found = PitEvidence(
        gauged=np.full((SAMPLES, 3), gauged),
        known=np.array([gauged < 9.0, False, False]),
        room=room - prior.recorded,  # the same depth whatever was recorded
        sound=np.array([False, True, False]),
        least=least - prior.recorded,
        spots=np.full((SAMPLES, 3), what.get("spots", 0.0)),
        weight=np.array([what.get("weight", 0.0), 0.0, 0.0]),
        lot=prior.recorded / SD,
        weld=weld - prior.recorded,
        deep=deep - prior.recorded,
        through=through - prior.recorded,
        leaked=np.array([False, what.get("leaked", 0.0) > 0.0, False]),
        through_lot=rng.random((SAMPLES, 3)),
    )
    once = pit_law(rng.random(SAMPLES), rng.random((SAMPLES, 3)), prior, found)
    absolute = {
        name: getattr(once, name) + prior.recorded
        for name in ("drawn", "mean", "most", "least")
    }
    return PitLaw(sd=once.sd, **absolute)


def test_a_sound_plate_follows_the_truncated_normal_law() -> None:
    # scipy's own law, cut off at half a standard deviation
    found = law(0.3)
    exact = norm.cdf(np.linspace(-1.0, 0.3, 5) / SD) / norm.cdf(0.3 / SD)
    drawn = (found.drawn[:, 1, None] < np.linspace(-1.0, 0.3, 5)).mean(axis=0)
    assert drawn == pytest.approx(exact, abs=0.012)
    told = found.beyond(np.full((SAMPLES, 3), -0.2))[:, 1]
    assert told.mean() == pytest.approx(
        1.0 - norm.cdf(-0.2 / SD) / norm.cdf(0.3 / SD), abs=0.012
    )


def test_what_is_inside_keeps_its_law() -> None:
    found = law(0.3)
    assert found.drawn[:, 2].std() == pytest.approx(SD, rel=0.03)
    assert found.beyond(np.zeros((SAMPLES, 3)))[:, 2].mean() == pytest.approx(0.5, 0.02)


def test_an_unnoticed_hole_keeps_its_chance() -> None:
    # at half a chance of a hole: h (1 − Φ) / (h + (1 − h) Φ), with Φ = 1/2, h = 0.2
    found = law(0.0, unnoticed=0.2)
    assert (found.drawn[:, 1] > 0.0).mean() == pytest.approx(0.1 / 0.6, abs=0.01)


def test_a_yard_that_left_a_plate_says_that_its_pits_were_shallower() -> None:
    """At the middle of the law, one plate in five is looked at in vain.

    u (1 - Φ) / (u + (1 - u) Φ) deeper, with Φ = 1/2, u = 0.2; half of these beyond the
    quartile of the normal law, but for holes beyond 0.3.
    """
    found = law(50.0, weld=0.0, unwelded=0.2)
    assert (found.drawn[:, 1] > 0.0).mean() == pytest.approx(0.1 / 0.6, abs=0.01)
    deep = found.drawn[:, 1] > norm.ppf(0.75) * SD
    assert deep.mean() == pytest.approx(0.05 / 0.6, abs=0.01)
    half = law(50.0, weld=0.0, unwelded=0.2, hidden=0.1).drawn[:, 1]
    assert (half > 1e-5).mean() == pytest.approx(0.05 / 0.6, abs=0.01)
    unwritten = np.abs(half) < 1e-5  # welded all the same
    assert unwritten.mean() == pytest.approx(0.05 / 0.6, abs=0.01)
    both = law(0.3, weld=0.0, unwelded=0.2)
    whole = 0.8 * 0.5 + 0.2 * norm.cdf(0.3 / SD)
    over = 0.2 * (norm.cdf(0.3 / SD) - 0.5) / whole
    assert (both.drawn[:, 1] > 0.0).mean() == pytest.approx(over, abs=0.01)
    assert both.drawn[:, 1].max() <= 0.3 + 1e-9


def test_a_gauged_pit_speaks_for_its_own_zone() -> None:
    found = law(50.0, shared=0.5, gauged=-0.8)
    assert found.drawn[:, 0] == pytest.approx(-0.8)
    assert found.drawn[:, 2].mean() == pytest.approx(0.0, abs=0.02)


def test_sound_plates_speak_for_the_ship() -> None:
    # two zones of correlation 1/2, one below its 16 %: E[z | x < -sd], from the
    # truncated normal law's mean
    found = law(-SD, shared=0.5)
    below = -norm.pdf(-1.0) / norm.cdf(-1.0) * SD
    assert found.drawn[:, 2].mean() == pytest.approx(0.5 * below, abs=0.02)


def test_no_pit_is_less_deep_than_a_least_reading() -> None:
    # a normal law cut off from below at half a standard deviation
    found = law(50.0, least=0.5 * SD)
    tail = 1.0 - norm.cdf(0.5)
    assert found.drawn[:, 2].min() >= 0.5 * SD - 1e-9
    assert (found.drawn[:, 2] > SD).mean() == pytest.approx(
        (1.0 - norm.cdf(1.0)) / tail, abs=0.01
    )
    told = found.beyond(np.full((SAMPLES, 3), SD))[:, 2].mean()
    assert told == pytest.approx((1.0 - norm.cdf(1.0)) / tail, abs=0.005)


def test_spots_speak_for_their_zone_and_for_the_ship_with_their_error() -> None:
    """Normal laws: read 0.5 with an error as wide as the prior, correlation one half.

    Its own zone: half of 0.5, and half the variance; the others half of that again.
    """
    found = law(50.0, shared=0.5, spots=0.5, weight=SD**-2.0)
    assert found.drawn[:, 0].mean() == pytest.approx(0.25, abs=0.02)
    assert found.drawn[:, 0].std() == pytest.approx(np.sqrt(0.5) * SD, rel=0.06)
    assert found.drawn[:, 2].mean() == pytest.approx(0.125, abs=0.02)


def test_pits_that_were_welded_speak_for_the_ship() -> None:
    """Two zones of correlation 1/2, one above its 84 %: E[z | x > sd].

    From the truncated normal law's mean; of a weld that says nothing in one case of
    four, as the mixture of both.
    """
    above = norm.pdf(1.0) / norm.sf(1.0) * SD
    found = law(50.0, shared=0.5, deep=SD)
    assert found.drawn[:, 2].mean() == pytest.approx(0.5 * above, abs=0.02)
    surely = 0.75 * norm.sf(1.0) / (0.25 + 0.75 * norm.sf(1.0))
    mixed = law(50.0, shared=0.5, deep=SD, otherwise=0.25)
    assert mixed.drawn[:, 2].mean() == pytest.approx(0.5 * surely * above, abs=0.02)


def test_what_a_weld_left_is_shallower_than_what_it_mended() -> None:
    found = law(50.0, deep=0.3)
    assert found.drawn[:, 1].max() <= 0.3 + 1e-9
    unseen = law(50.0, deep=0.0, unwelded=0.2)
    assert (unseen.drawn[:, 1] > 0.0).mean() == pytest.approx(0.1 / 0.6, abs=0.01)


def of_two_normals(edge: float, again: float, below: float, above: float) -> float:
    """Return the mean of a pit, another of which lies beyond an edge, or does not.

    By its odds on either side, on a grid of the other.
    """
    wide = np.hypot(SD, again)
    other = np.linspace(-8.0, 8.0, 40_001)
    weight = norm.pdf(other, scale=wide) * np.where(other < edge, below, above)
    return float((weight * other).sum() / weight.sum() * (SD / wide) ** 2)


def test_a_plate_that_leaked_pits_fast_again() -> None:
    """It went through at a standard deviation; the next pit differs by a half of it."""
    again = 0.5 * SD
    found = law(50.0, through=SD, leaked=1.0, mended=0.05, again=again)
    mean = of_two_normals(SD, again, 0.05, 1.0)
    assert mean > 0.9 * SD
    assert found.drawn[:, 1].mean() == pytest.approx(mean, abs=0.02)
    # in closed form, with which chances ahead are told: of its own law's mean and width
    told = found.beyond(np.full((SAMPLES, 3), mean))[:, 1].mean()
    assert told == pytest.approx((found.drawn[:, 1] > mean).mean(), abs=0.01)
    assert found.drawn[:, 2].mean() == pytest.approx(0.0, abs=0.02)
    # a yard's weld before says nothing of the one that grew since
    free = law(50.0, through=SD, leaked=1.0, deep=-SD, mended=0.05, again=again)
    assert free.drawn[:, 1].mean() == pytest.approx(mean, abs=0.02)


def test_plates_welded_in_dock_had_not_leaked() -> None:
    """At the middle: not through, but for one of five, which waited for the dock."""
    found = law(50.0, through=0.0, waits=0.2, again=0.5 * SD)
    mean = of_two_normals(0.0, 0.5 * SD, 1.0, 0.2)
    assert found.drawn[:, 1].mean() == pytest.approx(mean, abs=0.02)


def test_leaks_speak_for_the_ship() -> None:
    # by one half, the correlation, of what they say of the zone, were it alone
    for leaked, odds in ((1.0, (0.05, 1.0)), (0.0, (1.0, 0.2))):
        what = {"through": 0.5 * SD, "leaked": leaked, "mended": 0.05}
        found = law(50.0, shared=0.5, waits=0.2, again=0.5 * SD, **what)
        mean = of_two_normals(0.5 * SD, 0.5 * SD, *odds)
        assert found.drawn[:, 2].mean() == pytest.approx(0.5 * mean, abs=0.02)
