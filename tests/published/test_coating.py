"""Coating breakdown against the form that cathodic protection is designed by."""

import numpy as np
import pytest
from published.printed import printed

from corrosion.foundation.types import Array
from corrosion.foundation.units import YEAR
from corrosion.wastage.coating import coating_breakdown

RULE = {
    "source": "DNV-RP-B401, coating breakdown factor",
    "status": "from memory",
}


def new_paint(years: Array | float, a: float, b: float) -> Array:
    return coating_breakdown(
        np.asarray(years) * YEAR,
        bare_seen_share=np.nan,
        seen_moment=np.nan,
        painted=0.0,
        initial=a,
        rate=b / YEAR,
        interval=5.0 * YEAR,
    )


@pytest.mark.published(**RULE, where="final factor, a + b·t")
@pytest.mark.parametrize(
    ("a", "b", "years", "final"),
    [
        (0.10, 0.10, 5.0, "0.60"),  # one thin coat
        (0.05, 0.025, 20.0, "0.55"),  # two coats
        (0.02, 0.012, 25.0, "0.32"),  # three coats, upper 30 m of water
    ],
)
def test_final_factor(a: float, b: float, years: float, final: str) -> None:
    assert new_paint(years, a, b) == printed(final)


@pytest.mark.published(**RULE, where="mean factor, a + b·t/2; 1 - (1 - a)²/(2·b·t)")
@pytest.mark.parametrize(("a", "b", "years"), [(0.02, 0.012, 25.0), (0.10, 0.10, 30.0)])
def test_mean_factor(a: float, b: float, years: float) -> None:
    t = np.linspace(0.0, years, 100_001)
    mean = np.trapezoid(new_paint(t, a, b), t) / years
    whole = 1.0 - (1.0 - a) ** 2 / (2.0 * b * years)
    expected = a + b * years / 2.0 if a + b * years <= 1.0 else whole
    assert mean == pytest.approx(expected, rel=1e-6)
