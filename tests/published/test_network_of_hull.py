"""The hull's current paths against nodal analysis and a circuit simulator."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from circuit_simulator import SPICE, simulated
from ships import at_patches, berth, conductances_of, invented_hull, ship

from corrosion.foundation.types import Array
from corrosion.hull.model import Hull
from corrosion.hull.network import contact_resistance, network, transfer
from corrosion.hull.shore_connection import ShoreConnection, shore_connection
from corrosion.hull.uncertain import PathUnknowns, median_paths
from corrosion.hull.water_currents import water_currents
from corrosion.records.ship import Berth

SHIP = ship()
MEDIAN = median_paths()
BERTHS = {
    "afloat": berth(None, None),
    "no conductor": berth(
        None, None, "shore earthed", earth_none=True, shore_earth=0.8
    ),
    "earthed": berth(
        None, None, "shore earthed", earth_cable=0.1, shore_earth=0.8, earth_couple=0.31
    ),
    "near": berth(
        None,
        None,
        "shore earthed",
        earth_cable=0.05,
        shore_earth=0.6,
        earth_couple=0.28,
        shore_side="port",
        shore_distance=2.0,
    ),
    "isolator": berth(
        None, None, "shore earthed", earth_cable=0.1, galvanic_isolator=True
    ),
}


def nodal(
    hull: Hull,
    steel: Array,
    contact: Array,
    loop: ShoreConnection,
    *,
    injected: Array,
) -> Array:
    """Return what leaves each wetted zone, by Kirchhoff's current law at every node.

    Nodes: the steel of each zone, the water at each wetted zone, the shore electrode;
    remote earth is zero. Water and electrode are a multiport, the inverse of their
    joint resistance matrix. The return of what is injected is drawn from the shore.
    """
    n, wet = len(steel), hull.body.zones
    m = len(wet)
    shore = n + m
    y = np.zeros((shore + 1, shore + 1))
    y[:n, :n] = np.diag(steel.sum(axis=1)) - steel
    for k, z in enumerate(wet):
        g = 1.0 / contact[k]
        y[np.ix_([z, n + k], [z, n + k])] += np.array([[g, -g], [-g, g]])
    joint = np.zeros((m + 1, m + 1))
    joint[:m, :m] = hull.body.matrix
    joint[m, :m] = joint[:m, m] = loop.mutual
    joint[m, m] = float(loop.electrode.item())
    y[n:, n:] += np.linalg.inv(joint)
    pair = [hull.reference, shore]
    g = loop.conductance.item()
    y[np.ix_(pair, pair)] += np.array([[g, -g], [-g, g]])
    into = np.zeros(shore + 1)
    into[:n] = injected
    into[shore] -= injected.sum()
    couple = g * float(loop.couple.item())
    into[hull.reference] += couple
    into[shore] -= couple
    volts = np.linalg.solve(y, into)
    return np.asarray((volts[wet] - volts[n : n + m]) / contact)


def plate_of(hull: Hull, paths: PathUnknowns, hertz: float = 0.0) -> list[Array]:
    """Conductances of plating and joints between zones, of each sample."""
    steel = hull.plating(paths, hertz).among(np.arange(len(hull.bare)))
    return [conductances_of(one, hull.reference) for one in steel]


def contact_of(hull: Hull) -> Array:
    wet = hull.body.zones
    ohms = contact_resistance(
        hull.bare[None, wet], hull.body.area[wet], MEDIAN.interface, MEDIAN.coating
    )
    return ohms + at_patches(hull)


def loop_of(hull: Hull, at: Berth) -> ShoreConnection:
    tied = network(hull, contact_of(hull), MEDIAN)
    return shore_connection(hull, at, MEDIAN, hertz=0.0, hull_ohms=tied.hull_ohms)


@pytest.mark.published(
    source="nodal analysis of the whole network, numpy.linalg.solve",
    where="six zones, a jointed part, five berths",
    status="computed",
)
@pytest.mark.parametrize("reference", [0, 3, 5])
@pytest.mark.parametrize("name", BERTHS)
def test_water_currents_are_those_of_nodal_analysis(name: str, reference: int) -> None:
    hull = invented_hull(SHIP, reference)
    rng = np.random.default_rng(7)
    plate = plate_of(hull, MEDIAN)[0]
    joint = SHIP.zone_index("RUD")
    for injected in (rng.normal(size=6), np.eye(6)[joint], np.zeros(6)):
        loop = loop_of(hull, BERTHS[name])
        expected = nodal(hull, plate, contact_of(hull)[0], loop, injected=injected)
        got = water_currents(hull, injected, BERTHS[name])
        scale = max(1.0, float(np.abs(expected).max()))
        assert got[hull.body.zones] == pytest.approx(expected, abs=1e-9 * scale)
        dry = np.setdiff1d(np.arange(6), hull.body.zones)
        assert not got[dry].any()


@pytest.mark.published(
    source="nodal analysis of the whole network, numpy.linalg.solve",
    where="sampled interfaces, structures, electrodes and couples, 60 Hz",
    status="computed",
)
def test_every_sample_is_solved_as_if_alone() -> None:
    hull = invented_hull(SHIP)
    shaft = replace(hull.joints, turning=np.full(1, np.nan))  # not written
    hull = replace(hull, joints=shaft)
    rng = np.random.default_rng(11)
    count, wet = 6, len(hull.body.zones)
    contact = rng.lognormal(0.0, 1.0, (4, wet))
    paths = MEDIAN.rows(np.zeros(4, dtype=np.int64))
    paths = replace(
        paths,
        structure_mains=rng.uniform(1.0, 3.0, 4),
        turns=np.array([0.0, 1.0, 0.5, 0.0]),
        brush=rng.uniform(0.01, 1.0, 4),
    )
    loop = ShoreConnection(
        conductance=np.full(4, 7.0),
        electrode=rng.uniform(0.3, 3.0, 4),
        mutual=rng.uniform(0.0, 0.01, wet),
        couple=rng.uniform(0.0, 0.5, 4),
    )
    solved = transfer(network(hull, contact, paths, hertz=60.0), loop)
    plate = plate_of(hull, paths, 60.0)
    zero, board = np.zeros(count), np.eye(count)[hull.reference]
    for s in range(4):
        own = replace(
            loop,
            conductance=loop.conductance[s : s + 1],
            electrode=loop.electrode[s : s + 1],
            couple=loop.couple[s : s + 1],
        )

        def leaving(injected: Array, s: int = s, own: ShoreConnection = own) -> Array:
            return nodal(hull, plate[s], contact[s], own, injected=injected)

        driven = leaving(zero)
        assert solved.couple[s] == pytest.approx(driven, rel=1e-9)
        ashore = leaving(board) - driven
        assert solved.ashore[s] == pytest.approx(ashore, rel=1e-9)
        for z in range(count):
            between = leaving(np.eye(count)[z]) - leaving(board)
            alone = solved.per_ampere_over(np.eye(count)[z])
            assert alone[s] == pytest.approx(between, abs=1e-9)
            entering = solved.per_ampere_at(np.full((4, 1), z))
            assert entering[s, 0] == pytest.approx(between, abs=1e-9)


@SPICE
@pytest.mark.published(
    source="ngspice, circuit simulator",
    where="the same hull as resistors, injected into the rudder and returned ashore",
    status="computed",
)
def test_water_currents_are_those_of_a_circuit_simulator(tmp_path: Path) -> None:
    at = BERTHS["earthed"]
    hull = invented_hull(SHIP)
    contact, loop = contact_of(hull)[0], loop_of(hull, at)
    wet = hull.body.zones.tolist()
    plate = plate_of(hull, MEDIAN)[0]
    water = np.linalg.inv(hull.body.matrix)
    lines: list[str] = []
    for i in range(6):
        lines += [
            f"RP{i}_{j} s{i} s{j} {1.0 / plate[i, j]:.15g}"
            for j in range(i + 1, 6)
            if abs(plate[i, j]) > 1e-9 * plate.max()
        ]
    for k, z in enumerate(wet):  # a source of 0 V meters what leaves
        lines += [f"VM{k} s{z} x{k} 0", f"RC{k} x{k} w{k} {contact[k]:.15g}"]
        lines.append(f"RE{k} w{k} 0 {1.0 / water[k].sum():.15g}")
        lines += [
            f"RW{k}_{j} w{k} w{j} {-1.0 / water[k, j]:.15g}" for j in range(k + 1, 5)
        ]
    lines += [
        f"RG s{hull.reference} g {1.0 / loop.conductance.item():.15g}",
        f"VE g e {loop.couple.item():.15g}",
        f"RS e 0 {loop.electrode.item():.15g}",
        "IF e s4 3.0",  # 3 A into the jointed part, out of the shore earth
        ".control",
        "set numdgt=12",
        "op",
        *(f"print i(vm{k})" for k in range(len(wet))),
        ".endc",
    ]
    asked = [f"i(vm{k})" for k in range(len(wet))]
    expected = [amps.real for amps in simulated(tmp_path, lines, asked)]
    got = water_currents(hull, 3.0 * np.eye(6)[4], at)[wet]
    assert got == pytest.approx(expected, rel=1e-9)


@pytest.mark.published(
    source="current divider, design of this project",
    where="share R_e/(R_e + R_water + R_shore) of a hull of one zone",
    status="computed",
)
@pytest.mark.parametrize("cable", [0.01, 0.1, 5.0])
@pytest.mark.parametrize("distance", [None, 3.0])
def test_share_of_a_one_zone_hull(cable: float, distance: float | None) -> None:
    alone = replace(SHIP, zones=SHIP.zones[:1], systems=())
    hull = invented_hull(alone)
    at = berth(
        None,
        None,
        "shore earthed",
        earth_cable=cable,
        shore_earth=0.7,
        earth_couple=0.4,
        shore_side="starboard",
        shore_distance=distance,
    )
    loop = loop_of(hull, at)
    # Water between hull and shore earth: both alone, less twice what they share.
    hull_alone = hull.body.matrix.item() + contact_of(hull).item()
    water = hull_alone + loop.electrode.item() - 2.0 * loop.mutual.item()
    share = water_currents(hull, [1.0], at) - water_currents(hull, [0.0], at)
    assert share.item() == pytest.approx(cable / (cable + water), rel=1e-12)
    couple = water_currents(hull, [0.0], at)
    volts = loop.couple.item()
    assert couple.item() == pytest.approx(volts / (cable + water), rel=1e-12)
