from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from scipy.special import ndtri
from scipy.stats import norm
from ships import ZONES, ship

from corrosion.estimate import estimate
from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.errors import InputError
from corrosion.inspection.planning.value import gauging_value, readings_for
from corrosion.presentation.answers.plan import gauging_values

TABLE = default_assumptions()
EVEN = ndtri((np.arange(8192) + 0.5) / 8192)[:, np.newaxis]


def test_normal_case_by_numerical_integration() -> None:
    # Thickness ~ N(0.3, 1) above the limit, gauged with sd 0.4: after a reading y the
    # chance below is known in closed form, and the lesser risk is integrated over y.
    variance = 1.0 + 0.4**2
    readings = np.linspace(-8.0, 8.0, 20001)
    mean, spread = 0.3 + (readings - 0.3) / variance, np.sqrt(0.4**2 / variance)
    below = norm.cdf(-mean / spread)
    density = norm.pdf(readings, 0.3, np.sqrt(variance))
    after = np.trapezoid(np.minimum(below, 0.5) * density, readings)
    expected = 3.0 * (min(norm.cdf(-0.3), 0.5) - after)
    value = gauging_value(
        0.3 + EVEN, limit=0.0, consequence=[3], sd=0.4, assumptions=TABLE
    )
    assert value[0] == pytest.approx(expected, rel=2e-3)


def test_certainly_sound_and_certainly_gone_are_worth_nothing() -> None:
    left = np.hstack([10.0 + EVEN, -10.0 + EVEN, EVEN])
    value = gauging_value(
        left, limit=0.0, consequence=[3, 3, 3], sd=0.3, assumptions=TABLE
    )
    assert value[:2] == pytest.approx([0.0, 0.0], abs=1e-6)
    assert value[2] > 0.1


def test_a_sharper_gauging_is_worth_no_less_and_a_perfect_one_the_whole() -> None:
    values = [
        gauging_value(0.5 + EVEN, limit=0.0, consequence=[2], sd=sd, assumptions=TABLE)[
            0
        ]
        for sd in (3.0, 1.0, 0.3, 0.01)
    ]
    assert (np.diff(values) > 0.0).all()
    chance = norm.cdf(-0.5)
    perfect = 2.0 * (min(chance, 0.5) - 0.5 * chance)
    assert values[-1] == pytest.approx(perfect, rel=0.01)


def test_readings_by_plate_area() -> None:
    areas = [0.0, 20.0, 20.1, 100.0]
    assert readings_for(areas, assumptions=TABLE).tolist() == [5, 5, 6, 25]


def test_names_what_is_impossible() -> None:
    with pytest.raises(InputError, match=r"sd must be > 0 m, got 0 m"):
        gauging_value(EVEN, limit=0.0, consequence=[3], sd=0.0, assumptions=TABLE)


def test_a_margin_is_told_alike_whether_mean_or_pit_decides() -> None:
    zones = tuple(replace(z, limit=0.0092, pit_limit=0.0072) for z in ZONES)
    result = estimate(ship(zones=zones), samples=256, as_of=date(2026, 1, 1))
    outlook, endless = result.outlook, np.full_like(result.outlook.left, 1.0)
    deeper = 0.002  # between the two limits [m]
    by_mean = replace(outlook, under_pit=endless, under_pit_ahead=endless)
    by_pit = replace(
        outlook,
        left=endless,
        left_ahead=endless,
        under_pit=outlook.left - deeper,
        under_pit_ahead=outlook.left_ahead - deeper,
    )
    one, other = (
        gauging_values(replace(result, outlook=each)) for each in (by_mean, by_pit)
    )
    assert one.max() > 0.0
    assert other == pytest.approx(one)
