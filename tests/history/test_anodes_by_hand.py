"""Anodes in brackish water and their time steps: a folder in, JSON out.

The ship of :mod:`test_anodes` on her day of new zincs in water of 2 Ω·m, against the
balance of metals and anodes written out and solved by scipy.
"""

from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from history.test_anodes import SAMPLES, anodes, estimated, ship
from records.written import write_ship
from scipy.optimize import root

import corrosion
from corrosion.foundation.types import Array
from corrosion.history import anodes_in_time
from corrosion.history.inputs import ModelInputs
from corrosion.hull.network import spreading_resistance
from corrosion.records.dates import as_written
from corrosion.records.ship import Anode, Water

BRACKISH = 2.0  # [Ω·m]
LLOYD = BRACKISH / (0.60 + 0.15)  # ρ/2S of one flush zinc, S half of its two sides [Ω]
EDGES = 2.0 * 0.06 * (0.60 + 0.15)  # of one [m²]
GIRTH = 2.0 * (0.15 + 0.06) / (2.0 * np.pi)  # radius of a rod of as long a girth [m]
DWIGHT = BRACKISH / (2.0 * np.pi * 0.60) * (np.log(4.0 * 0.60 / GIRTH) - 1.0)  # [Ω]
EACH = 5  # on each of four zones


def balanced(inputs: ModelInputs, one: float = LLOYD, faces: int = 1) -> Array:
    """Current of each zone and each group of new zincs, by hand and scipy [A].

    ``one``: resistance of a zinc; ``faces``: how many of its large ones water meets.
    """
    hull, paths = inputs.hull, inputs.paths.rows(slice(0, 1))
    wet, names = hull.body.zones, [zone.zone for zone in inputs.ship.zones]
    bare = inputs.zones.bare(inputs.time_grid.as_of, slice(0, 1))[:, wet]
    many = len(wet)
    host = [*range(many)] + [
        int(np.flatnonzero(wet == names.index(each.zone))[0])
        for each in inputs.ship.anodes
    ]
    n = len(host)
    ohms = hull.body.matrix[np.ix_(host, host)]
    ohms += hull.steel[0.0][np.ix_(wet[host], wet[host])]  # a structure factor of 1
    narrow = spreading_resistance(
        hull, bare, interface=paths.interface, coating=paths.coating
    )[0]
    ohms[np.arange(many), np.arange(many)] += narrow
    for part, through in (("RUD", 0.5), ("PRP", 0.002)):
        at = int(np.flatnonzero(wet == names.index(part))[0])
        ohms[at, at] += through
    ohms[np.arange(many, n), np.arange(many, n)] += one / EACH
    bronze, zinc = np.zeros((2, n), dtype=np.bool_)
    bronze[int(np.flatnonzero(wet == names.index("PRP"))[0])] = True
    zinc[many:] = True
    natural = 0.058 / np.log(10.0) / paths.interface[0]
    i_n = np.select([bronze, zinc], [0.010, 0.020], natural)
    k = np.select([bronze, zinc], [15.0, 1.0], 2.0)
    r = np.select([bronze, zinc], [-0.30, -1.05], -0.65)
    beta = np.select([bronze, zinc], [0.060, 0.030], 0.058)
    eps = 10.0 ** (-np.select([bronze, zinc], [0.80, 1.0], 0.45) / 0.12)
    size = faces * 0.60 * 0.15 + EDGES
    area = np.append(hull.body.area[wet] * bare[0], np.full(n - many, EACH * size))
    painted = np.append(hull.body.area[wet] - area[:many], np.zeros(n - many)) / 5000.0

    def left(z: Array) -> Array:
        e, phi = z[:-1], z[-1]
        dissolved = i_n * 10.0 ** ((e - r) / beta)
        oxygen = (1.0 - eps) * k * i_n / (1.0 + (k - 1.0) * 10.0 ** ((e - r) / 0.12))
        hydrogen = eps * i_n * 10.0 ** (-(e - r) / 0.12)
        leaving = area * (dissolved - oxygen - hydrogen) + painted * (e - r)
        return np.append(phi - e - ohms @ leaving, leaving.sum())

    start = np.append(np.where(zinc, -1.0, -0.75), -0.75)
    found = root(left, start, tol=1e-12).x
    assert np.abs(left(found)).max() < 1e-7
    drop = found[-1] - found[:-1]
    return np.asarray(np.linalg.solve(ohms, drop))


def told(new: tuple[Anode, ...], folder: Path) -> tuple[list[float], ModelInputs]:
    """Return the amperes of each group in the JSON of a folder of the ship."""
    one = ship(fault=False, anodes=new, water=Water(resistivity=2.0, temperature=10.0))
    table = one.assumptions
    for name in ("steel_rest_sd_v", "noble_rest_sd_v"):
        table = table.override(name, median=7.1e-4, spread=1.0, why="a test")
    write_ship(replace(one, assumptions=table), folder)
    found = corrosion.estimate(folder, samples=SAMPLES, as_of=date(2022, 1, 1))
    return [row["amps"]["mean"] for row in found.to_json()["anodes"]], found.inputs


def test_new_zincs_in_brackish_water(tmp_path: Path) -> None:
    new = anodes(fitted=as_written("2021-12-30 00:00"))
    rows, inputs = told(new, tmp_path)
    amps = balanced(inputs)
    assert rows == pytest.approx(amps[-len(rows) :].tolist(), rel=0.02)
    sea = estimated(ship(fault=False, anodes=new)).history.anode_amps.sum(axis=1)
    assert amps[-len(rows) :].sum() < 0.6 * sea.mean()


@pytest.mark.parametrize(("away", "times"), [(0.2, 1.3), (0.4, 1.0)])
def test_zincs_that_stand_off_in_brackish_water(
    tmp_path: Path, away: float, times: float
) -> None:
    """Dwight, and 1.3 times that by a plate within 0.30 m: design codes (memory)."""
    new = anodes(
        form="stand-off", stand_off=away, fitted=as_written("2021-12-30 00:00")
    )
    rows, inputs = told(new, tmp_path)
    amps = balanced(inputs, times * DWIGHT, faces=2)
    assert rows == pytest.approx(amps[-len(rows) :].tolist(), rel=0.02)


def test_half_years_do_for_the_life_of_an_anode(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """What half-year steps tell of zincs near their end, against ten times as many."""
    small = ship(fault=False, anodes=anodes(net_mass=5.0))  # gone within two years
    monkeypatch.setenv("CORROSION_KEEP", "no")
    coarse = estimated(small).history
    monkeypatch.setattr(anodes_in_time, "_SIZED", 0.05 * 365.25 * 86400.0)
    fine = estimated(small).history
    used, exact = 1.0 - coarse.anode_left, 1.0 - fine.anode_left
    assert exact.mean() > 0.5
    assert used == pytest.approx(exact, rel=0.03)
    spared, finely = (one.protection_spared_kg.sum(axis=1) for one in (coarse, fine))
    assert spared == pytest.approx(finely, rel=0.03)
