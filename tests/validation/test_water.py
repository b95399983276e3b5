"""Electrodes in water: conservation, a hand solution, and limiting cases."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from circuit_simulator import SPICE, simulated
from scipy.optimize import brentq

from corrosion.validation import water
from corrosion.validation.life import Circumstances, Life, live
from corrosion.validation.nature import DAY, NOW, YEAR, Nature
from corrosion.validation.voyages import Stay
from corrosion.validation.water import Hull, Laws, Shore, Surface
from corrosion.validation.welding import Weld, welded
from corrosion.validation.zinc import ZINC_V, wear


@pytest.fixture(scope="module")
def ship() -> Life:
    return live("coaster", 3, Circumstances())


@pytest.fixture(scope="module")
def hull(ship: Life) -> Hull:
    return water.hull_of(ship.vessel, ship.nature)


def tied(rest: float, limit: float = 1e3) -> Shore:
    return Shore(np.array([0.8]), np.array([rest]), np.array([limit]), np.ones(1))


def surface(hull: Hull, zinc: float = 0.0) -> Surface:
    some = np.full((1, len(hull.area)), 0.05)
    on = np.where(hull.bronze < 0.5, zinc, 0.0)[None]
    return Surface(some, some, np.ones(1), np.zeros(1), on)


def solved(
    hull: Hull,
    *,
    zinc: float = 0.0,
    injected: np.ndarray | float = 0.0,
    shore: Shore | None = None,
) -> tuple[np.ndarray, np.ndarray]:
    into = np.zeros((1, len(hull.area))) + injected
    shore = shore or Shore.none(np.ones(1))
    return water.direct(hull, surface(hull, zinc), injected=into, shore=shore)


@pytest.mark.published(
    source="scipy, Brent's method on one mixed potential",
    where="steel and bronze in one water, no resistance",
    status="computed",
)
def test_two_metals_share_one_potential(hull: Hull) -> None:
    """With no resistance anywhere the whole hull stands at one mixed potential."""
    n = len(hull.area)
    short = replace(hull, water=1e-9 * hull.water)
    short = replace(short, steel=1e6 * hull.steel)
    potential, dissolved = solved(short)
    assert np.ptp(potential) < 1e-4

    def whole(e: float) -> float:
        at = np.full((1, n), e)
        return float(water._electrode(short, surface(short), at)[0].sum())

    mixed = brentq(whole, -0.8, -0.3)
    assert potential.mean() == pytest.approx(mixed, abs=1e-5)
    up = 10.0 ** ((mixed - water.REST["steel"]) / hull.laws.slope)
    steel = hull.bronze < 0.5
    assert dissolved[0, steel] == pytest.approx(0.05 * up, rel=1e-3)


@SPICE
@pytest.mark.published(
    source="ngspice, circuit simulator, run beside the test",
    where="validation's electrodes in water: zinc, a shore earth, two amperes put in",
    status="computed",
)
def test_electrodes_as_simulated(tmp_path: Path, hull: Hull) -> None:
    """Every electrode's law typed anew, between its node of steel and one of water."""
    n, shore = len(hull.area), tied(-0.35, limit=1.5)
    into = np.zeros((1, n))
    into[0, 2] = 2.0
    given = surface(hull, zinc=0.3)
    potential, _ = solved(hull, zinc=0.3, injected=into, shore=shore)
    conducts = np.linalg.inv(hull.water)  # of the water, between and to remote earth
    deck = ["I2 0 s2 2.0"]
    pull = f"{shore.tie[0]}*(v(s{hull.board})-({shore.rest[0]}))/{shore.limit[0]}"
    deck += [f"Bshore s{hull.board} 0 I={shore.limit[0]}*tanh({pull})"]
    for a in range(n):
        deck += [f".nodeset v(s{a})={hull.rest[a]} v(w{a})=0"]
        deck += [f"Rw{a} w{a} 0 {1.0 / conducts[a].sum():.12g}"]
        deck += [f"B{a} s{a} w{a} I={_typed(hull, given, a, f'(v(s{a})-v(w{a}))')}"]
        for b in range(a):
            if conducts[a, b] < 0.0:
                deck += [f"Rw{a}x{b} w{a} w{b} {-1.0 / conducts[a, b]:.12g}"]
            if hull.steel[a, b] < 0.0:
                deck += [f"Rs{a}x{b} s{a} s{b} {-1.0 / hull.steel[a, b]:.12g}"]
    asked = [f"v(s{a},w{a})" for a in range(n)]
    deck += [".options reltol=1e-9 vntol=1e-11 abstol=1e-11 itl1=2000", ".control"]
    deck += ["set numdgt=12", "op", *(f"print {each}" for each in asked), ".endc"]
    theirs = np.real(simulated(tmp_path, deck, asked))
    assert np.abs(potential[0] - theirs).max() < 1e-6


