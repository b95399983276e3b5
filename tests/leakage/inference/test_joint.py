"""Tests of leakage.inference.joint: brute force, laws, edges.

Brute force is another route: a fine grid over both resistances and conductors, the
star point of each point of it from Kirchhoff's laws by numpy's linear solver.
"""

import tracemalloc
from dataclasses import replace

import numpy as np
import pytest

from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.errors import LookupFailed
from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array, IntArray
from corrosion.leakage.inference.evidence import Evidence
from corrosion.leakage.inference.grid import sample_healthy_system
from corrosion.leakage.inference.infer import sample_resistances
from corrosion.leakage.inference.instruments import Instruments
from corrosion.leakage.inference.system_posterior import infer_system
from corrosion.leakage.network import solve
from corrosion.records.ship import LampSet, Readings, System

BARE = System(
    name="power",
    kind="ac3",
    volts=440.0,
    hertz=60.0,
    capacitance=1.4e-6,
    insulation=4e5,
)
OHMS = np.geomspace(1e-2, 1e8, 401)
SAMPLES = 2048
# A test that stands for the fault itself: sharp, so that brute force has a say.
TOOLS = Instruments.of(
    default_assumptions().override("insulation_test_factor", median=1.0, spread=1.0)
)
SLIP = TOOLS.slip
TESTER = TOOLS.insulation_tester


def _volts(one: int, two: int, load: Array) -> Array:
    """Return conductors to hull on the whole grid, shape (grid, grid, 3)."""
    assert BARE.capacitance is not None
    assert BARE.insulation is not None
    source = 440.0 / np.sqrt(3.0) * np.exp(-2j * np.pi * np.arange(3) / 3)
    healthy = 1.0 / BARE.insulation + 2j * np.pi * 60.0 * BARE.capacitance
    y = np.broadcast_to(healthy + load, (len(OHMS), len(OHMS), 3)).copy()
    y[..., one] += 1.0 / OHMS[:, None]
    y[..., two] += 1.0 / OHMS[None, :]
    # Unknowns: three volts to hull and the star point; U_k - N = E_k, sum Y_k U_k = 0.
    matrix = np.zeros((*y.shape[:2], 4, 4), dtype=np.complex128)
    matrix[..., [0, 1, 2], [0, 1, 2]] = 1.0
    matrix[..., :3, 3] = -1.0
    matrix[..., 3, :3] = y
    right = np.zeros((*y.shape[:2], 4, 1), dtype=np.complex128)
    right[..., :3, 0] = source
    found: Array = np.linalg.solve(matrix, right)[..., :3, 0]
    return found


def _read(read: float, shown: Array, width: Array) -> Array:
    """Return the likelihood of a number, with slips of the pen."""
    away = (read - shown) / width
    return SLIP + (1.0 - SLIP) * read / width * np.exp(-0.5 * away**2)


def _likelihood(readings: Readings, place: int, which: int, pair: list[int]) -> Array:
    own = OHMS[:, None] if which == 0 else OHMS[None, :]
    found = np.ones((len(OHMS), len(OHMS)))
    if readings.amps is not None:
        amps = np.abs(_volts(pair[0], pair[1], np.zeros(3))[..., place]) / own
        found *= _read(readings.amps, amps, np.hypot(np.log(1.03) * amps, 0.005))
    for k, volts in enumerate(readings.hull_volts):
        if volts is not None:
            load = np.eye(3)[k] / readings.meter
            shown = np.abs(_volts(pair[0], pair[1], load)[..., k])
            found *= _read(volts, shown, np.hypot(np.log(1.02) * shown, 0.5))
    if readings.insulation is not None:
        away = np.log(readings.insulation / own) / TESTER
        found *= SLIP + (1.0 - SLIP) / TESTER * np.exp(-0.5 * away**2)
    return found


