"""Gaugings as rows: averaged, borne out by one another, with pits of their own."""

from typing import Any

import numpy as np
import pytest
from ships import ship

from corrosion.inspection.calibration.measurements import measured
from corrosion.records.dates import as_written
from corrosion.records.measured import Gauging


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
