"""Deepest pits against extreme-value theory; holidays against the disk's resistance."""

import numpy as np
import pytest
from published.printed import printed
from scipy import stats

from corrosion.wastage.pits import deepest_pit, holiday_concentration

MEAN, FACTOR, SCALE = 1.2e-3, 3.0, 0.15
MODE = FACTOR * MEAN


@pytest.mark.published(
    source="scipy.stats.gumbel_r",
    where="quantiles, one reference area",
    status="computed",
)
def test_draws_are_gumbel() -> None:
    u = np.array([0.05, 0.5, 0.9, 0.999])
    deepest = deepest_pit(
        MEAN, factor=FACTOR, bare_area=2.0, reference_area=2.0, uniform=u, scale=SCALE
    )
    expected = stats.gumbel_r.ppf(u, loc=MODE, scale=SCALE * MODE)
    np.testing.assert_allclose(deepest, expected, rtol=1e-12)


@pytest.mark.published(
    source="Gumbel's reduced variate, handbooks of hydrology",
    where="return periods of 10, 50 and 100",
    status="from memory",
)
@pytest.mark.parametrize(
    ("period", "variate"), [(10.0, "2.2504"), (50.0, "3.9019"), (100.0, "4.6001")]
)
def test_reduced_variates(period: float, variate: str) -> None:
    deepest = deepest_pit(
        MEAN,
        factor=FACTOR,
        bare_area=1.0,
        reference_area=1.0,
        uniform=1.0 - 1.0 / period,
        scale=SCALE,
    )
    assert (deepest - MODE) / (SCALE * MODE) == printed(variate)


@pytest.mark.published(
    source="Shibata, J. Res. NIST 99, 1994, 327",
    where="the deepest of n areas is Gumbel, its mode moved by α ln n",
    status="from memory",
)
@pytest.mark.parametrize("areas", [2, 10, 1000])
def test_area_is_the_deepest_of_its_parts(areas: int) -> None:
    # Chance that none of n parts holds a pit deeper than d: the product of theirs.
    u = np.array([0.1, 0.5, 0.9])
    deepest = deepest_pit(
        MEAN,
        factor=FACTOR,
        bare_area=float(areas),
        reference_area=1.0,
        uniform=u,
        scale=SCALE,
    )
    of_a_part = stats.gumbel_r.cdf(deepest, loc=MODE, scale=SCALE * MODE)
    np.testing.assert_allclose(of_a_part**areas, u, rtol=1e-9)


@pytest.mark.published(
    source="scipy.stats.gumbel_r, drawn and fitted",
    where="coupons foretell a tank 200 times as large",
    status="computed",
)
def test_coupons_foretell_the_tank() -> None:
    rng = np.random.default_rng(7)
    law = {"loc": MODE, "scale": SCALE * MODE}
    pits = np.asarray(stats.gumbel_r.rvs(**law, size=(4000, 200), random_state=rng))
    loc, scale = stats.gumbel_r.fit(pits[:, 0])
    foretold = deepest_pit(
        MEAN,
        factor=loc / MEAN,
        bare_area=200.0,
        reference_area=1.0,
        uniform=np.array([0.1, 0.5, 0.9]),
        scale=scale / loc,
    )
    found = np.quantile(pits.max(axis=1), [0.1, 0.5, 0.9])
    np.testing.assert_allclose(foretold, found, rtol=0.02)


@pytest.mark.published(
    source="ASTM G46, pitting factor",
    where="deepest over mean penetration, the mean by loss of mass; 1: uniform loss",
    status="from memory",
)
def test_the_pitting_factor_of_a_coupon() -> None:
    """Of 100 cm² of steel 3.93 g is 50 µm in the mean; the deepest 150: factor 3."""
    mean = 3.93e-3 / (7860.0 * 100e-4)
    most_likely = float(np.exp(-1.0))
    area = {"bare_area": 100e-4, "reference_area": 100e-4, "uniform": most_likely}
    deepest = deepest_pit(mean, factor=3.0, **area)
    assert deepest == pytest.approx(150e-6, rel=1e-12)
    assert deepest_pit(mean, factor=1.0, **area) == pytest.approx(mean, rel=1e-12)


@pytest.mark.published(
    source="Newman, J. Electrochem. Soc. 113, 1966, 501",
    where="resistance of a disk, ρ/(4a)",
    status="from memory",
)
def test_holiday_and_patch_as_two_circuits() -> None:
    rho, r_p, a, b, volts = 0.25, 0.3, 0.005, 0.12, 0.7
    density = [
        volts / (r_p / (np.pi * r**2) + rho / (4.0 * r)) / (np.pi * r**2)
        for r in (a, b)
    ]
    factor = holiday_concentration(rho, interface=r_p, holiday=a, patch=b)
    assert factor == pytest.approx(density[0] / density[1], rel=1e-12)