def _typed(hull: Hull, given: Surface, k: int, volts: str) -> str:
    """Return the law of an electrode as a simulator reads it, after its equations."""
    up = f"({volts}-({hull.rest[k]}))"
    area, bare, zinc = hull.area[k], given.bare[0, k], given.zinc[0, k]
    if hull.bronze[k]:
        return f"{area * 0.15}*tanh({up}/0.06)+{zinc}*({volts}-({ZINC_V}))"
    limit, natural = hull.laws.limit, given.natural[0, k]
    gas = 10.0 ** (-0.45 / 0.12)
    anodic = f"pow(10,{up}/{hull.laws.slope})"
    oxygen = f"{1.0 - gas}*{limit}/(1+{limit - 1.0}*pow(10,{up}/0.12))"
    net = f"{area * bare * natural}*({anodic}-{oxygen}-{gas}*pow(10,-{up}/0.12))"
    paint = area * (1.0 - bare) / hull.laws.paint
    return f"{net}+{paint}*{up}+{zinc}*({volts}-({ZINC_V}))"


def test_a_current_put_in_comes_out(hull: Hull) -> None:
    n = len(hull.area)
    into = np.zeros((1, n))
    into[0, 2] = 1.5
    potential, _ = solved(hull, injected=into)
    current = water._electrode(hull, surface(hull), potential)[0]
    assert current.sum() == pytest.approx(1.5, abs=1e-5)
    back = into.copy()
    back[0, hull.board] -= 1.5
    potential, _ = solved(hull, injected=back)
    current = water._electrode(hull, surface(hull), potential)[0]
    assert current.sum() == pytest.approx(0.0, abs=1e-5)


def test_copper_ashore_takes_and_zinc_spares(hull: Hull) -> None:
    _, alone = solved(hull)
    _, copper = solved(hull, shore=tied(-0.35))
    _, zinc = solved(hull, shore=tied(-0.95))
    steel = hull.bronze < 0.5
    assert (copper[0, steel] > alone[0, steel]).all()
    assert (zinc[0, steel] < alone[0, steel]).all()


def test_an_earth_passes_no_more_than_its_limit(hull: Hull) -> None:
    """What leaves the metals is what the shore takes; as much as one ampere."""
    through = []
    for limit in (1e3, 0.05):
        potential, _ = solved(hull, shore=tied(-0.35, limit))
        out = water._electrode(hull, surface(hull), potential)[0]
        at = potential[0, hull.board] + (hull.water @ out[0])[hull.board]
        shore = limit * np.tanh(0.8 * (at + 0.35) / limit)
        assert out.sum() == pytest.approx(-shore, abs=1e-5)
        through.append(float(out.sum()))
    assert through[0] > 0.1
    assert through[1] == pytest.approx(0.05, rel=0.05)


def test_a_large_current_dissolves_by_faraday(hull: Hull) -> None:
    """Far above rest oxygen is idle, and nearly all that leaves is iron."""
    lone = replace(hull, laws=Laws(slope=0.058, limit=2.0, paint=1e9))
    n = len(hull.area)
    into = np.full((1, n), 1.0) * (hull.bronze < 0.5) * hull.area * 0.05 * 5.0
    _, dissolved = solved(lone, injected=into)
    out = (dissolved * hull.area * 0.05).sum()
    assert out == pytest.approx(into.sum(), rel=0.06)


@pytest.mark.published(
    source="capacity of a prolate spheroid (Landau & Lifshitz, from memory)",
    where="half of it in half a space, against the hull's plates together",
    status="from memory",
)
def test_the_hull_as_one_electrode(ship: Life, hull: Hull) -> None:
    """Every plate screens the others, and all together resist as a hull should."""
    inverse = np.linalg.inv(hull.water)
    assert (inverse - np.diag(np.diag(inverse)) <= 1e-12).all()
    assert (inverse.sum(axis=1) > 0.0).all()
    of = ship.vessel.of
    long, thick = 0.5 * of.length, (0.5 * of.beam * of.draught) ** 0.5
    focus = (long**2 - thick**2) ** 0.5
    full = ship.vessel.resistivity * np.arctanh(focus / long) / (4.0 * np.pi * focus)
    assert 1.0 / inverse.sum() == pytest.approx(2.0 * full, rel=0.3)


def test_zinc_gives_what_steel_and_bronze_take(hull: Hull) -> None:
    """Charge is kept; steel is spared; where zinc is plenty it stands near zinc."""
    _, bare = solved(hull)
    stands, spared = solved(hull, zinc=2.0)
    out = water._electrode(hull, surface(hull, 2.0), stands)[0]
    assert out.sum() == pytest.approx(0.0, abs=1e-4)
    steel = hull.bronze < 0.5
    assert (spared[0, steel] < 0.3 * bare[0, steel]).all()
    near, _ = solved(hull, zinc=1e4)
    assert near[0, steel] == pytest.approx(ZINC_V, abs=0.01)


