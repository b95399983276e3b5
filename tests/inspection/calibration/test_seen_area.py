"""The area that was looked over, from a ship folder to JSON, against Bayes by hand."""

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from records.written import write_ship
from ships import ZONES, ship

import corrosion
from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.types import Array
from corrosion.foundation.units import MM
from corrosion.records.dates import as_written
from corrosion.records.measured import Gauging

DAY = date(2026, 1, 1)
CERTAIN = (
    "natural_factor",
    "natural_factor_zone",
    "natural_wander",
    "natural_spread_factor",
    "bare_factor",
    "bare_factor_zone",
    "coating_initial_share",
    "coating_life_years",
    "rolling_factor",
    "inside_bare_share",
)
AREA = 42.0  # of each zone [m²]
READ = 4.0  # gone at the thinnest spot that was found [mm]


def told(folder: Path, gauging: Gauging) -> dict[str, Any]:
    """Return a bare zone of the JSON of a ship of whose loss all is certain."""
    given = default_assumptions()
    for name in CERTAIN:
        median = 0.001 if name == "inside_bare_share" else given.value(name)
        given = given.override(name, median=median, spread=1.0, why="a test")
    for name, chance in (("hole_unnoticed_chance", 0.9995), ("unrecorded_share", 5e-4)):
        given = given.override(name, median=chance, why="a test")
    seen = as_written("2001-01")
    bare = tuple(
        replace(z, area=AREA, bare=1.0, bare_seen=seen, painted=None) for z in ZONES
    )
    one = ship(zones=bare, faults=(), works=(), gaugings=(gauging,), assumptions=given)
    write_ship(one, folder)
    rows = corrosion.estimate(folder, samples=512, as_of=DAY).to_json()["zones"]
    found: dict[str, Any] = {row["zone"]: row for row in rows}["AP"]
    return found


def by_hand(lost: float, seen: float) -> list[float]:
    """p10, p50 and p90 of the deepest pit by the law of its table and Bayes' rule [mm].

    k times d ** 0.65 the likeliest on a square metre, k 3.5 times and over 1.4, Gumbel
    of scale 0.15 on what was seen and on the rest; read with 0.3 mm, the pit model's
    0.3 and the 0.1 of its campaign. None is deeper than its plate.
    """
    rng = np.random.default_rng(1)
    factor = 3.5 * 1.4 ** rng.standard_normal(200_000)

    def deepest(area: float) -> Array:
        extreme = np.log(area) + rng.gumbel(size=factor.size)
        return np.asarray(lost**0.65 * factor * (1.0 + 0.15 * extreme))

    found, rest = deepest(seen), deepest(AREA - seen)
    weight = np.exp(-0.5 * (found - READ) ** 2 / (0.3**2 + 0.3**2 + 0.1**2))
    whole = np.minimum(np.maximum(found, rest), 10.0)
    order = np.argsort(whole)
    reached = np.cumsum(weight[order]) / weight.sum()
    return [float(np.interp(q, reached, whole[order])) for q in (0.1, 0.5, 0.9)]


@pytest.mark.parametrize("seen", [0.12, 3.0])
def test_the_area_that_was_looked_over_says_how_deep_pits_are(
    tmp_path: Path, seen: float
) -> None:
    """4 mm gone on a dozen hands' breadths, or at the worst of three square metres."""
    least = Gauging(
        zone="AP",
        date=as_written("2025-12-20"),
        thickness=(10.0 - READ) * MM,
        kind="least",
        readings=3,
        surface="prepared",
        seen_area=seen,
    )
    row = told(tmp_path, least)
    expected = by_hand(row["bare_loss_mm"]["p50"], seen)
    for key, mm in zip(("p10", "p50", "p90"), expected, strict=True):
        assert row["deepest_mm"][key] == pytest.approx(mm, rel=0.05)
