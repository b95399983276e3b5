"""The network of metals against hand solutions, scipy, published values and a trial."""

from dataclasses import replace

import numpy as np
import pytest
from causes_apart import charges
from scipy.optimize import brentq, root
from trial_hull import (
    BOARD,
    PROPELLER,
    RUDDER,
    SEA,
    ZONES,
    injected,
    network,
    zincs,
)

from corrosion.foundation.types import Array
from corrosion.foundation.units import HOUR, YEAR
from corrosion.hull.anode_groups import dwight, lloyd, mccoy
from corrosion.hull.electrodes import LAWS, Electrodes
from corrosion.hull.nonlinear.galvanic import GalvanicNetwork, solve_galvanic

KG = 27.92e-3 / 96485.33 * YEAR  # iron(II) dissolved by an ampere in a year

trial = pytest.mark.published(
    source="trial of this project, solved by a separate program",
    where="invented hull of 100 m: own metals, anodes, shore earth, faults",
    status="computed",
)


def balanced(**state: object) -> tuple[GalvanicNetwork, Array]:
    net = network(**state)  # type: ignore[arg-type]  # keywords by name
    return net, solve_galvanic(net).potential


def steel_kg(net: GalvanicNetwork, z: Array) -> float:
    return float(net.dissolution(z)[:, :17].sum() * KG)


@pytest.mark.published(
    source="two Tafel lines solved by hand (brentq)",
    where="5 m² of bare steel with 9 m² of bronze, no resistance: -0.6025 V, 1.2953 A",
    status="computed",
)
def test_two_metals_without_resistance() -> None:
    laws = Electrodes.of([LAWS["steel"], LAWS["bronze"]], 1)
    area = np.array([[5.0, 9.0]])

    def net(volts: float) -> float:
        return float((area * laws.at(np.full((1, 2), volts)).net).sum())

    volts = brentq(net, -0.65, -0.30, xtol=1e-14)
    assert volts == pytest.approx(-0.6025, abs=5e-5)
    alone = GalvanicNetwork(
        inverse=np.eye(2)[None] * 1e7,
        island=np.zeros(2, dtype=np.int64),
        laws=laws,
        bare=area,
        paint=np.zeros((1, 2)),
        lifted=np.zeros((1, 2)),
        total=np.zeros((1, 1)),
    )
    z = solve_galvanic(alone).potential
    assert z[0, :2] == pytest.approx(volts, abs=1e-6)
    assert alone.flow(z)[0] == pytest.approx([1.2953, -1.2953], abs=1e-4)


@trial
@pytest.mark.parametrize(
    ("flow", "bronze", "own", "natural", "propeller"),
    [
        (1.0, 6.0, 3.97, 37.4, 0.535),
        (1.0, 15.0, 9.76, 37.4, 1.296),
        (1.0, 30.0, 17.70, 37.4, 2.309),
        (3.7, 6.0, 13.86, 138.4, 1.853),
        (3.7, 15.0, 25.41, 138.4, 3.351),
        (3.7, 30.0, 30.75, 138.4, 4.032),
    ],
)
def test_own_metals(
    flow: float, bronze: float, own: float, natural: float, propeller: float
) -> None:
    without = steel_kg(*balanced(flow=flow, bronze=bronze, own=False))
    net, z = balanced(flow=flow, bronze=bronze)
    assert without == pytest.approx(natural, rel=0.02)
    assert steel_kg(net, z) - without == pytest.approx(own, rel=0.02)
    assert -net.flow(z)[0, PROPELLER] == pytest.approx(propeller, rel=0.02)


@pytest.mark.published(
    source="galvanic loss of one ship's hull at sea, protection off: 73 kg a year",
    where="order of magnitude, under way, propellers in the plural",
    status="secondary",
)
def test_own_metals_under_way_are_of_the_published_order() -> None:
    without = steel_kg(*balanced(flow=3.7, own=False))
    added = steel_kg(*balanced(flow=3.7)) - without
    assert 73.0 / 4.0 < added < 73.0 * 4.0


@pytest.mark.published(
    source="Dwight, Lloyd, McCoy, as design codes quote them",
    where="stand-off, flush and short flush anodes in water of 0.27 Ω·m",
    status="from memory",
)
def test_anode_forms() -> None:
    assert dwight(0.27, 1.2, 0.0828) == pytest.approx(0.1096, abs=5e-5)
    assert lloyd(0.27, 0.6, 0.15) == pytest.approx(0.3600, abs=5e-5)
    assert mccoy(0.27, 0.072) == pytest.approx(0.3170, abs=5e-5)