def _by_force(first: Readings, second: Readings) -> tuple[Array, Array]:
    """Return deciles 1, 5, 9 of both resistances, and chances of the conductors.

    The first fault was read before the second began to matter: only its insulation
    test may be given.
    """
    prior = np.exp(-0.5 * (np.log(OHMS / 200.0) / np.log(20.0)) ** 2)
    total = np.zeros((3, 3, len(OHMS), len(OHMS)))
    ones, twos = (
        range(3) if each.conductor is None else ["abc".index(each.conductor)]
        for each in (first, second)
    )
    for one in ones:
        for two in twos:
            chance = prior[:, None] * prior[None, :]
            chance = chance * _likelihood(first, one, 0, [one, two])
            total[one, two] = chance * _likelihood(second, two, 1, [one, two])
    total /= total.sum()
    deciles = []
    for axis in (3, 2):
        share = total.sum(axis=(0, 1, axis))
        below = np.cumsum(share) - 0.5 * share
        deciles.append(np.interp([0.1, 0.5, 0.9], below, np.log(OHMS)))
    return np.array(deciles), total.sum(axis=(2, 3))


def _inferred(
    evidence: list[Evidence], system: System = BARE
) -> tuple[Array, IntArray]:
    uniform = Draws(SAMPLES, 1, default_assumptions()).block("faults", len(evidence))
    found = sample_resistances(
        system,
        evidence,
        uniform=uniform,
        capacitance=np.full(SAMPLES, system.capacitance),
        insulation=np.full(SAMPLES, system.insulation),
        tools=TOOLS,
    )
    return found.resistance, found.pole


TRUE = [("a", 2000.0), ("b", 500.0)]
BOTH = solve(BARE, TRUE, meter=1e7)
AMPS = float(abs(BOTH.fault_amps[1]))
VOLTS = tuple(np.abs(BOTH.hull_volts).tolist())
PARALLEL = solve(BARE, [("a", 2000.0), ("a", 500.0)], meter=3e3)
SAME = float(abs(PARALLEL.hull_volts[1]))


@pytest.mark.parametrize(
    ("first", "second"),
    [
        # nothing known of the first but what the second's readings tell of it
        (Readings(conductor="a"), Readings(conductor="b", amps=AMPS, hull_volts=VOLTS)),
        # tested, and only its current
        (
            Readings(conductor="a", insulation=2300.0),
            Readings(conductor="b", amps=AMPS),
        ),
        # on one conductor volts tell no more than both in parallel
        (
            Readings(conductor="a", insulation=1800.0),
            Readings(
                conductor="a",
                hull_volts=(None, SAME, None),
                meter=3e3,
            ),
        ),
        # neither is known by conductor
        (
            Readings(insulation=2000.0),
            Readings(insulation=450.0, hull_volts=(VOLTS[0], VOLTS[1], None)),
        ),
    ],
    ids=["unread", "tested", "parallel", "unnamed"],
)
def test_a_pair_agrees_with_brute_force(first: Readings, second: Readings) -> None:
    deciles, chances = _by_force(first, second)
    evidence = [
        Evidence(readings=(first,)),
        Evidence(readings=(second,), beside=(0,)),
    ]
    resistance, pole = _inferred(evidence)
    found = np.quantile(np.log(resistance), [0.1, 0.5, 0.9], axis=0).T
    assert found == pytest.approx(deciles, abs=0.04)
    shares = np.histogram2d(pole[:, 0], pole[:, 1], bins=np.arange(4) - 0.5)[0]
    assert shares / SAMPLES == pytest.approx(chances, abs=0.02)


def test_what_is_read_of_the_second_tells_the_first() -> None:
    blank = Readings(conductor="a")
    second = Readings(conductor="b", amps=AMPS, hull_volts=VOLTS)
    apart, _ = _inferred([Evidence.of(blank), Evidence.of(second)])
    beside = [Evidence.of(blank), Evidence(readings=(second,), beside=(0,))]
    together, _ = _inferred(beside)
    assert np.log(apart[:, 0]).std() > 2.5
    low, high = np.quantile(together[:, 0], [0.02, 0.98])
    assert low < 2000.0 < high < 2.5 * low
    assert np.median(together[:, 1]) == pytest.approx(500.0, rel=0.05)


def test_a_company_leaves_those_that_are_alone_as_they_were() -> None:
    second = Evidence(readings=(Readings(conductor="b", amps=AMPS),), beside=(0,))
    single = Evidence.of(Readings(conductor="c", amps=0.1))
    every = [Evidence.of(Readings(conductor="a")), second, single]
    uniform = Draws(256, 2, default_assumptions()).block("faults", 3)
    farads, ohms = sample_healthy_system(BARE, Draws(256, 2, default_assumptions()))
    found = sample_resistances(
        BARE, every, uniform=uniform, capacitance=farads, insulation=ohms, tools=TOOLS
    )
    alone = sample_resistances(
        BARE,
        [single],
        uniform=uniform[:, 2:],
        capacitance=farads,
        insulation=ohms,
        tools=TOOLS,
    )
    assert np.array_equal(found.resistance[:, 2], alone.resistance[:, 0])
    assert np.array_equal(found.pole[:, 2], alone.pole[:, 0])


