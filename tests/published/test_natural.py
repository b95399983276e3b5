"""Natural loss against the points of a code and against long-run surveys."""

import numpy as np
import pytest
from published.printed import printed

from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.units import MM
from corrosion.wastage.natural import loss_depth

ASSUMPTIONS = default_assumptions()

AGES = (5.0, 25.0, 50.0, 75.0, 100.0)
SEA = ("0.25", "0.90", "1.75", "2.60", "3.50")
SPLASH = ("0.55", "1.90", "3.75", "5.60", "7.50")


@pytest.mark.published(
    source="EN 1993-5, loss of steel in seawater",
    where="Table 4-2, as transcribed in a design code",
    status="secondary",
)
@pytest.mark.parametrize(
    ("exposure", "points"), [("immersed", SEA), ("tidal", SEA), ("splash", SPLASH)]
)
def test_points_of_the_code(exposure: str, points: tuple[str, ...]) -> None:
    for age, point in zip(AGES, points, strict=True):
        # The curve runs through the points: not only near them.
        assert loss_depth(exposure, age) / MM == pytest.approx(float(point), rel=1e-5)


@pytest.mark.published(
    source="EN 1993-5, loss of steel in fresh water",
    where="0.15, 0.55, 0.90, 1.15, 1.40 mm",
    status="from memory",
)
def test_points_of_fresh_water() -> None:
    for age, point in zip(AGES, ("0.15", "0.55", "0.90", "1.15", "1.40"), strict=True):
        found = loss_depth("immersed", age, fresh=1.0) / MM
        assert found == pytest.approx(float(point), rel=1e-5)
    assert loss_depth("immersed", 100.0, fresh=1.0) <= 0.6 * loss_depth(
        "immersed", 100.0
    )


@pytest.mark.published(
    source="Ali & Fulazzaky, Heliyon 2020, transcribed; AIMS Mater. 2023, abstract",
    where="0.20 to 0.29 mm/yr over 1,750 h, 0.28 to 0.31 over 7 to 14 days",
    status="secondary",
)
def test_the_first_months_are_fast() -> None:
    weeks = 1750.0 / 8766.0
    rate = float(loss_depth("immersed", weeks)) / MM / weeks
    assert 0.20 <= rate <= 0.29
    days = 10.0 / 365.25  # in the first days the fit is slower than the tests
    assert 0.8 * 0.28 <= float(loss_depth("immersed", days)) / MM / days <= 0.31


@pytest.mark.published(
    source="BS 6349-1-4:2021, as quoted", where="2.5 mm in 50 years", status="secondary"
)
def test_a_port_code_lies_within_the_pooled_factor() -> None:
    row = ASSUMPTIONS["natural_factor"]
    factor = 2.5 / (float(loss_depth("immersed", 50.0)) / MM)
    assert abs(np.log(factor / row.median)) < np.log(row.geometric_sd)


@pytest.mark.published(
    source="Melchers, Corrosion 77(1), 2021, abstract",
    where="0.06 mm/yr in the long run at 20 °C, clean",
    status="secondary",
)
def test_warm_clean_water_in_the_long_run() -> None:
    own = ASSUMPTIONS["natural_factor_known"]
    factor = own.median * np.exp(20.0 * ASSUMPTIONS.value("natural_per_degree"))
    slope = float(np.diff(loss_depth("immersed", [25.0, 50.0]))[0]) / MM / 25.0
    assert factor * slope == pytest.approx(0.06, rel=0.1)


@pytest.mark.published(
    source="US Army CRREL LR-03-19, 2003, quoting a piling maker's handbook of 2001",
    where="long-run mean loss a face, mm a year",
    status="secondary",
)
@pytest.mark.parametrize(
    ("exposure", "survey"), [("immersed", 0.035), ("splash", 0.075)]
)
def test_long_run_loss_is_that_of_another_source(exposure: str, survey: float) -> None:
    # Within a tenth from 25 years on, far inside the spread that the estimate allows.
    age = np.linspace(25.0, 100.0, 76)
    mean = loss_depth(exposure, age) / MM / age
    np.testing.assert_allclose(mean, survey, rtol=0.1)


@pytest.mark.published(
    source="US Army CRREL LR-03-19, 2003, quoting a piling maker's handbook of 2001",
    where="low water, tidal and atmosphere, mm a year",
    status="secondary",
)
@pytest.mark.parametrize(("exposure", "survey"), [("tidal", 0.075)])
def test_where_the_sources_disagree_the_spread_covers_it(
    exposure: str, survey: float
) -> None:
    # The handbook has the tidal zone twice as bad as EN 1993-5: one of the model's
    # standard deviations of a tidal zone holds it.
    mean = float(loss_depth(exposure, 25.0)) / MM / 25.0
    mean *= ASSUMPTIONS.value("natural_factor")
    spread = np.log(ASSUMPTIONS["natural_factor_tidal"].geometric_sd)
    assert 0.0 < np.log(survey / mean) < spread


@pytest.mark.published(
    source="ISO 9223, first-year loss of carbon steel by class, µm",
    where="C4 50 to 80, C5 80 to 200",
    status="from memory",
)
def test_first_year_in_air_lies_between_the_classes() -> None:
    loss = float(loss_depth("dry", 1.0)) / 1e-6
    assert loss == printed("80")
    assert 50.0 <= loss <= 200.0


@pytest.mark.published(
    source="ISO 9224, t^b for b = 0.523", where="2 to 20 years", status="computed"
)
@pytest.mark.parametrize(
    ("age", "growth"),
    [(2.0, "1.437"), (5.0, "2.320"), (10.0, "3.334"), (20.0, "4.791")],
)
def test_growth_in_air(age: float, growth: str) -> None:
    assert loss_depth("dry", age) / loss_depth("dry", 1.0) == printed(growth)


@pytest.mark.published(
    source="ISO 9224, beyond 20 years",
    where="D = r [20^b + b 20^(b-1) (t - 20)]",
    status="from memory",
)
def test_air_beyond_twenty_years() -> None:
    expected = 80e-6 * (20.0**0.523 + 0.523 * 20.0 ** (0.523 - 1.0) * 30.0)
    assert loss_depth("dry", 50.0) == pytest.approx(expected, rel=1e-12)
