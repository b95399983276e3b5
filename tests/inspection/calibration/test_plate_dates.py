"""A gauging in the month of a renewal: of the old plate or of the new one."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from ships import ZONES, ship

from corrosion.estimate import estimate
from corrosion.foundation.units import DAY, MM
from corrosion.inspection.calibration.measurements import measured
from corrosion.inspection.calibration.plate_dates import gauged_at
from corrosion.records.dates import as_written
from corrosion.records.measured import Gauging
from corrosion.records.ship import Ship
from corrosion.records.upkeep import Work

MONTH = as_written("2020-01")
RENEWED = Work(date=MONTH, zone="FP", work="renewed")
READ = Gauging(zone="FP", date=MONTH, thickness=9.9 * MM, surface="prepared")
"""10 mm as built, of which 7 mm must be left."""


@pytest.mark.parametrize(("mm", "after"), [(9.9, DAY), (8.6, DAY), (8.4, 0.0)])
def test_it_is_of_the_plate_whose_thickness_is_nearer(mm: float, after: float) -> None:
    read = replace(READ, thickness=mm * MM)
    when = gauged_at(ship(gaugings=(read,), works=(RENEWED,)))
    assert when - MONTH.middle == pytest.approx([after])


@pytest.mark.parametrize(
    "work",
    [
        replace(RENEWED, zone="FS"),
        replace(RENEWED, date=as_written("2020-02")),
        replace(RENEWED, share=0.3),
        replace(RENEWED, work="pits welded"),
    ],
)
def test_what_is_no_renewal_of_that_plate_and_date_moves_nothing(work: Work) -> None:
    assert gauged_at(ship(gaugings=(READ,), works=(work,))) == [MONTH.middle]


def test_days_that_differ_say_it_themselves() -> None:
    thin = replace(READ, date=as_written("2020-01-20"), thickness=7.0 * MM)
    work = replace(RENEWED, date=as_written("2020-01-12"))
    vessel = ship(gaugings=(thin,), works=(work,))
    assert gauged_at(vessel) == [thin.date.middle]


def test_a_thicker_plate_that_came_is_what_it_is_measured_against() -> None:
    thicker = replace(RENEWED, thickness=12.0 * MM)
    read = replace(READ, thickness=11.8 * MM)
    rows = measured(ship(gaugings=(read,), works=(thicker,)))
    assert rows.gone / MM == pytest.approx([0.2])
    rows = measured(
        ship(gaugings=(replace(READ, thickness=7.1 * MM),), works=(thicker,))
    )
    assert rows.gone / MM == pytest.approx([2.9])  # of 10 mm


def test_a_new_plate_s_reading_does_not_say_that_the_old_one_never_wore() -> None:
    """Read at 9.9 mm when new: the old plate wore 0.8 mm in 40 years, to its limit.

    As a reading of the old plate it would say that it wore 0.1 mm.
    """
    zones = tuple(replace(zone, limit=9.2 * MM) for zone in ZONES)
    vessel = ship(
        built=as_written("1980-01-01"), zones=zones, gaugings=(READ,), works=(RENEWED,)
    )
    work = replace(RENEWED, date=as_written("2020-01-12"))

    def lost(one: Ship) -> float:
        result = estimate(one, samples=512, as_of=date(2026, 1, 1))
        k = one.zone_index("FP")
        assert np.median(result.calibration.wrong) < 0.1
        metre = result.inputs.kg_per_metre[k]
        return float(np.median(result.history.lost_kg[:, k]) / metre / MM)

    before, after = (
        lost(replace(vessel, gaugings=(replace(READ, date=day),), works=(work,)))
        for day in (as_written("2020-01-05"), as_written("2020-01-20"))
    )
    assert lost(vessel) == pytest.approx(after, rel=0.15)
    assert before < 0.85 * after


def test_a_plate_that_grew_may_have_been_renewed() -> None:
    """8.5 mm, then 10.0 mm: by 1.5 mm, where errors are 0.33 mm apiece.

    One renewal in fifty is not written, so says the table; what stood before the last
    reading of the old plate was of that plate as well, if it was.
    """
    mm = {"2006": 9.1, "2012": 8.5, "2019": 10.0}
    read = tuple(
        replace(READ, date=as_written(year), thickness=value * MM)
        for year, value in mm.items()
    )
    rows = measured(ship(gaugings=read))
    assert rows.replaced == pytest.approx([1.0, 0.02 / 0.98, 0.0])
    written = replace(RENEWED, date=as_written("2015"))
    rows = measured(ship(gaugings=read, works=(written,)))
    assert rows.replaced.tolist() == [0.0, 0.0, 0.0]
    above = (*read[:2], replace(read[2], thickness=10.7 * MM))  # no plate is that new
    assert measured(ship(gaugings=above)).replaced.tolist() == [0.0, 0.0, 0.0]
    slower = (*read[:2], replace(read[2], thickness=9.3 * MM))
    assert measured(ship(gaugings=slower)).replaced.tolist() == [0.0, 0.0, 0.0]


def test_the_later_of_two_readings_that_contradict_is_believed_sooner() -> None:
    """Neither is beyond doubt: what is left is told as two answers, or a wide one."""
    early, late = (
        replace(READ, date=as_written(year), thickness=value * MM, readings=6)
        for year, value in (("2012", 7.6), ("2019", 9.9))
    )
    vessel = ship(built=as_written("1980-01-01"), gaugings=(early, late))
    result = estimate(vessel, samples=256, as_of=date(2026, 1, 1))
    wrong = result.calibration.wrong
    assert wrong[0] > wrong[1]
    left = result.outlook.left[:, vessel.zone_index("FP")] / MM
    assert np.median(left) > 9.4