def test_resistance_grows_with_the_uniform_number_given_the_others() -> None:
    read = Readings(amps=AMPS, hull_volts=VOLTS)
    evidence = [
        Evidence.of(Readings(conductor="a", insulation=2000.0)),
        Evidence(readings=(read,), beside=(0,)),
    ]
    uniform = np.full((400, 2), 0.37)
    uniform[:, 1] = (np.arange(400) + 0.5) / 400
    found = sample_resistances(
        BARE,
        evidence,
        uniform=uniform,
        capacitance=np.full(400, 1.4e-6),
        insulation=np.full(400, 4e5),
        tools=TOOLS,
    ).resistance
    assert np.ptp(found[:, 0]) == 0.0
    assert np.all(np.diff(found[:, 1]) >= 0.0)
    uniform = uniform[:, ::-1]
    found = sample_resistances(
        BARE,
        evidence,
        uniform=uniform,
        capacitance=np.full(400, 1.4e-6),
        insulation=np.full(400, 4e5),
        tools=TOOLS,
    ).resistance
    assert np.all(np.diff(found[:, 0]) > 0.0)


def test_the_order_of_the_faults_does_not_matter() -> None:
    lit = replace(BARE, lamps=LampSet(volts=127.0, watts=15.0, ratio=2.0))
    tested = Readings(conductor="a", insulation=2000.0)
    seen = Readings(lamps=("dim", "out", "bright"), amps=AMPS)
    forth, _ = _inferred(
        [Evidence.of(tested), Evidence(readings=(seen,), beside=(0,))], lit
    )
    back, _ = _inferred(
        [Evidence(readings=(seen,), beside=(1,)), Evidence.of(tested)], lit
    )
    for one, two in ((0, 1), (1, 0)):
        assert np.quantile(np.log(back[:, two]), [0.1, 0.5, 0.9]) == pytest.approx(
            np.quantile(np.log(forth[:, one]), [0.1, 0.5, 0.9]), abs=0.03
        )


def test_a_company_teaches_the_healthy_system() -> None:
    # Two known faults on one conductor: their current tells the capacitance.
    wide = replace(BARE, capacitance=None)
    true = replace(BARE, capacitance=0.4e-6)
    solved = solve(true, [("a", 30.0), ("a", 60.0)])
    evidence = [
        Evidence.of(Readings(conductor="a", insulation=30.0)),
        Evidence(
            readings=(
                Readings(
                    conductor="a",
                    insulation=60.0,
                    amps=float(abs(solved.fault_amps[1])),
                ),
            ),
            beside=(0,),
        ),
    ]
    draws = Draws(2048, 1, default_assumptions())
    farads, ohms = sample_healthy_system(wide, draws)
    taught = infer_system(
        wide,
        evidence,
        uniform=draws.block("learn", 1)[:, 0],
        capacitance=farads,
        insulation=ohms,
        tools=TOOLS,
    ).capacitance
    assert np.median(taught) == pytest.approx(0.4e-6, rel=0.1)
    assert np.log(taught).std() < 0.4 * np.log(farads).std()


def test_refuses_a_conductor_that_is_not_there() -> None:
    second = Evidence(readings=(Readings(conductor="+", amps=0.2),), beside=(0,))
    with pytest.raises(LookupFailed, match=r"no conductor of power .* '\+'"):
        _inferred([Evidence.of(Readings(conductor="a")), second])


def test_a_crowd_is_cut_so_that_no_table_grows_beyond_bounds() -> None:
    # Each stood beside three others, and all hang together.
    rng = np.random.default_rng(1)
    every = [
        Evidence(
            readings=(Readings(amps=0.3, insulation=float(10.0 ** rng.uniform(1, 4))),),
            beside=tuple(sorted(rng.choice(k, min(k, 3), replace=False).tolist())),
        )
        for k in range(12)
    ]
    tracemalloc.start()
    resistance, _ = _inferred(every)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert np.all(np.isfinite(resistance))
    assert peak < 2**30
