"""The bare share with time, in the order: laws, edges, errors."""

from collections.abc import Mapping

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corrosion.foundation.errors import InputError
from corrosion.foundation.types import Array
from corrosion.foundation.units import YEAR
from corrosion.wastage.coating import CoatingLaw, PaintState, coating_breakdown

INITIAL, LIFE, POWER, LEAST, INTERVAL = 0.02, 20.0, 2.0, 1e-6, 5.0  # years
LAW = CoatingLaw(initial=INITIAL, life=LIFE * YEAR, exponent=POWER, least=LEAST)
CYCLE = 1.0 - 0.98 * 0.979552  # mean of exp(-(t/20)²) over five years: erf(1/4)

Known = Mapping[str, float | None]


def bare(years: Array | float, known: Known) -> Array:
    """Return the bare share with all times in years."""
    return state(years, known).bare


def state(years: Array | float, known: Known) -> PaintState:
    seen, painted, share = (known.get(name) for name in ("seen", "painted", "share"))
    return coating_breakdown(
        np.asarray(years) * YEAR,
        LAW,
        bare_seen_share=np.nan if share is None else share,
        seen_moment=np.nan if seen is None else seen * YEAR,
        painted=np.nan if painted is None else painted * YEAR,
        interval=INTERVAL * YEAR,
    )


def new(age: float) -> float:
    return float(1.0 - 0.98 * np.exp(-((age / LIFE) ** 2)))


years = st.floats(-40.0, 40.0)
knowledge = st.fixed_dictionaries(
    {
        "seen": st.none() | years,
        "share": st.none() | st.floats(0.0, 1.0),
        "painted": st.none() | years,
    }
)


@pytest.mark.parametrize(
    ("year", "share"),
    [(-1.0, CYCLE), (0.0, 0.02), (5.0, 0.02 + 0.18 / 4.0), (10.0, 0.20)],
)
def test_painted_then_seen(year: float, share: float) -> None:
    # 2 % when painted in year 0, 20 % when seen in year 10, by the square between.
    known = {"painted": 0.0, "seen": 10.0, "share": 0.20}
    assert bare(year, known) == pytest.approx(share, rel=1e-3)


def test_goes_on_as_paint_of_that_share_does() -> None:
    age = LIFE * np.sqrt(-np.log(0.8 / 0.98))
    known = {"painted": 0.0, "seen": 10.0, "share": 0.20}
    assert bare(14.0, known) == pytest.approx(new(age + 4.0), rel=1e-9)


@pytest.mark.parametrize(("year", "share"), [(15.0, 0.02), (17.0, new(2.0))])
def test_seen_then_painted(year: float, share: float) -> None:
    known = {"painted": 15.0, "seen": 10.0, "share": 0.20}
    assert bare(year, known) == pytest.approx(share, rel=1e-12)


def test_seen_and_never_painted_is_painted_where_the_law_begins() -> None:
    age = float(LIFE * np.sqrt(-np.log(0.8 / 0.98)))
    known = {"seen": 10.0, "share": 0.20}
    assert state(11.0, known).since == pytest.approx((10.0 - age) * YEAR)
    assert bare(10.0 - age + 1e-6, known) == pytest.approx(0.02, rel=1e-4)
    assert bare(10.0 - age - 0.1, known) == pytest.approx(CYCLE, rel=1e-3)
    assert np.isnan(state(10.0 - age - 0.1, known).since)


@pytest.mark.parametrize("seen", [None, 3.0])
def test_painted_and_no_share_seen(seen: float | None) -> None:
    known = {"painted": 0.0, "seen": seen}  # a date without a share is nothing
    for year in (0.0, 4.0, 30.0):
        assert bare(year, known) == pytest.approx(new(year), rel=1e-12)
    assert state(4.0, known).since == 0.0


def test_nothing_known_is_the_mean_of_a_repaint_cycle() -> None:
    t = np.linspace(0.0, INTERVAL, 2001)
    found = bare(np.array([-50.0, 0.0, 50.0]), {})
    mean = np.trapezoid([new(x) for x in t], t) / INTERVAL
    np.testing.assert_allclose(found, mean, rtol=1e-6)


