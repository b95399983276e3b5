"""What to measure next."""

import numpy as np
import pytest

from corrosion.estimate import Estimate, estimate
from corrosion.inspection.sensitivity import Narrowing, to_measure
from corrosion.presentation.demo import demo_folder
from corrosion.records.folder.read import read_ship


@pytest.fixture(scope="module")
def result() -> Estimate:
    return estimate(read_ship(demo_folder() / "grey-plover"), samples=256)


def test_shares_fall_and_never_exceed_one(result: Estimate) -> None:
    found = result.narrowing("M2-P-BKL")
    shares = [one.share for one in found]
    assert shares == sorted(shares, reverse=True)
    assert 0.0 < shares[0] <= 1.0


def test_the_leading_driver_goes_with_the_margin(result: Estimate) -> None:
    # Another route than ranks: Pearson's correlation with the zone's own departure.
    zone = result.ship.zone_index("F-P-BTP")
    leading = result.narrowing("F-P-BTP")[0]
    assert leading.unknown == "what the model leaves out of it"
    margin = np.minimum(
        result.outlook.left_ahead[:, zone] - result.ship.zones[zone].limit,
        result.outlook.under_pit_ahead[:, zone] - result.ship.zones[zone].pit_limit,
    )
    departure = result.case.zones.departure[result.lesson.picks[:, zone], zone]
    assert np.corrcoef(departure, margin)[0, 1] ** 2 == pytest.approx(
        leading.share, abs=0.15
    )


def test_a_zone_without_faults_names_none(result: Estimate) -> None:
    names = [one.unknown for one in result.narrowing("M2-S-BIL")]
    assert not any("fault" in name for name in names)


def test_one_measurement_counts_all_that_it_settles() -> None:
    rows = [
        Narrowing(unknown="a", share=0.3, measure="look"),
        Narrowing(unknown="b", share=0.4, measure="gauge"),
        Narrowing(unknown="c", share=0.2, measure="look"),
    ]
    assert to_measure(rows) == [("look", pytest.approx(0.5)), ("gauge", 0.4)]
