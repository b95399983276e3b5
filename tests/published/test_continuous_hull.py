"""Currents that return aboard, against a hull whose plating is continuous."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from continuous_hull import leaving, panels_of, water_resistance
from ships import berth, ship, zone

from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.types import Array, IntArray
from corrosion.hull.geometry.hull_lines import fit_hull_lines, section_points
from corrosion.hull.model import build_hull
from corrosion.hull.water_currents import water_currents
from corrosion.records.ship import Form, Ship, Side, Water, Zone

RHO, STEEL, PLATE, BARE = 0.30, 1.7e-7, 0.012, 0.05
CONTACT = 1.0 / (BARE / 1.0 + (1.0 - BARE) / 5000.0)  # of a square metre [Ω·m²]
TABLE = default_assumptions()
for _name, _median in (
    ("steel_structure_factor", 1.0),
    ("steel_resistivity", STEEL),
    ("interface_ohm_m2", 1.0),
    ("coating_ohm_m2", 5000.0),
    ("bare_patch_radius_m", 0.001),  # paint bare evenly, as in the check
):
    TABLE = TABLE.override(_name, median=_median, why="as in the check")
BOX = Form(
    length=60.0, beam=12.0, draught=4.0, block_coefficient=0.96, frame_spacing=1.0
)
ROUND = Form(  # with the coefficients of a prolate spheroid, if with sharper ends
    length=40.0,
    beam=10.0,
    draught=5.0,
    block_coefficient=np.pi / 6.0,
    midship_coefficient=np.pi / 4.0,
    waterplane_coefficient=np.pi / 4.0,
    frame_spacing=1.0,
)


def cut(form: Form, stations: int, depths: tuple[float, ...]) -> Ship:
    """A bare hull of equal stations, each side cut at some depths."""
    step = form.length / stations

    def one(k: int, side: Side, top: float, bottom: float) -> Zone:
        name = f"{k}{side[0]}{top:g}"
        ends = (k * step, (k + 1) * step)
        return replace(
            zone(name, ends, side, built=PLATE, bare=BARE, area=None),
            top=top,
            bottom=bottom,
        )

    sides: tuple[Side, Side] = ("port", "starboard")
    zones = tuple(
        one(k, side, top, bottom)
        for k in range(stations)
        for side in sides
        for top, bottom in pairwise(depths)
    )
    water = Water(resistivity=RHO)
    return ship(
        zones=zones, form=form, water=water, systems=(), berths=(), assumptions=TABLE
    )


def grid_of(form: Form, depths: tuple[float, ...], around: int) -> Array:
    """Panels of the lines of a form, port waterline over the keel to starboard."""
    x = np.linspace(0.0, form.length, 31)
    x[0], x[-1] = 1e-2, form.length - 1e-2  # a section at the very end has no breadth
    lines = fit_hull_lines(form)
    strips = [
        section_points(lines, x, pair, around)[:, int(k > 0) :]
        for k, pair in enumerate(pairwise(depths))
    ]
    side = np.concatenate(strips, axis=1)
    return np.concatenate([side * [1.0, -1.0, 1.0], side[:, ::-1][:, 1:]], axis=1)


def zones_of(one: Ship, centre: Array) -> IntArray:
    """Position of the zone in which each panel lies."""
    found = np.zeros(len(centre), dtype=np.int64)
    for k, z in enumerate(one.zones):
        here = (centre[:, 0] >= z.frame_from) & (centre[:, 0] <= z.frame_to)
        here &= (centre[:, 1] > 0.0) == (z.side == "starboard")
        found[here & (-centre[:, 2] >= z.top)] = k
    return found


@pytest.mark.published(
    source="boundary elements with continuous plating, written for the tests",
    where="10 A into one zone, returned by area: what leaves the hull, and each zone's",
    status="computed",
)
@pytest.mark.parametrize(
    ("form", "stations", "depths", "around", "entry"),
    [
        (BOX, 6, (0.0, 4.0), 8, 0),
        (BOX, 6, (0.0, 3.6, 4.0), 4, 5),
        (ROUND, 5, (0.0, 5.0), 8, 0),
        (ROUND, 5, (0.0, 3.0, 5.0), 4, 9),
    ],
    ids=["box", "box, side and bottom", "round", "round, side and bottom"],
)
def test_what_returns_aboard_crosses_as_with_continuous_plating(
    form: Form, stations: int, depths: tuple[float, ...], around: int, entry: int
) -> None:
    grid = grid_of(form, depths, around)
    one = cut(form, stations, depths)
    centre, _, area, _ = panels_of(grid)
    at = zones_of(one, centre)
    here = at == entry
    injected = 10.0 * (here * area / area[here].sum() - area / area.sum())
    panel = leaving(grid, injected, rho=RHO, sheet=STEEL / PLATE, ohm_m2=CONTACT)
    expected = np.bincount(at, panel, len(one.zones))
    hull = build_hull(one)
    share = hull.body.area / hull.body.area.sum()
    into = -10.0 * share
    into[entry] += 10.0
    found = water_currents(hull, into, berth(None, None))
    crossing = np.maximum(expected, 0.0).sum()
    assert np.maximum(found, 0.0).sum() == pytest.approx(crossing, rel=0.10)
    assert np.abs(found - expected).max() < 0.10 * crossing


def spheroid(length: float, radius: float) -> Array:
    """Panels of the lower half of a prolate spheroid, which no lines of ours draw."""
    x = np.linspace(0.0, length, 31)
    x[0], x[-1] = 1e-2, length - 1e-2
    ring = radius * np.sqrt(1.0 - (2.0 * x / length - 1.0) ** 2)
    turn = np.linspace(0.0, np.pi, 17)
    along = np.broadcast_to(x[:, None], (31, 17))
    across = np.outer(ring, np.cos(turn)), np.outer(ring, np.sin(turn))
    return np.stack([along, -across[0], -across[1]], axis=-1)


@pytest.mark.published(
    source="boundary elements with continuous plating, written for the tests",
    where="10 A into one zone of an exact spheroid, zones of its areas as written",
    status="computed",
)
@pytest.mark.parametrize(("stations", "entry"), [(5, 0), (5, 4), (6, 0)])
def test_an_exact_spheroid_whose_areas_are_written(stations: int, entry: int) -> None:
    grid, one = spheroid(40.0, 5.0), cut(ROUND, stations, (0.0, 5.0))
    centre, _, area, _ = panels_of(grid)
    at = zones_of(one, centre)
    each = np.bincount(at, area, len(one.zones))
    one = replace(
        one,
        zones=tuple(
            replace(z, area=a) for z, a in zip(one.zones, each.tolist(), strict=True)
        ),
    )
    here = at == entry
    injected = 10.0 * (here * area / area[here].sum() - area / area.sum())
    panel = leaving(grid, injected, rho=RHO, sheet=STEEL / PLATE, ohm_m2=CONTACT)
    expected = np.bincount(at, panel, len(one.zones))
    into = -10.0 * each / each.sum()
    into[entry] += 10.0
    found = water_currents(build_hull(one), into, berth(None, None))
    crossing = np.maximum(expected, 0.0).sum()
    assert np.maximum(found, 0.0).sum() == pytest.approx(crossing, rel=0.10)
    assert np.abs(found - expected).max() < 0.10 * crossing


@pytest.mark.published(
    source="closed form, ρ/4πa",
    where="a sphere half immersed: the oracle's own error",
    status="computed",
)
def test_the_oracle_knows_a_sphere() -> None:
    polar = np.linspace(0.0, np.pi, 25)[:, None]
    turn = np.linspace(-np.pi, 0.0, 17)
    ring = np.sin(polar)
    x = -np.cos(polar) + 0.0 * turn
    grid = np.stack([x, ring * np.cos(turn), ring * np.sin(turn)], axis=-1)
    amps = np.linalg.solve(water_resistance(grid, 1.0), np.ones(24 * 16))
    assert 1.0 / amps.sum() == pytest.approx(1.0 / (2.0 * np.pi), rel=0.04)


def test_the_box_of_the_check_lets_a_milliampere_and_a_half_cross() -> None:
    hull = build_hull(cut(BOX, 6, (0.0, 4.0)))
    into = -10.0 * hull.body.area / hull.body.area.sum()
    into[0] += 10.0
    out = water_currents(hull, into, berth(None, None))
    assert np.maximum(out, 0.0).sum() == pytest.approx(1.58e-3, rel=0.10)  # a trial's
