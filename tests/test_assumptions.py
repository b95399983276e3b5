"""Assumptions of the basis table that a user restates act on the estimate."""

from dataclasses import replace
from datetime import date
from functools import cache

import pytest
from ships import berth, fault, ship

import corrosion
from corrosion import Estimate, Ship
from corrosion.foundation.assumptions import default_assumptions

TODAY = date(2026, 1, 1)

TABLE = default_assumptions()


def run(one: Ship, samples: int = 128, as_of: date = TODAY, seed: int = 1) -> Estimate:
    return corrosion.estimate(one, samples=samples, seed=seed, as_of=as_of)


QUAY = berth("2012", None, "shore earthed", earth_cable=0.1)
RICH = ship(
    berths=(QUAY,),
    faults=(fault("A", "2005", "2007", conductor="a", insulation=60.0),),
)


@cache
def told() -> Estimate:
    """Return her estimate with the table as it stands, made once."""
    return run(RICH)


def measure(result: Estimate, quantity: str) -> float:
    """Return what an assumption should act on."""
    found = result.to_json()
    if quantity == "fault_kg":
        return float(found["faults"][0]["kg"]["mean"])
    if quantity == "deepest_mm":
        return float(sum(row[quantity]["mean"] for row in found["zones"]))
    return result.totals[quantity]["mean"]


@pytest.mark.parametrize(
    ("name", "median", "quantity", "factor"),
    [
        ("ac_dissolving_fraction", 0.05, "fault_kg", (3.0, 20.0)),
        ("shore_earth_ohm", 10.0, "couple_kg", (0.0, 0.7)),
        ("natural_factor", 3.0, "natural_sea_kg", (1.5, 2.5)),
        ("steel_resistivity", 1.7e-6, "fault_kg", (2.0, 20.0)),
        ("pit_gumbel_scale", 0.3, "deepest_mm", (1.02, 3.0)),
        ("pitting_factor", 6.0, "deepest_mm", (1.2, 3.0)),
        ("interface_ohm_m2", 5.0, "couple_kg", (0.0, 0.95)),
        ("repaint_interval_years", 20.0, "natural_sea_kg", (1.05, 3.0)),
        ("inside_unlisted_mm", 0.3, "natural_inside_kg", (5.0, 11.0)),
        ("coating_life_years", 10.0, "natural_sea_kg", (1.2, 9.0)),
    ],
)
def test_an_assumption_that_is_restated_acts(
    name: str, median: float, quantity: str, factor: tuple[float, float]
) -> None:
    row = TABLE[name]
    own = TABLE.override(name, median=median, spread=row.geometric_sd, why="a test")
    mine = run(replace(RICH, assumptions=own))
    low, high = factor
    assert low < measure(mine, quantity) / measure(told(), quantity) < high
    assert TABLE[name] == row


def test_an_assumption_restated_as_it_stands_changes_nothing() -> None:
    row = TABLE["pitting_factor"]
    own = TABLE.override(row.name, median=row.median, spread=row.geometric_sd)
    mine = run(replace(RICH, assumptions=own))
    assert mine.totals == told().totals
