"""Tests of history.natural_rate: age, water and berth, through the whole history."""

from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np
import pytest
from ships import ZONES, berth, ship

import corrosion
from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array
from corrosion.history.inputs import sample_inputs
from corrosion.history.natural_rate import natural_factors
from corrosion.history.time_grid import time_grid_of
from corrosion.records.dates import as_written
from corrosion.records.ship import Berth, Ship, Water

TABLE = default_assumptions()
NOBODY_LOOKED = tuple(
    replace(z, bare=None, bare_seen=None, painted=None) for z in ZONES
)


def sea_kg(one: Ship, day: date) -> Array:
    """Return natural loss of the sea side of immersed shell zones, means [kg]."""
    result = corrosion.estimate(one, samples=64, as_of=day)
    shell = [k for k, z in enumerate(one.zones) if z.exposure == "immersed"]
    history = result.history
    recorded = history.natural_sea_kg
    return np.asarray(recorded[:, shell].mean(axis=0))


def old(**more: Any) -> Ship:
    return ship(built=as_written("1925-01"), zones=NOBODY_LOOKED, **more)


def test_a_century_in_river_water_costs_at_most_six_tenths_of_the_sea() -> None:
    day = date(2025, 1, 1)
    table = TABLE.override("repaint_interval_years", median=500.0, why="bare for long")
    sea, river = (
        sea_kg(old(water=Water(resistivity=rho), assumptions=table), day)
        for rho in (0.25, 50.0)
    )
    assert (river < 0.6 * sea).all()
    brackish = sea_kg(old(water=Water(resistivity=1.6), assumptions=table), day)
    assert ((river < brackish) & (brackish < sea)).all()


def test_years_on_blocks_lose_what_air_takes() -> None:
    blocks = berth("1999-01", None, lies="dock")
    afloat = berth("1999-01", None)
    day = date(2025, 1, 1)
    built = {"built": as_written("1999-01"), "zones": NOBODY_LOOKED}
    docked, wet = (sea_kg(ship(berths=(b,), **built), day) for b in (blocks, afloat))
    assert (docked < 0.7 * wet).all()
    result = corrosion.estimate(ship(berths=(blocks,), **built), samples=16, as_of=day)
    assert not result.history.stray_kg.any()


def factors(lying: Berth, water: Water | None = None) -> Array:
    """Return the ship's factor in the sea, by sample."""
    one = ship(berths=(lying,), water=water or Water(resistivity=0.25))
    draws = Draws(4096, 1, one.assumptions)
    inputs = sample_inputs(one, draws, time_grid_of(one, date(2026, 1, 1)))
    return natural_factors(inputs, lying, slice(None))[:, 0]


@pytest.mark.parametrize(
    ("temperature", "nutrients", "median", "spread"),
    [
        (None, None, 1.5, 1.6),
        (20.0, "clean", 1.04 * np.exp(0.6), 1.5),
        (10.0, "moderate", 1.04 * np.exp(0.3) * 1.45, 1.5),
        (10.0, "high", 1.04 * np.exp(0.3) * 2.3, 1.5),
        (10.0, None, 1.04 * np.exp(0.3) * 1.12, np.exp(np.hypot(0.4055, 0.2231))),
    ],
)
def test_water_decides_the_factor_never_both_ways(
    temperature: float | None, nutrients: Any, median: float, spread: float
) -> None:
    found = factors(
        berth("2020", None, temperature=temperature, nutrients=nutrients),
    )
    assert np.median(found) == pytest.approx(median, rel=0.02)
    assert np.log(found).std() == pytest.approx(np.log(spread), rel=0.03)


def test_a_factor_of_the_owners_stands_for_all_water() -> None:
    own = TABLE.override("natural_factor", median=0.8, spread=1.1, why="surveyed")
    one = ship(assumptions=own, water=Water(resistivity=0.25, temperature=20.0))
    draws = Draws(512, 1, own)
    inputs = sample_inputs(one, draws, time_grid_of(one, date(2026, 1, 1)))
    found = natural_factors(inputs, berth("2020", None), slice(None))[:, 0]
    assert np.median(found) == pytest.approx(0.8, rel=0.02)


def test_flow_and_ground_move_the_factor() -> None:
    rest = factors(berth("2020", None))
    sailing = factors(berth("2020", None, lies="under way", under_way=1.0))
    half = factors(berth("2020", None, lies="under way", under_way=0.5))
    unwritten = factors(berth("2020", None, lies="under way"))
    aground = factors(berth("2020", None, lies="aground"))
    assert np.median(sailing / rest) == pytest.approx(3.7, rel=0.05)
    assert half / rest == pytest.approx(0.5 * (1.0 + sailing / rest))
    assert (unwritten == sailing).all()
    assert np.median(aground / rest) == pytest.approx(0.8, rel=0.05)
