"""What to measure next."""

import numpy as np
import pytest

from corrosion.estimate import estimate
from corrosion.inspection.sensitivity import (
    Influence,
    best_measurements,
    rank_shares,
)
from corrosion.presentation.demo import demo_folder
from corrosion.records.folder.read import read_ship
from corrosion.results import Estimate


@pytest.fixture(scope="module")
def result() -> Estimate:
    return estimate(read_ship(demo_folder() / "grey-plover"), samples=256)


def test_shares_fall_and_never_exceed_one(result: Estimate) -> None:
    found = result.influences("M2-P-BKL")
    shares = [one.share for one in found]
    assert shares == sorted(shares, reverse=True)
    assert 0.0 < shares[0] <= 1.0


def test_the_leading_driver_goes_with_the_margin(result: Estimate) -> None:
    # Another route than ranks: Pearson's correlation with the zone's own loss.
    zone = result.ship.zone_index("F-P-BTP")
    shares = {one.unknown: one.share for one in result.influences("F-P-BTP")}
    margin = np.minimum(
        result.outlook.left_ahead[:, zone] - result.ship.zones[zone].limit,
        result.outlook.under_pit_ahead[:, zone] - result.ship.zones[zone].pit_limit,
    )
    loss = np.log(result.history.natural_sea_kg[:, zone])
    share = shares["how fast the zone corrodes by nature"]
    assert np.corrcoef(loss, margin)[0, 1] ** 2 == pytest.approx(share, abs=0.25)
    assert share > 0.1


def test_a_zone_without_faults_names_none(result: Estimate) -> None:
    names = [one.unknown for one in result.influences("M2-S-BIL")]
    assert not any("fault" in name for name in names)


def test_one_measurement_counts_all_that_it_settles() -> None:
    rows = [
        Influence(unknown="a", share=0.3, measure="look"),
        Influence(unknown="b", share=0.4, measure="gauge"),
        Influence(unknown="c", share=0.2, measure="look"),
    ]
    assert best_measurements(rows) == [("look", pytest.approx(0.5)), ("gauge", 0.4)]


def test_rank_shares_of_a_product() -> None:
    rng = np.random.default_rng(4)
    a, b, idle = rng.normal(size=(3, 20_000))
    shares = rank_shares(
        {"idle": idle, "b": np.exp(b), "a": a, "fixed": 0 * a}, np.exp(2.0 * a - b)
    )
    # Rank correlation of a bivariate normal with correlation r: 6/π asin(r/2)
    # (H. Hotelling and M. R. Pabst, Ann. Math. Stat. 7, 1936; from memory).
    for name, r in (("a", 2 / np.sqrt(5)), ("b", -1 / np.sqrt(5)), ("idle", 0.0)):
        expected = (6 / np.pi * np.arcsin(r / 2)) ** 2
        assert shares[name] == pytest.approx(expected, abs=0.02)
    assert shares["fixed"] == 0.0