@settings(deadline=None, max_examples=200)
@given(known=knowledge, year=st.floats(-100.0, 100.0))
def test_is_always_a_share(known: Known, year: float) -> None:
    assert LEAST <= bare(year, known) <= 1.0


@settings(deadline=None, max_examples=200)
@given(known=knowledge, one=years, other=years)
def test_grows_from_the_last_painting_on(
    known: Known, one: float, other: float
) -> None:
    painted = known["painted"]
    first, last = sorted((one, other))
    if painted is not None and first >= painted:
        assert bare(first, known) <= bare(last, known) + 1e-9


@settings(deadline=None, max_examples=100)
@given(seen=years, share=st.floats(1e-3, 1.0), ago=st.none() | st.floats(0.0, 30.0))
def test_is_what_was_seen_when_it_was_seen(
    seen: float, share: float, ago: float | None
) -> None:
    painted = None if ago is None else seen - ago
    known = {"seen": seen, "share": share, "painted": painted}
    assert bare(seen, known) == pytest.approx(share, rel=1e-6)


@settings(deadline=None, max_examples=100)
@given(seen=years, share=st.floats(1e-3, 0.9), ago=st.floats(0.5, 30.0))
def test_is_continuous_where_it_was_seen(seen: float, share: float, ago: float) -> None:
    known = {"seen": seen, "share": share, "painted": seen - ago}
    for side in (-1e-6, 1e-6):
        assert bare(seen + side, known) == pytest.approx(share, abs=1e-5)


def test_less_than_new_paint_seen_is_believed() -> None:
    known = {"painted": 0.0, "seen": 10.0, "share": 0.005}
    np.testing.assert_allclose(bare(np.array([0.0, 5.0, 10.0]), known), 0.005)


def test_never_leaves_one() -> None:
    assert bare(400.0, {"painted": 0.0}) == 1.0


def test_a_whole_coat_keeps_a_pinhole() -> None:
    known = {"painted": 0.0, "seen": 0.0, "share": 0.0}
    assert bare(0.0, known) == LEAST


def test_samples_zones_and_unknowns_broadcast() -> None:
    law = CoatingLaw(
        initial=np.full((6, 1), INITIAL),
        life=np.full((6, 1), LIFE * YEAR),
        exponent=POWER,
        least=LEAST,
    )
    found = coating_breakdown(
        np.array([0.0, 10.0, np.nan])[:, None, None] * YEAR,
        law,
        bare_seen_share=np.full((6, 4), 0.1),
        seen_moment=np.array([0.0, 1.0, np.nan, 3.0]) * YEAR,
        painted=np.array([np.nan, 0.0, np.nan, 5.0]) * YEAR,
        interval=INTERVAL * YEAR,
    ).bare
    assert found.shape == (3, 6, 4)
    assert np.isfinite(found[:2]).all()
    assert np.isnan(found[2]).all()


def test_refuses_a_share_in_per_cent() -> None:
    match = r"bare_seen_share must lie in 0 to 1 .* not per cent"
    with pytest.raises(InputError, match=match):
        bare(0.0, {"painted": 0.0, "seen": 0.0, "share": 20.0})


@pytest.mark.parametrize(
    ("law", "interval", "match"),
    [
        ({"initial": -0.1}, 5.0, "initial must lie in 0 to 1"),
        ({"life": 0.0}, 5.0, r"life must be > 0 s, got 0"),
        ({}, -1.0, r"interval must be > 0 s, got -1 s"),
    ],
)
def test_refuses_the_impossible(
    law: dict[str, float], interval: float, match: str
) -> None:
    rule = {"initial": 0.02, "life": 1e9, "exponent": 2.0, "least": 1e-6} | law
    with pytest.raises(InputError, match=match):
        coating_breakdown(
            0.0,
            CoatingLaw(**rule),
            bare_seen_share=0.1,
            seen_moment=0.0,
            painted=0.0,
            interval=interval,
        )
