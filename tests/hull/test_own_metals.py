"""Tests of hull.own_metals, alone and through a ship's history."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from ships import ZONES, invented_hull, ship

from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.sampling import Draws
from corrosion.history.inputs import sample_inputs
from corrosion.history.integrate import integrate_history
from corrosion.history.time_grid import time_grid_of
from corrosion.history.time_steps import Scenario
from corrosion.hull.own_metals import draw_metals, has_own_metals, own_metals
from corrosion.hull.uncertain import draw_paths
from corrosion.records.ship import Ship

TABLE = default_assumptions()
DRAWS = Draws(64, 1, TABLE)
BRONZE = tuple(
    replace(z, metal="nickel-aluminium bronze", bare=1.0, painted=None)
    if z.zone == "RUD"
    else z
    for z in ZONES
)


def alone(one: Ship, bare: float = 0.05, flow: float = 1.0) -> tuple[np.ndarray, ...]:
    """Density and current of each wetted zone, and which are of steel."""
    hull = invented_hull(one)
    metals = [one.zones[k].metal for k in hull.body.zones]
    steel = np.array([metal == "steel" for metal in metals])
    share = np.tile(np.where(steel, bare, 1.0), (64, 1))
    found = own_metals(
        hull, metals, share, draw_paths(DRAWS), draw_metals(DRAWS), flow=flow
    )
    return found.density, found.leaving, steel


def test_a_bronze_part_drives_the_hull_and_is_spared() -> None:
    density, leaving, steel = alone(ship(zones=BRONZE))
    assert leaving.sum(axis=1) == pytest.approx(0.0, abs=1e-9)
    assert (density[:, steel].mean(axis=0) > 0.0).all()
    assert (leaving[:, ~steel] < 0.0).mean() > 0.95
    # oxygen's limit bounds what 1.5 m² of bronze take up: 0.15 A/m² times ÷ 1.6 twice
    assert np.median(-leaving[:, ~steel]) < 1.5 * 0.15 * 1.6**2


def test_a_ship_of_steel_has_none() -> None:
    assert not has_own_metals([z.metal for z in ZONES])
    density, leaving, _ = alone(ship())
    assert np.abs(density).max() < 1e-9
    assert np.abs(leaving).max() < 1e-9


def test_flow_drives_more() -> None:
    one = ship(zones=BRONZE)
    still, _, steel = alone(one)
    moving, _, _ = alone(one, flow=3.7)
    assert (moving[:, steel].mean(axis=0) > still[:, steel].mean(axis=0)).all()


def test_a_ship_s_history_has_the_account_and_its_identity() -> None:
    one = ship(zones=BRONZE)
    grid = time_grid_of(one, date(2026, 6, 1))
    inputs = sample_inputs(one, DRAWS, grid)
    (history,) = integrate_history([Scenario(inputs, inputs.faults.spans)])
    rudder = one.zone_index("RUD")
    own = history.own_metals_kg
    assert own[:, rudder] == pytest.approx(0.0, abs=1e-9)  # it drives, and is spared
    assert (own.sum(axis=1) > 0.0).mean() > 0.95
    assert (history.spared_kg[:, rudder] > 0.0).any()
    accounts = (
        history.natural_sea_kg
        - history.protection_spared_kg
        + history.faults_kg
        + history.couple_kg
        + own
        - history.spared_kg
        + history.natural_inside_kg
    )
    assert accounts == pytest.approx(history.lost_kg, rel=1e-9)
    # of the order that the cathode's limit sets: 9.126 kg a year for an ampere
    years = 26.4
    most = 9.126 * 1.5 * 0.15 * years
    assert np.median(own.sum(axis=1)) < 2.5 * most
