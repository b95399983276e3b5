"""What a half-cell beside the hull tells, from the ship folder to the kilograms."""

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from records.written import write_ship
from ships import ZONES, ship

import corrosion
from corrosion import Estimate, read_ship
from corrosion.foundation.assumptions import default_assumptions
from corrosion.hull.nonlinear.polarisation import polarisation
from corrosion.hull.potential_evidence import hull_surveys
from corrosion.records.dates import as_written
from corrosion.records.ship import Potential

TABLE = default_assumptions()
HELD = tuple(replace(z, protection=0.015) for z in ZONES)


def seen(volts: float, electrode: Any = "Ag/AgCl", **more: Any) -> Potential:
    facts: dict[str, Any] = {"time": as_written("2022-05-01 10:00"), "zone": "FP"}
    return Potential(potential=volts, electrode=electrode, **(facts | more))


def run(folder: Path, *rows: Potential, zones: Any = ZONES) -> Estimate:
    one = ship(zones=zones, systems=(), potentials=rows)
    write_ship(one, folder)
    return corrosion.estimate(read_ship(folder), samples=256, as_of=date(2026, 1, 1))


def test_free_steel_is_told_by_its_rest(tmp_path: Path) -> None:
    """A normal prior of 30 mV and a reading of 10 mV: by hand."""
    found = run(tmp_path / "free", seen(-0.62)).inputs
    kept = 0.03**2 / (0.03**2 + 0.01**2)
    assert found.metals.steel_rest.mean() == pytest.approx(0.03 * kept, abs=0.001)
    sd = 0.03 * np.sqrt(1.0 - kept)
    assert found.metals.steel_rest.std() == pytest.approx(sd, rel=0.1)


@pytest.mark.parametrize(
    ("volts", "electrode"),
    [(-0.65, "Ag/AgCl"), (0.38, "Zn"), (-0.716, "CSE"), (-0.641, "SCE")],
)
def test_cells_are_brought_to_one(volts: float, electrode: str) -> None:
    (one,) = hull_surveys(ship(potentials=(seen(volts, electrode),)))
    assert one.volts == pytest.approx(-0.65, abs=1e-9)


def test_readings_of_one_day_are_one_survey_and_an_impressed_current_is_none() -> None:
    rows = (
        seen(-0.64),
        seen(-0.66, zone=None, frame=30.0, side="starboard"),
        seen(-0.9, impressed="on"),
    )
    (one,) = hull_surveys(ship(potentials=rows))
    assert one.volts == pytest.approx(-0.65)


def test_protection_that_does_not_arrive_is_told(tmp_path: Path) -> None:
    spared, expected = [], []
    for name, volts in (("poor", -0.67), ("good", -0.84)):
        found = run(tmp_path / name, seen(volts), zones=HELD)
        json = found.to_json()["totals"]["protection_spared_kg"]["mean"]
        natural = found.to_json()["totals"]["natural_sea_kg"]["mean"]
        spared.append(json / natural)
        expected.append(quadrature(volts))
        factor = found.inputs.protection[:, 0] / 0.015
        assert np.log(factor).mean() == pytest.approx(expected[-1][0], abs=0.06)
        assert np.log(found.inputs.paths.interface).mean() == pytest.approx(
            expected[-1][1], abs=0.1
        )
    assert spared[0] < spared[1]


def quadrature(volts: float) -> tuple[float, float]:
    """Return mean logarithms of factor and interface, by a grid of their priors."""
    z = np.linspace(-4.0, 4.0, 81)
    sds = [
        float(np.log(TABLE[name].geometric_sd))
        for name in ("protection_factor", "interface_ohm_m2")
    ]
    f, r = np.meshgrid(sds[0] * z, sds[1] * z, indexing="ij")
    shift = polarisation(-0.015 * np.exp(f), np.exp(r), assumptions=TABLE)
    spread = np.hypot(0.03, 0.01)  # rest and reading, summed out
    weight = np.exp(-0.5 * ((volts + 0.65 - shift) / spread) ** 2)
    weight *= np.exp(-0.5 * (z[:, None] ** 2 + z**2))
    weight /= weight.sum()
    return float((weight * f).sum()), float((weight * r).sum())
