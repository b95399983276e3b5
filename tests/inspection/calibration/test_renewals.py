"""Plates that were renewed were at their limit: rows, and through the estimate."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from ships import ZONES, ship

from corrosion.estimate import estimate
from corrosion.foundation.units import MM, YEAR
from corrosion.inspection.calibration.measurements import measured
from corrosion.inspection.calibration.renewals import with_renewals
from corrosion.records.dates import as_written
from corrosion.records.measured import Gauging
from corrosion.records.upkeep import Work
from corrosion.wastage.yard_looks import last_sound

DAY = date(2026, 1, 1)
NOW = as_written("2026-01-01").middle
RENEWED = Work(date=as_written("2020-01-01"), zone="FP", work="renewed")


def test_a_renewed_plate_is_a_row_at_its_limit() -> None:
    """10 mm, limit 7 mm, built in 2000: 3 mm and half of five years more of twenty.

    3 (1 + 2.5 / 20) = 3.375 mm, give or take a fifth of 3 mm and 0.3 mm of a gauging.
    """
    vessel = ship(built=as_written("2000-01-01"), works=(RENEWED,))
    found = with_renewals(None, vessel, NOW)
    assert found is not None
    assert found.zone.tolist() == [vessel.zone_index("FP")]
    assert found.gone / MM == pytest.approx([3.375], rel=2e-4)
    assert found.sd / MM == pytest.approx([np.hypot(0.6, 0.3)])
    assert found.moment[0] == pytest.approx(RENEWED.date.middle, abs=2.0)
    assert found.moment[0] < RENEWED.date.middle
    # one in five is renewed for other reasons, however often this crew misreads
    assert found.backed == pytest.approx([0.25])
    assert found.times.tolist() == [0.0]


def test_rows_of_gaugings_come_first_and_stay_as_they_are() -> None:
    read = Gauging(zone="FS", date=as_written("2015-05-01"), thickness=0.0092)
    vessel = ship(gaugings=(read,), works=(RENEWED,))
    rows = measured(vessel)
    found = with_renewals(rows, vessel, NOW)
    assert found is not None
    assert found.row.tolist() == [0]
    assert found.gone[0] == rows.gone[0]
    assert found.campaign.tolist() == [0, 1]
    assert found.surfaces.chance.sum(axis=1) == pytest.approx([1.0, 1.0])
    result = estimate(vessel, samples=64, as_of=DAY)
    assert result.calibration.wrong.shape == (1,)
    assert [row["zone"] for row in result.to_json()["gaugings"]] == ["FS"]


@pytest.mark.parametrize(
    "other",
    [
        replace(RENEWED, date=as_written("2030-01-01")),  # planned
        replace(RENEWED, share=0.3),  # a part of it
        replace(RENEWED, zone="underwater"),  # a rebuilding
        replace(RENEWED, work="pits welded"),
    ],
)
def test_what_says_nothing_of_a_limit(other: Work) -> None:
    assert with_renewals(None, ship(works=(other,)), NOW) is None


def test_metal_that_left_with_a_renewed_plate_is_told_at_its_own_rate() -> None:
    """The old plate wore 0.8 mm until 2020, and a little more; the new one since.

    Of a renewal for other reasons nothing is learned: half of that, by the records.
    """
    zones = tuple(replace(zone, limit=0.0092) for zone in ZONES)
    vessel = ship(built=as_written("1980-01-01"), zones=zones, works=(RENEWED,))
    result = estimate(vessel, samples=1024, as_of=DAY)
    k = vessel.zone_index("FP")
    metre = result.inputs.kg_per_metre[k]
    history = result.history
    lost = np.median(history.lost_kg[:, k]) / metre / MM
    table = vessel.assumptions.override(
        "renewed_otherwise_chance", median=0.9999, why="for other reasons, for a test"
    )
    plain = estimate(replace(vessel, assumptions=table), samples=1024, as_of=DAY)
    foreseen = np.median(plain.history.lost_kg[:, k]) / metre / MM
    assert 0.7 < lost < 1.3
    assert foreseen < 0.8 * lost
    left = np.median(result.outlook.left[:, k]) / MM
    assert 9.5 < left < 10.1  # the new plate
    # accounts add up: natural, and what no record names, less what was spared
    natural = history.natural_sea_kg + history.natural_inside_kg
    taken = history.stray_kg + history.own_metals_kg + history.unexplained_kg
    spared = history.protection_spared_kg + history.spared_kg
    whole = natural + taken - spared
    assert whole[:, k] == pytest.approx(history.lost_kg[:, k], rel=0.02)
    # and sister plates are told to wear faster as well
    other = vessel.zone_index("FS")
    thinner = plain.outlook.left[:, other] - result.outlook.left[:, other]
    assert np.median(thinner) > 0.0


def test_a_yard_that_welds_beside_a_zone_looked_at_it() -> None:
    welded = Work(
        date=as_written("2015-05-20"), zone="AP", work="pits welded", share=0.01
    )
    vessel = ship(zones=ZONES, works=(welded,))
    result = estimate(vessel, samples=64, as_of=DAY)
    inputs = result.inputs
    found = last_sound(inputs.zones.works, inputs.zones.paint, NOW)
    day = as_written("2015-05").middle  # when all zones were painted
    k = vessel.zone_index("AP")
    assert np.isnan(found[k])
    assert np.delete(found, k) == pytest.approx(np.full(len(found) - 1, day), abs=YEAR)
    blind = estimate(replace(vessel, works=()), samples=64, as_of=DAY)
    fs = vessel.zone_index("FS")
    told, before = (np.median(one.outlook.deepest[:, fs]) for one in (result, blind))
    assert told <= before
    deep = result.outlook.deepest[:, k] >= inputs.zones.pit_left[:, k] - 1e-9
    assert deep.mean() > 0.9  # but for one in a hundred that was the one welded
