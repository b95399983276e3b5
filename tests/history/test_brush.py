"""A propeller on its brush, through the whole program: a folder in, JSON out.

The hull of :mod:`test_taken_and_spared` with a propeller of 9 m² of bronze, joined by
2 mΩ at rest and by half an ohm while the shaft turns, against the balance of her metals
written out and solved by scipy.
"""

from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from history.test_anodes import ship
from records.written import write_ship
from scipy.optimize import root
from ships import berth

import corrosion
from corrosion.foundation.types import Array
from corrosion.history.inputs import ModelInputs
from corrosion.hull.network import spreading_resistance

AT_REST, TURNING = 0.002, 0.5  # [Ω]
YEARS = 2.0
KG = 9.126  # of steel that an ampere dissolves in a year


def estimated(folder: Path, under_way: float) -> corrosion.Estimate:
    one = ship(fault=False, anodes=())
    table = one.assumptions
    for name in ("steel_rest_sd_v", "noble_rest_sd_v"):
        table = table.override(name, median=7.1e-4, why="a test")  # the least
    propeller = replace(one.zones[-1], bond=AT_REST, turning=TURNING)
    stay = replace(berth("2020-01", None), under_way=under_way)
    one = replace(
        one, zones=(*one.zones[:-1], propeller), berths=(stay,), assumptions=table
    )
    write_ship(one, folder)
    return corrosion.estimate(folder, samples=4, as_of=date(2022, 1, 1))


def driven(inputs: ModelInputs, joint: float) -> float:
    """What the propeller dissolves of the steel, by scipy's root finder [kg/year]."""
    hull, paths = inputs.hull, inputs.paths.rows(slice(0, 1))
    wet = hull.body.zones
    metals = np.array([inputs.ship.zones[k].metal for k in wet])
    steel = metals == "steel"
    bare = inputs.zones.bare(inputs.time_grid.as_of, slice(0, 1))[:, wet]
    plate = hull.steel[0.0][np.ix_(wet, wet)]  # a structure factor of 1
    ohms = hull.body.matrix + plate
    ohms[np.diag_indices(len(wet))] += spreading_resistance(
        hull, bare, interface=paths.interface, coating=paths.coating
    )[0]
    for part, through in (("RUD", 0.5), ("PRP", joint)):
        at = np.flatnonzero(wet == inputs.ship.zone_index(part))[0]
        ohms[at, at] += through
    natural = 0.058 / np.log(10.0) / paths.interface[0]
    i_n = np.where(steel, natural, 0.010)
    k = np.where(steel, 2.0, 15.0)
    r = np.where(steel, -0.65, -0.30)
    beta = np.where(steel, 0.058, 0.060)
    onset = np.where(steel, 0.45, 0.80)
    area = hull.body.area[wet] * bare[0]
    painted = (hull.body.area[wet] - area) / 5000.0
    eps = 10.0 ** (-onset / 0.12)

    def dissolved(e: Array) -> Array:
        return np.asarray(i_n * 10.0 ** ((e - r) / beta))

    def left(z: Array) -> Array:
        e, phi = z[:-1], z[-1]
        oxygen = (1.0 - eps) * k * i_n / (1.0 + (k - 1.0) * 10.0 ** ((e - r) / 0.12))
        hydrogen = eps * i_n * 10.0 ** (-(e - r) / 0.12)
        leaving = area * (dissolved(e) - oxygen - hydrogen) + painted * (e - r)
        return np.append(phi - e - ohms @ leaving, leaving.sum())

    found = root(left, np.append(np.where(steel, -0.64, -0.6), -0.64), tol=1e-13)
    assert np.abs(left(found.x)).max() < 1e-9
    more = area * (dissolved(found.x[:-1]) - i_n)
    return float(KG * more[steel].sum())


@pytest.mark.parametrize("under_way", [0.0, 1.0, 0.4])
def test_her_own_metals_are_joined_as_the_shaft_lies_or_turns(
    tmp_path: Path, under_way: float
) -> None:
    result = estimated(tmp_path, under_way)
    resting, turning = (driven(result.inputs, ohms) for ohms in (AT_REST, TURNING))
    assert turning < 0.7 * resting
    expected = YEARS * ((1.0 - under_way) * resting + under_way * turning)
    told = result.to_json()["totals"]["own_metals_kg"]
    assert told["mean"] == pytest.approx(expected, rel=0.02)
