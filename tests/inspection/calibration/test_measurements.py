"""Gaugings as rows: averaged, borne out by one another, with pits of their own."""

from typing import Any

import numpy as np
import pytest
from ships import ship

from corrosion.inspection.calibration.measurements import knots, measured
from corrosion.records.dates import as_written
from corrosion.records.measured import Gauging
from corrosion.records.upkeep import Work


def gauging(zone: str, mm: float, day: str = "2020-06-01", **more: Any) -> Gauging:
    """Return a gauging."""
    return Gauging(zone=zone, date=as_written(day), thickness=mm * 1e-3, **more)


def test_a_pit_gauge_tells_the_least_thickness() -> None:
    # 9.0 mm around a pit of 3.0 mm, in a plate of 10 mm: 4.0 mm are gone under it
    rows = measured(ship(gaugings=(gauging("FP", 9.0, readings=6, pit_depth=3e-3),)))
    assert rows.row.tolist() == [0]
    assert rows.lead.tolist() == [0, 0]
    assert rows.pitted.tolist() == [False, True]
    assert rows.gone == pytest.approx([1e-3, 4e-3])
    assert rows.zone.tolist() == [0, 0]


def test_a_plate_of_its_own_thickness_counts_from_that() -> None:
    rows = measured(ship(gaugings=(gauging("FP", 9.0, built=12e-3),)))
    assert rows.gone == pytest.approx([3e-3])


def test_readings_that_agree_bear_one_another_out() -> None:
    alone, mean, least = (
        gauging("FS", 9.0),
        gauging("FP", 9.0, readings=8),
        gauging("FP", 7.4, kind="least", readings=8),
    )
    rows = measured(ship(gaugings=(alone, mean, least)))
    # 1 for a single reading; 0.4 for a mean of eight; 0.3 where another agrees
    assert rows.backed == pytest.approx([1.0, 0.4 * 0.3, 0.3])


def test_a_least_thicker_than_the_mean_bears_nothing_out() -> None:
    mean = gauging("FP", 8.0, readings=8)
    rows = measured(ship(gaugings=(mean, gauging("FP", 9.9, kind="least"))))
    assert rows.backed == pytest.approx([0.4, 1.0])


def test_readings_of_one_day_are_one_mean() -> None:
    two = (gauging("FP", 9.0, readings=4, sd=3e-4), gauging("FP", 9.2, sd=3e-4))
    rows = measured(ship(gaugings=two))
    # weights 4 and 1; spot 0.1 mm
    assert rows.gone == pytest.approx([1e-3 - 0.2e-3 / 5.0])
    assert rows.sd == pytest.approx([np.sqrt(0.3e-3**2 / 5.0 + 0.1e-3**2)])
    assert rows.times.tolist() == [2.0]


def test_thirty_yearly_campaigns_are_told_apart_no_finer_than_rates_are() -> None:
    # 0.05 mm a year from 10.0 mm in 1995 on; years told in groups of 2.1 years or more
    rows = measured(
        ship(
            gaugings=tuple(
                gauging("FP", 10.0 - 0.05 * k, f"{1995 + k}-06-01") for k in range(30)
            )
        )
    )
    assert rows.row.size == 30
    assert rows.zone.size == rows.surfaces.chance.shape[0] <= 12
    assert rows.times.sum() == 30.0
    # each lies on the line through all of them, the error as of so many readings
    year = rows.moment / (365.25 * 86400.0) + 1970.0 - 1995.41
    assert rows.gone == pytest.approx(0.05e-3 * year, abs=2e-6)
    assert rows.sd == pytest.approx(np.sqrt(0.3e-3**2 / rows.times + 0.1e-3**2))
    edges, known = knots(rows, as_written("1980").middle, as_written("2030").middle)
    assert known <= 12
    assert (np.diff(edges) > 0.0).all()


def test_readings_before_and_after_a_renewal_are_never_one_mean() -> None:
    # yearly, so that 2009 and 2010 would be one; the plate of FP is new in January 2010
    yearly = tuple(
        gauging(zone, 9.0 if k < 15 else 9.9, f"{1995 + k}-06-01")
        for k in range(30)
        for zone in ("FP", "FS")
    )
    work = Work(date=as_written("2010-01-10"), zone="FP", work="renewed")
    rows = measured(ship(gaugings=yearly, works=(work,)))
    zones = [zone.zone for zone in ship().zones]
    renewed = rows.zone == zones.index("FP")
    assert rows.gone[renewed] == pytest.approx(
        np.where(rows.moment[renewed] < work.date.earliest, 1e-3, 0.1e-3)
    )
