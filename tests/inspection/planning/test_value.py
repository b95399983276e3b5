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
from corrosion.foundation.types import Array
from corrosion.inspection.planning.value import Prospect, readings_for
from corrosion.presentation.answers.plan import gaugeable

TABLE = default_assumptions()
EVEN = ndtri((np.arange(8192) + 0.5) / 8192)[:, np.newaxis]


def prospect(margin: Array, sd: float, consequence: float = 3.0) -> Prospect:
    zones = margin.shape[1]
    return Prospect(
        margin=margin,
        signal=margin,
        sd=np.full(zones, sd),
        consequence=np.full(zones, consequence),
        renewal=0.5,
        again=0.05,
    )


def by_integration(mean: float, sd: float) -> tuple[float, float]:
    """Return the risk taken off and the chance to change what is done, in closed form.

    Thickness ~ N(mean, 1) above the limit, gauged with sd: after a reading y the chance
    below is known, and the lesser risk is integrated over y.
    """
    variance = 1.0 + sd**2
    readings = np.linspace(mean - 9.0, mean + 9.0, 40001)
    after, spread = mean + (readings - mean) / variance, np.sqrt(sd**2 / variance)
    below = norm.cdf(-after / spread)
    density = norm.pdf(readings, mean, np.sqrt(variance))
    risk = np.trapezoid(np.minimum(below, 0.5) * density, readings)
    changed = np.trapezoid((below > 0.5) * density, readings)
    return float(min(norm.cdf(-mean), 0.5) - risk), float(changed)


def test_normal_case_by_numerical_integration() -> None:
    for mean in (0.3, 1.0):
        less, changed = by_integration(mean, 0.4)
        known = prospect(mean + EVEN, 0.4)
        assert known.worth([0])[0] == pytest.approx(3.0 * less, rel=0.02)
        renewals = known.changes([0], renewals=True)
        assert renewals[0] == pytest.approx(changed, rel=0.05)


@pytest.mark.parametrize(
    ("mean", "ahead", "act"),
    # left at a chance of 0.6 %; gauged again at 16 and 31; renewed at 62; at once at 84
    [(2.5, 0.0, 3), (1.0, 0.0, 2), (0.5, 0.0, 2), (0.5, 0.8, 1), (-1.0, 0.0, 0)],
)
def test_what_is_done_by_numerical_integration(
    mean: float, ahead: float, act: int
) -> None:
    # Thickness ~ N(mean, 1) above the limit today, read with 0.4, and by ``ahead`` less
    # at the docking: y leaves N(mean + (y - mean) / 1.16, 0.16 / 1.16).
    readings = np.linspace(mean - 9.0, mean + 9.0, 40001)
    after, spread = mean + (readings - mean) / 1.16, np.sqrt(0.16 / 1.16)
    now, later = (norm.cdf(-at / spread) for at in (after, after - ahead))
    done = np.select([now > 0.5, later > 0.5, later > 0.05], [0, 1, 2], 3)
    density = norm.pdf(readings, mean, np.sqrt(1.16))
    expected = np.trapezoid((done != act) * density, readings)
    known = replace(prospect(mean + EVEN, 0.4), margin=mean - ahead + EVEN)
    assert known.changes([0])[0] == pytest.approx(expected, rel=0.05, abs=0.005)


def test_two_zones_that_are_alike_are_read_as_one_with_two_readings() -> None:
    """Each tells the other as much as itself; two tell like one that is twice read."""
    twins = prospect(np.hstack([0.3 + EVEN, 0.3 + EVEN]), 0.8)
    one, pair = twins.worth([0]), twins.worth([0, 1])
    assert one == pytest.approx(3.0 * by_integration(0.3, 0.8)[0], rel=0.02)
    both = by_integration(0.3, 0.8 / np.sqrt(2.0))
    assert pair == pytest.approx(3.0 * both[0], rel=0.02)
    renewals = twins.changes([0, 1], renewals=True)
    assert renewals == pytest.approx(both[1], rel=0.05)
    assert pair.sum() < 0.7 * 2.0 * one.sum()


def test_zones_that_have_nothing_in_common_tell_nothing_of_each_other() -> None:
    rng = np.random.default_rng(1)
    apart = prospect(np.hstack([0.3 + EVEN, 0.3 + rng.permutation(EVEN)]), 0.4)
    one, other, pair = apart.worth([0]), apart.worth([1]), apart.worth([0, 1])
    assert one[1] == other[0] == 0.0
    assert pair == pytest.approx(one + other)


def test_a_zone_gauged_lately_is_worth_little_again() -> None:
    """Known to 0.2 of its spread, a like gauging changes next to nothing."""
    before = prospect(1.0 + EVEN, 0.2).changes([0], renewals=True)
    after = prospect(1.0 + 0.2 * EVEN, 0.2).changes([0])
    assert before[0] > 0.1
    assert after[0] < 1e-3


def test_certainly_sound_and_certainly_gone_are_worth_nothing() -> None:
    known = prospect(np.hstack([10.0 + EVEN, -10.0 + EVEN, EVEN]), 0.3)
    worth = known.worth([0, 1, 2])
    assert worth[:2] == pytest.approx([0.0, 0.0], abs=1e-6)
    assert worth[2] > 0.1
    assert known.changes([0, 1, 2])[:2] == pytest.approx([0.0, 0.0], abs=1e-6)


def test_a_sharper_gauging_is_worth_no_less_and_a_perfect_one_the_whole() -> None:
    values = [
        prospect(0.5 + EVEN, sd, 2.0).worth([0])[0] for sd in (3.0, 1.0, 0.3, 0.01)
    ]
    assert (np.diff(values) > 0.0).all()
    chance = norm.cdf(-0.5)
    perfect = 2.0 * (min(chance, 0.5) - 0.5 * chance)
    assert values[-1] == pytest.approx(perfect, rel=0.02)


def test_readings_by_plate_area() -> None:
    areas = [0.0, 20.0, 20.1, 100.0]
    assert readings_for(areas, assumptions=TABLE).tolist() == [5, 5, 6, 25]


def test_names_what_is_impossible() -> None:
    with pytest.raises(InputError, match=r"sd must be > 0 m, got 0 m"):
        prospect(EVEN, 0.0)


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
        gaugeable(replace(result, outlook=each)).alone for each in (by_mean, by_pit)
    )
    assert one.max() > 0.0
    assert other == pytest.approx(one)