@trial
@pytest.mark.parametrize(
    ("state", "amps", "years", "midships", "rudder", "kg"),
    [
        ({}, 9.234, 5.90, -808, -802, 0.071),
        ({"earth": "copper earth"}, 9.497, 5.74, -802, -797, 0.089),
        (
            {"earth": "copper earth", "into": injected(3, 0.5)},
            9.528,
            5.72,
            -801,
            -796,
            0.091,
        ),
        ({"into": injected(3, 0.5)}, 9.659, 5.64, -799, -793, 0.102),
        (
            {"into": injected(RUDDER, 0.5, BOARD), "joint": 0.5},
            9.102,
            5.99,
            -810,
            -611,
            1.154,
        ),
        ({"earth": "copper earth", "neighbour": 200.0}, 9.921, 5.49, -793, -788, 0.126),
        ({"earth": "copper earth", "isolator": 1.3}, 9.234, 5.90, -808, -802, 0.071),
        ({"bare": 0.2}, 15.823, 3.44, -674, -672, 55.159),
        ({"flow": 3.7}, 16.074, 3.39, -673, -653, 57.449),
        ({"impressed": 5.0}, 4.758, 11.45, -924, -913, 0.001),
    ],
)
def test_twenty_zincs(
    state: dict[str, object],
    amps: float,
    years: float,
    midships: float,
    rudder: float,
    kg: float,
) -> None:
    net, z = balanced(anodes=zincs(SEA, 5), **state)
    drawn = float(net.flow(z)[0, ZONES : ZONES + 4].sum())
    assert drawn == pytest.approx(amps, rel=0.02)
    life = 720.0 * 0.85 * 780.0 * HOUR / drawn / YEAR
    assert life == pytest.approx(years, rel=0.02)
    assert z[0, 4] * 1e3 == pytest.approx(midships, abs=1.0)
    assert z[0, RUDDER] * 1e3 == pytest.approx(rudder, abs=1.0)
    assert steel_kg(net, z) == pytest.approx(kg, rel=0.02, abs=6e-4)


@trial
@pytest.mark.parametrize(
    ("earth", "amps"),
    [
        ("copper earth", (0.075, 0.135, 0.193, 0.234, 0.265)),
        ("steel in concrete", (0.093, 0.190, 0.262, 0.306, 0.355)),
        ("galvanised earth", (-0.191, -0.214, -0.238, -0.256, -0.277)),
        ("protected quay", (-0.113, -0.134, -0.156, -0.171, -0.186)),
    ],
)
def test_a_shore_earth_polarises(earth: str, amps: tuple[float, ...]) -> None:
    for limit, expected in zip((0.1, 0.3, 1.0, 3.0, 1e5), amps, strict=True):
        net, z = balanced(earth=earth, limit=limit)
        assert -net.flow(z)[0, -1] == pytest.approx(expected, rel=0.02, abs=5e-4)


@trial
def test_pulling_the_plug_shifts_the_hull_by_millivolts() -> None:
    for bare, expected in ((0.01, 10.95), (0.05, 3.73), (0.2, 0.98)):
        on, z = balanced(bare=bare, earth="copper earth")
        _, off = balanced(bare=bare)
        shift = (z[0, 9] - off[0, 9]) / -on.flow(z)[0, -1] * 1e3
        assert shift == pytest.approx(expected, rel=0.02)


def shared(size: Array) -> Array:
    whole = size.sum(axis=0)
    return size / np.where(whole > 0.0, whole, 1.0)


@trial
def test_who_did_it() -> None:
    def made(*on: int) -> GalvanicNetwork:
        into = injected(RUDDER, 0.5 * (2 in on), BOARD)
        into = into + injected(3, 0.5 * ((3 in on) + (4 in on)))
        return network(
            bare=0.03,
            limit=3.0,
            earth_ohm=0.3,
            joint=0.5,
            anodes=zincs(SEA, 4)[:3],
            own=0 in on,
            couple=1 in on,
            into=into,
            earth="copper earth",
        )

    base, full = made(), made(*range(5))
    charged = charges(base, [made(k) for k in range(5)], full)
    before, after = (
        net.dissolution(solve_galvanic(net).potential) for net in (base, full)
    )
    gap = after - before  # an excess is shared among the causes that drive metal out
    out = shared(np.maximum(charged, 0.0)) * np.maximum(gap, 0.0)
    back = shared(np.maximum(-charged, 0.0)) * np.maximum(-gap, 0.0)
    taken = out[:, 0, :17].sum(axis=1) * KG
    assert taken == pytest.approx([0.0851, 0.1389, 1.2316, 0.0232, 0.0232], rel=0.02)
    assert charged[3] == pytest.approx(charged[4], abs=1e-12)  # one fault cut in two
    assert (out - back).sum(axis=0) == pytest.approx(gap, abs=1e-9)
    assert charged.sum(axis=0) == pytest.approx(gap, abs=1e-9)
    eaten = charged[:, 0, ZONES : ZONES + 3].sum(axis=1)  # of the zincs, by cause
    assert eaten == pytest.approx([0.532, 0.412, -0.112, 0.069, 0.069], abs=2e-3)
    lone = charges(base, [made(1)], made(1))[0]
    alone = made(1)
    own = alone.dissolution(solve_galvanic(alone).potential) - before
    assert lone == pytest.approx(own, abs=1e-9)


