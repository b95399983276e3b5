"""The bare share with time, in the order: laws, edges, errors."""

from collections.abc import Mapping

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corrosion.foundation import assumptions
from corrosion.foundation.errors import InputError
from corrosion.foundation.types import Array
from corrosion.foundation.units import YEAR
from corrosion.wastage.coating import coating_breakdown

INITIAL, RATE, INTERVAL = 0.02, 0.03, 5.0  # share, share a year, years
CYCLE = INITIAL + RATE * INTERVAL / 2.0


Known = Mapping[str, float | None]


def bare(years: Array | float, known: Known) -> Array:
    """Return the bare share with all times in years."""
    seen, painted = known.get("seen"), known.get("painted")
    share = known.get("share")
    return coating_breakdown(
        np.asarray(years) * YEAR,
        bare_seen_share=np.nan if share is None else share,
        seen_moment=np.nan if seen is None else seen * YEAR,
        painted=np.nan if painted is None else painted * YEAR,
        initial=INITIAL,
        rate=RATE / YEAR,
        interval=INTERVAL * YEAR,
    )


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
    [(-1.0, CYCLE), (0.0, 0.02), (5.0, 0.11), (10.0, 0.20), (12.0, 0.26)],
)
def test_painted_then_seen(year: float, share: float) -> None:
    # 2 % when painted in year 0, 20 % when seen in year 10, 3 % a year from then on.
    known = {"painted": 0.0, "seen": 10.0, "share": 0.20}
    assert bare(year, known) == pytest.approx(share, rel=1e-12)


@pytest.mark.parametrize(
    ("year", "share"),
    [(9.0, 0.17), (10.0, 0.20), (14.0, 0.32), (15.0, 0.02), (17.0, 0.08)],
)
def test_seen_then_painted(year: float, share: float) -> None:
    known = {"painted": 15.0, "seen": 10.0, "share": 0.20}
    assert bare(year, known) == pytest.approx(share, rel=1e-12)


@pytest.mark.parametrize(
    ("year", "share"), [(3.0, CYCLE), (4.5, 0.035), (10.0, 0.20), (12.0, 0.26)]
)
def test_seen_and_never_painted(year: float, share: float) -> None:
    # 20 % at 3 % a year: painted six years before it was seen, as far as one can tell.
    assert bare(year, {"seen": 10.0, "share": 0.20}) == pytest.approx(share, rel=1e-12)


@pytest.mark.parametrize(("year", "share"), [(-3.0, CYCLE), (0.0, 0.02), (4.0, 0.14)])
@pytest.mark.parametrize("seen", [None, 3.0])
def test_painted_and_no_share_seen(
    year: float, share: float, seen: float | None
) -> None:
    known = {"painted": 0.0, "seen": seen}  # a date without a share is nothing
    assert bare(year, known) == pytest.approx(share, rel=1e-12)


def test_nothing_known_is_the_mean_of_a_repaint_cycle() -> None:
    found = bare(np.array([-50.0, 0.0, 50.0]), {})
    np.testing.assert_allclose(found, CYCLE, rtol=1e-12)


@settings(deadline=None, max_examples=200)
@given(known=knowledge, year=st.floats(-100.0, 100.0))
def test_is_always_a_share(known: Known, year: float) -> None:
    assert assumptions.value("bare_least_share") <= bare(year, known) <= 1.0


@settings(deadline=None, max_examples=200)
@given(known=knowledge, one=years, other=years)
def test_grows_from_the_last_painting_on(
    known: Known, one: float, other: float
) -> None:
    painted = known["painted"]
    first, last = sorted((one, other))
    if painted is not None and first >= painted:
        assert bare(first, known) <= bare(last, known) + 1e-12


@settings(deadline=None, max_examples=100)
@given(seen=years, share=st.floats(1e-3, 1.0), ago=st.none() | st.floats(0.0, 30.0))
def test_is_what_was_seen_when_it_was_seen(
    seen: float, share: float, ago: float | None
) -> None:
    painted = None if ago is None else seen - ago
    known = {"seen": seen, "share": share, "painted": painted}
    assert bare(seen, known) == pytest.approx(share, rel=1e-9)


@settings(deadline=None, max_examples=100)
@given(seen=years, share=st.floats(1e-3, 0.9), ago=st.floats(0.5, 30.0))
def test_is_continuous_where_it_was_seen(seen: float, share: float, ago: float) -> None:
    known = {"seen": seen, "share": share, "painted": seen - ago}
    before = bare(seen - 1e-6, known)
    assert before == pytest.approx(share, abs=1e-5)


def test_less_than_new_paint_seen_is_believed() -> None:
    known = {"painted": 0.0, "seen": 10.0, "share": 0.005}
    np.testing.assert_allclose(bare(np.array([0.0, 5.0, 10.0]), known), 0.005)


def test_never_leaves_one() -> None:
    assert bare(400.0, {"painted": 0.0}) == 1.0


def test_a_whole_coat_keeps_a_pinhole() -> None:
    known = {"painted": 0.0, "seen": 0.0, "share": 0.0}
    assert bare(0.0, known) == assumptions.value("bare_least_share")


def test_samples_zones_and_unknowns_broadcast() -> None:
    found = coating_breakdown(
        np.array([0.0, 10.0, np.nan])[:, None, None] * YEAR,
        bare_seen_share=np.full((6, 4), 0.1),
        seen_moment=np.array([0.0, 1.0, np.nan, 3.0]) * YEAR,
        painted=np.array([np.nan, 0.0, np.nan, 5.0]) * YEAR,
        initial=np.full((6, 1), INITIAL),
        rate=np.full((6, 1), RATE / YEAR),
        interval=INTERVAL * YEAR,
    )
    assert found.shape == (3, 6, 4)
    assert np.isfinite(found[:2]).all()
    assert np.isnan(found[2]).all()


@pytest.mark.parametrize(
    ("name", "value", "match"),
    [
        (
            "bare_seen_share",
            20.0,
            r"bare_seen_share must lie in 0 to 1 .* not per cent",
        ),
        ("initial", -0.1, "initial must lie in 0 to 1"),
        ("rate", 0.0, r"rate must be > 0 1/s, got 0"),
        ("interval", -1.0, r"interval must be > 0 s, got -1 s"),
    ],
)
def test_refuses_the_impossible(name: str, value: float, match: str) -> None:
    given_ = {
        "bare_seen_share": 0.1,
        "seen_moment": 0.0,
        "painted": 0.0,
        "initial": 0.02,
        "rate": 1e-9,
        "interval": 1e8,
    }
    with pytest.raises(InputError, match=match):
        coating_breakdown(0.0, **(given_ | {name: value}))