def test_zinc_is_eaten_by_what_it_gives(ship: Life) -> None:
    """Half an ampere eats 12 kg (7,956 A h) in 1.8 years; a docking renews it."""
    voyages = replace(ship.voyages, dockings=np.array([NOW - 2.0 * YEAR]))
    yearly = NOW - np.arange(6.0, -1.0, -1.0) * YEAR
    there, left = wear(lambda share: 0.5 * share, np.array([1]), voyages, yearly)
    assert there[:, 0].tolist() == [1.0, 1.0, 0.0, 0.0, 1.0, 1.0, 0.0]
    assert left[0] == pytest.approx(max(1.0 - 2.0 * 0.5 * 8766.0 / 7956.0, 0.0))
    _, little = wear(lambda share: 0.2 * share, np.array([1]), voyages, yearly)
    assert little[0] == pytest.approx(1.0 - 2.0 * 0.2 * 8766.0 / 7956.0)


def test_welding_takes_the_water_where_its_clamp_is_ashore(hull: Hull) -> None:
    """By hand: beside the work nothing, ashore without conductor all of it."""
    job = Weld(
        start=0.0, end=DAY, plate=0, clamp=0, amps=100.0, share=0.5, told=True,
        stay=Stay(start=0.0, end=YEAR, words="quay", supply="shore isolated"),
    )  # fmt: skip
    edge = np.array([0.0, DAY, YEAR])
    beside, ashore = (
        welded((replace(job, clamp=clamp),), edge, hull.near, hull.board)
        for clamp in (0, None)
    )
    assert not beside.any()
    assert ashore.sum(axis=1) == pytest.approx([50.0, 0.0])
    assert job.charge_ah == pytest.approx(50.0 * 24.0)
    cable = replace(job, clamp=None, stay=replace(job.stay, cable=0.1, shore=0.9))
    part = welded((cable,), edge, hull.near, hull.board)[0].sum()
    assert part == pytest.approx(50.0 * 0.1 / (0.1 + 0.92))


def test_less_salt_lets_less_of_a_couple_through(hull: Hull) -> None:
    """Water ten times as resistive spreads a plate's current less far."""
    into = np.zeros((1, len(hull.area)))
    into[0, 0], into[0, 5] = 20.0, -20.0
    salty, brackish = (
        solved(hull, injected=into, shore=Shore.none(np.array([times])))[1][0]
        for times in (1.0, 10.0)
    )
    assert brackish[0] < salty[0]


def test_alternating_current_goes_where_metal_is_bare(hull: Hull) -> None:
    n = len(hull.area)
    bare = np.full((1, n), 0.02)
    into = np.zeros((1, n), np.complex128)
    into[0, 1] = 2.0
    still = Shore.none(np.ones(1))
    density = water.alternating(hull, bare=bare, injected=into, shore=still)
    metal = hull.area * np.where(hull.bronze > 0.5, 1.0, 0.02)
    assert (density[0] * metal).sum() == pytest.approx(2.0, rel=0.05)
    doubled = water.alternating(hull, bare=bare, injected=2.0 * into, shore=still)
    assert doubled == pytest.approx(2.0 * density)


def test_riveted_seams_stand_in_series_with_the_plates() -> None:
    """One strip by hand: two sections of a side, their girth wide, one run long."""
    vessel = live("museum", 4, Circumstances()).vessel
    plain = replace(vessel, of=replace(vessel.of, seams=0.0))
    riveted, whole = (-water.hull_of(v, Nature(seed=4)).steel for v in (vessel, plain))
    wet = [plate for plate in vessel.plates if plate.wet]
    names = [plate.zone for plate in wet]
    a, b = names.index("1-P-SID"), names.index("2-P-SID")
    sheet = 1.6e-7 / (1e-3 * min(wet[a].built_mm, wet[b].built_mm))
    assert whole[a, b] / riveted[a, b] == pytest.approx((sheet + 2.5e-5) / sheet)


def test_a_turning_shaft_without_a_brush_is_a_weaker_cathode(hull: Hull) -> None:
    """By hand: what the oil film lets through of what half a volt or less drives."""
    at_rest = surface(hull)
    bronze = hull.bronze > 0.5

    def drawn(turns: float, ohms: float) -> float:
        g = hull.turning / hull.turning[bronze][:, bronze] * (1.0 / ohms - 500.0)
        apart = replace(hull, turning=g)
        state = replace(at_rest, turns=np.array([turns]))
        none = np.zeros((1, len(hull.area)))
        potential, _ = water.direct(
            apart, state, injected=none, shore=Shore.none(np.ones(1))
        )
        current, _, _ = water._electrode(apart, state, potential)
        return -float(current[0, bronze].sum())

    still = drawn(0.0, 10.0)
    assert drawn(1.0, 2e-3) == pytest.approx(still, rel=1e-9)  # a brush as at rest
    assert still > drawn(0.3, 10.0) > drawn(1.0, 10.0)
    assert 0.0 < drawn(1.0, 10.0) < 0.5 / 10.0
