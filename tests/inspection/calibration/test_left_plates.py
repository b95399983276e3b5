"""Plates that yards left were above their limits: one row each, against integrals."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from scipy.special import ndtr, ndtri
from scipy.stats import norm
from ships import ship

from corrosion.estimate import estimate
from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array
from corrosion.foundation.units import MM
from corrosion.history.inputs import ModelInputs, sample_inputs
from corrosion.history.time_grid import time_grid_of
from corrosion.inspection.calibration.left_plates import with_left_plates
from corrosion.inspection.calibration.measurements import Measured, measured
from corrosion.records.dates import as_written
from corrosion.records.measured import Gauging
from corrosion.records.upkeep import Work

DAY = date(2026, 1, 1)
READ = Gauging(zone="FS", date=as_written("2024-05-01"), thickness=0.0092)
WELDED = Work(date=as_written("2022-04-10"), zone="AP", work="pits welded", share=0.01)
PAINTED = Work(date=as_written("2022-04-12"), zone="FP", work="painted")
WORN = 3.0  # 10 mm, limit 7 mm


def drawn(*works: Work) -> ModelInputs:
    vessel = ship(built=as_written("1980-01-01"), gaugings=(READ,), works=works)
    draws = Draws(64, 1, vessel.assumptions)
    return sample_inputs(vessel, draws, time_grid_of(vessel, DAY))


def told(inputs: ModelInputs, mean: float, sd: float) -> Measured:
    """Return the rows where each plate is foreseen to have lost so much [mm]."""

    def foresee(asked: Measured) -> Array:
        score = ndtri((np.arange(999) + 0.5) / 999)
        score /= score.std()
        return np.repeat((mean + sd * score)[:, None], len(asked.zone), 1) * MM

    return with_left_plates(measured(inputs.ship), inputs, foresee)


@pytest.mark.parametrize(("kind", "unseen"), [("AP", 0.1), ("FP", 0.3)])
@pytest.mark.parametrize(("mean", "sd"), [(3.2, 0.8), (2.8, 1.0)])
def test_a_row_moves_what_is_foreseen_as_the_look_does(
    kind: str, unseen: float, mean: float, sd: float
) -> None:
    """Mean and variance of the tilted law by a sum, against the normal row's.

    A yard keeps a plate that lost x with the chance u + (1 - u) Φ((3 - x) / 0.6).
    """
    inputs = drawn(WELDED, PAINTED)
    rows = told(inputs, mean, sd)
    at = inputs.ship.zone_index(kind)
    (row,) = np.flatnonzero(rows.zone == at)
    x = np.linspace(mean - 8.0 * sd, mean + 8.0 * sd, 40_001)
    kept = unseen + (1.0 - unseen) * ndtr((WORN - x) / (0.2 * WORN))
    weight = norm.pdf(x, mean, sd) * kept
    weight /= weight.sum()
    middle = (weight * x).sum()
    variance = (weight * (x - middle) ** 2).sum()
    sure = sd**-2.0 + (rows.sd[row] / MM) ** -2.0
    pull = mean / sd**2 + rows.gone[row] / MM * (rows.sd[row] / MM) ** -2.0
    assert pull / sure == pytest.approx(middle, rel=1e-3)
    assert 1.0 / sure == pytest.approx(variance, rel=1e-3)
    assert rows.moment[row] == pytest.approx(WELDED.date.middle, abs=3 * 86400.0)


def test_what_says_nothing_is_no_row() -> None:
    assert len(told(drawn(WELDED, PAINTED), 1.0, 0.5).zone) == 1  # well above it
    assert len(told(drawn(PAINTED), 3.2, 0.8).zone) == 1  # nobody put plates right
    renewed = replace(WELDED, date=as_written("2023-01-01"), work="renewed", share=1.0)
    kept = told(drawn(WELDED, renewed), 3.2, 0.8)  # the old plate, before it
    assert ship().zone_index("AP") not in kept.zone.tolist()


def test_a_plate_that_was_welded_is_told_to_be_thicker() -> None:
    """Its limit as built but for 0.3 mm: foreseen below it, welded two years ago."""
    zones = tuple(replace(z, limit=0.0094, bare=0.5) for z in ship().zones)
    vessel = ship(built=as_written("1970-01-01"), zones=zones, gaugings=(READ,))
    found = [
        estimate(replace(vessel, works=works), samples=128, as_of=DAY)
        for works in ((), (WELDED,))
    ]
    k = vessel.zone_index("AP")
    blind, seen = (np.median(one.outlook.left[:, k]) / MM for one in found)
    assert seen > blind + 0.05
    assert len(found[1].to_json()["gaugings"]) == 1  # no reading was made up