@trial
def test_alternating_current_beside_a_conductor() -> None:
    for earth, expected in (("copper earth", 0.0900), (None, 0.9919)):
        net = network(into=injected(3, 1.0), earth=earth)
        crossing = net.alternating(60.0, 2.0)[0, :17].sum()
        assert crossing == pytest.approx(expected, rel=0.02)


@pytest.mark.published(
    source="scipy.optimize.root",
    where="three electrodes, two islands, an injected current, an isolator",
    status="computed",
)
@pytest.mark.parametrize("amps", [-3.0, 0.0, 0.02, 40.0])
def test_small_networks_by_a_general_root_finder(amps: float) -> None:
    whole, _ = balanced(earth="copper earth", isolator=0.3, into=injected(3, amps))
    keep = np.array([3, PROPELLER, 18])
    small = replace(
        whole,
        inverse=np.asarray(
            np.linalg.inv(np.diag([0.02, 0.05, 1.0]) + 0.004)[None], dtype=np.float64
        ),
        island=whole.island[keep],
        bare=whole.bare[:, keep],
        paint=whole.paint[:, keep],
        lifted=whole.lifted[:, keep],
    )
    small = replace(
        small,
        laws=Electrodes.of([LAWS[k] for k in ("steel", "bronze", "copper earth")], 1),
    )
    z = solve_galvanic(small).potential

    def left(x: Array) -> Array:
        return np.asarray(small.balance(x[None]).left[0], dtype=np.float64)

    found = root(left, np.asarray(z[0] + 0.01), tol=1e-13)
    assert found.x == pytest.approx(z[0], abs=1e-6)


@pytest.mark.published(
    source="Batt and Robinson, Br. Corros. J. 37(1), 2002, 31",
    where="steel at -770 mV SCE in natural seawater loses 0.001 mm a year: factor 3",
    status="secondary",
)
@pytest.mark.parametrize("rest", [-0.65, -0.68])
def test_steel_under_protection(rest: float) -> None:
    law = Electrodes.of([replace(LAWS["steel"], rest=rest)], 1)
    # a saturated calomel electrode lies some millivolts from Ag/AgCl in seawater
    density = float(law.at(np.array([[-0.77]])).dissolution[0, 0])
    assert 0.001 / 3.0 < density * 1.16 < 0.001 * 3.0  # mm a year for an A/m²


def test_identities_to_a_billionth() -> None:
    rng = np.random.default_rng(2)
    into = np.zeros((32, ZONES))
    into[:, 3] = rng.normal(size=32) * 10.0 ** rng.uniform(-3, 2, 32)
    net, z = balanced(
        samples=32, into=into, anodes=zincs(SEA, 5), earth="copper earth", neighbour=200
    )
    flow, faces = net.flow(z), net.laws.at(z[:, : net.electrodes])
    each = net.bare * (faces.dissolution - faces.oxygen - faces.hydrogen)
    each += net.paint * (z[:, : net.electrodes] - net.laws.rest)
    scale = np.abs(flow).max(axis=1, keepdims=True) + 0.1
    assert (np.abs(flow - each) < 1e-9 * scale).all()
    islands = flow @ net.member - net.total
    for tie in net.ties:
        amps, _ = tie.current(z[:, net.electrodes :])
        islands[:, tie.one] += amps
        islands[:, tie.other] -= amps
    assert (np.abs(islands) < 1e-9 * scale).all()


def test_a_warm_start_ends_where_a_cold_one_does() -> None:
    _, z = balanced(earth="copper earth", anodes=zincs(SEA, 5))
    other, _ = balanced(earth="copper earth", anodes=zincs(SEA, 5), bare=0.06)
    warm, cold = solve_galvanic(other, z), solve_galvanic(other)
    assert warm.potential == pytest.approx(cold.potential, abs=1e-8)
    assert warm.rounds < cold.rounds
