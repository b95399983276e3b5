"""Tests of calibration.spots: what the least of some spots sees and teaches."""

from dataclasses import replace
from datetime import date
from functools import cache

import numpy as np
import pytest
from ships import ship

from corrosion.estimate import estimate
from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.units import MM
from corrosion.inspection.calibration.measurements import measured
from corrosion.inspection.calibration.spots import seen_by_spots
from corrosion.records.dates import as_written
from corrosion.records.measured import Gauging
from corrosion.results import Estimate

DAY = date(2026, 1, 1)
TABLE = default_assumptions()


@cache
def run(readings: int = 0, least_mm: float = 9.0) -> Estimate:
    found = Gauging(
        zone="AP",
        date=as_written("2025-06"),
        thickness=least_mm * MM,
        kind="least",
        readings=readings,
        surface="prepared",
    )
    return estimate(
        ship(gaugings=(found,) if readings else ()), samples=1024, as_of=DAY
    )


def test_spots_see_what_their_share_of_the_bare_steel_holds() -> None:
    """By Gumbel's law for n f a, where one of n spots meets bare steel at all."""
    inputs, history = run().inputs, run().history
    k, n = run().ship.zone_index("AP"), 12.0
    now = int(np.searchsorted(history.moments, inputs.time_grid.as_of))
    seen = seen_by_spots(inputs, history, (now, k), n)
    bare, since = history.bare[:, now, k], history.since[:, now, k]
    worn, mean = history.worn[:, now, k], history.mean[:, now, k]
    hit = seen > np.maximum(mean, worn) + 1e-9
    sure = worn + since > mean + 1e-9  # bare steel lost more than the mean plate
    expected = (1.0 - (1.0 - bare[sure]) ** n).mean()
    assert hit[sure].mean() == pytest.approx(expected, abs=0.04)
    # no more than the median of Gumbel's law for that area, in half of those met
    area = n * TABLE.value("gauging_spot_m2") * bare
    scale = TABLE.value("pit_gumbel_scale")
    reduced = np.log(area) - np.log(np.log(2.0))
    factor = np.maximum(1.0, inputs.zones.pitting[:, k] * (1.0 + scale * reduced))
    flat = factor <= 1.0  # where that median is the mean depth itself
    below = seen - worn <= factor * since * (1.0 + 1e-9)
    assert below[hit & sure & ~flat].mean() == pytest.approx(0.5, abs=0.06)


def test_a_dozen_sound_spots_say_less_than_a_pit_that_was_looked_for() -> None:
    """9.9 mm as the least: nobody says so of the whole plate who read twelve spots."""
    k = run().ship.zone_index("AP")
    pits = {
        n: np.quantile(run(n, 9.9).outlook.deepest[:, k], (0.5, 0.9)) / MM
        for n in (1, 12)
    }
    never = np.quantile(run().outlook.deepest[:, k], (0.5, 0.9)) / MM
    assert pits[1][0] < pits[12][0] < never[0] * 1.05
    assert pits[12][1] > 1.5 * pits[1][1]


def test_a_deep_pit_among_few_spots_tells_of_the_other_plates() -> None:
    """4 mm gone at one of twelve spots: the ship's other plates pit deeper too."""
    one, k = run(12, 6.0), run().ship.zone_index("FP")
    told = [np.median(result.outlook.deepest[:, k]) for result in (run(), one)]
    assert told[1] > 1.1 * told[0]
    own = run().ship.zone_index("AP")
    assert np.median(one.outlook.deepest[:, own]) > 3.5 * MM


def test_a_pit_that_was_looked_for_is_told_as_it_was_read() -> None:
    """Whatever the mean says of the rate: 10 mm of plate, 6 where it is thinnest."""
    read = as_written("2025-12-20")
    mean = Gauging(zone="AP", date=read, thickness=8.0 * MM, readings=40, sd=0.3 * MM)
    rows = (
        replace(mean, surface="prepared"),
        replace(mean, kind="least", readings=1, thickness=6.0 * MM, surface="prepared"),
    )
    found = estimate(ship(gaugings=rows), samples=512, as_of=DAY)
    k = found.ship.zone_index("AP")
    assert np.median(found.outlook.left[:, k]) == pytest.approx(8.0 * MM, abs=0.2 * MM)
    assert np.median(found.outlook.deepest[:, k]) == pytest.approx(
        4.0 * MM, abs=0.25 * MM
    )


def test_the_area_looked_over_says_how_much_of_the_pits_was_seen() -> None:
    """A spot is a hand's breadth (0.01 m²): a dozen of them are 0.12 m² looked over."""
    row = Gauging(
        zone="AP", date=as_written("2025-06"), thickness=9.9 * MM, pit_depth=2.0 * MM
    )
    rows = (
        replace(row, seen_area=0.12),
        replace(row, kind="least", readings=3, seen_area=0.12),
        row,
        replace(row, zone="FP", kind="least", readings=3),
    )
    least = measured(ship(gaugings=rows))
    found = dict(zip(least.lead[least.pitted], least.spots[least.pitted], strict=True))
    assert found == {0: pytest.approx(12.0), 1: pytest.approx(12.0), 2: np.inf, 3: 3.0}
