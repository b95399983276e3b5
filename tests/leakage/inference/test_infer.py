"""Tests of leakage.inference.infer, in the order: laws, edges, errors."""

from dataclasses import replace

import numpy as np
import pytest
from leakage.systems import POWER, TOOLS

from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.errors import InputError, LookupFailed
from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array
from corrosion.leakage.inference.evidence import Evidence
from corrosion.leakage.inference.grid import sample_healthy_system
from corrosion.leakage.inference.infer import infer_fault, sample_resistances
from corrosion.leakage.inference.instruments import Instruments
from corrosion.leakage.inference.system_posterior import infer_system
from corrosion.leakage.network import solve
from corrosion.leakage.neutral_point import conductor_volts, healthy_admittance
from corrosion.records.ship import Readings, System

BARE = replace(POWER, lamps=None)
PRIOR = np.log(default_assumptions()["fault_ohm"].geometric_sd)
LEGACY = System(name="legacy", kind="dc2", volts=220.0, insulation=1e4)


def learned_capacitance(system: System, readings: list[Readings]) -> Array:
    """Return samples of a system's capacitance from readings of one state of it."""
    draws = Draws(4096, 1, default_assumptions())
    farads, ohms = sample_healthy_system(system, draws)
    return infer_system(
        system,
        [Evidence(readings=tuple(readings))],
        uniform=draws.block("learn", 1)[:, 0],
        capacitance=farads,
        insulation=ohms,
        tools=Instruments.of(draws.assumptions),
    ).capacitance


def _sigma(samples: Array) -> float:
    """Return half of what two thirds span in the logarithm: a slip does not count."""
    low, high = np.quantile(np.log(samples), [0.1587, 0.8413])
    return float(high - low) / 2.0


def test_agrees_with_weighted_prior_samples() -> None:
    # Another route: draw everything from the prior, weigh by the readings' densities.
    rng = np.random.default_rng(5)
    n = 400_000
    r = 200.0 * np.exp(np.log(20.0) * rng.standard_normal(n))
    c = 1.4e-6 * np.exp(np.log(1.3) * rng.standard_normal(n))
    r0 = 4e5 * np.exp(np.log(2.0) * rng.standard_normal(n))
    healthy = healthy_admittance(BARE, capacitance=c, insulation=r0)
    y = healthy[:, None] * np.ones(3, dtype=np.complex128)
    y[:, 0] += 1.0 / r
    amps = np.abs(conductor_volts(BARE.star_volts, y)[:, 0]) / r
    y[:, 2] += 1.0 / 5e3
    volts = np.abs(conductor_volts(BARE.star_volts, y)[:, 2])
    s_amps, s_volts = np.hypot(0.02956 * amps, 0.005), np.hypot(0.0198 * volts, 0.5)
    weight = np.exp(-0.5 * ((0.19 - amps) / s_amps) ** 2) / s_amps
    weight *= np.exp(-0.5 * ((330.0 - volts) / s_volts) ** 2) / s_volts
    order = np.argsort(r)
    share = np.cumsum(weight[order]) / weight.sum()
    expected = r[order][np.searchsorted(share, [0.1, 0.5, 0.9])]
    readings = Readings(
        conductor="a", amps=0.19, hull_volts=(None, None, 330.0), meter=5e3
    )
    found = np.quantile(infer_fault(BARE, readings).resistance, [0.1, 0.5, 0.9])
    assert np.log(found) == pytest.approx(np.log(expected), abs=0.06)


@pytest.mark.parametrize("system", [POWER, BARE], ids=["lamps", "bare"])
def test_finds_a_fault_from_its_volts(system: System) -> None:
    lit = system.lamps is not None
    read = np.abs(solve(system, [("b", 700.0)], meter=3e3, lamps=lit).hull_volts)
    volts = tuple(float(v) for v in read)
    found = infer_fault(system, Readings(hull_volts=volts, meter=3e3))
    low, middle, high = np.quantile(found.resistance, [0.02, 0.5, 0.98])
    assert low < 700.0 < high < 4.0 * low
    assert middle == pytest.approx(700.0, rel=0.15)
    assert (found.pole == 1).mean() > 0.99


def test_the_lamps_point_to_the_conductor() -> None:
    seen = Readings(lamps=("bright", "bright", "out"))
    found = infer_fault(POWER, seen)
    assert (found.pole == 2).mean() > 0.95
    assert np.quantile(found.resistance, 0.9) < 300.0


def test_lamps_all_alike_leave_only_faults_that_they_hide() -> None:
    found = infer_fault(POWER, Readings(conductor="a", lamps=("even", "even", "even")))
    assert np.median(found.resistance) > 7000.0


def test_a_clamped_current_is_the_networks_within_the_clamps_tolerance() -> None:
    found = infer_fault(LEGACY, Readings(amps=-0.012))
    assert np.median(found.amps) == pytest.approx(-0.012, rel=0.15)
    low, high = np.quantile(found.amps, [0.1587, 0.8413])  # mostly the last digit
    assert high - low < 2.2 * np.hypot(0.012 * np.log(1.03), 0.005)
    assert (found.pole == 1).mean() > 0.95  # the minus sign tells the conductor


def test_a_plus_sign_is_seldom_written_and_tells_nothing() -> None:
    found = infer_fault(LEGACY, Readings(amps=0.015))
    assert (found.pole == 1).mean() == pytest.approx(0.5, abs=0.05)
    named = infer_fault(LEGACY, Readings(amps=0.015, conductor="-"))
    assert np.all(named.amps <= 0.0)


def test_computed_current_follows_the_network() -> None:
    tested = Readings(conductor="a", insulation=900.0)
    beside = Evidence(readings=(tested,), others=(("b", 3e3),))
    found = infer_fault(POWER, beside, samples=64)
    for k in (0, 31, 63):
        system = replace(
            POWER,
            capacitance=float(found.capacitance[k]),
            insulation=float(found.insulation[k]),
        )
        faults = [("a", found.resistance[k]), ("b", 3e3)]
        solved = solve(system, faults, lamps=True)
        assert found.amps[k] == pytest.approx(abs(solved.fault_amps[0]), rel=1e-9)


def test_a_pair_of_meters_tells_the_capacitance() -> None:
    true = replace(BARE, capacitance=0.2e-6, insulation=5e5)
    unknown = replace(BARE, capacitance=None, insulation=None)
    pair = []
    for meter in (10e6, 3e3):
        read = np.abs(solve(true, [], meter=meter).hull_volts)
        volts = tuple(float(v) for v in read)
        pair.append(Readings(hull_volts=volts, meter=meter))
    learned = learned_capacitance(unknown, pair)
    assert np.median(learned) == pytest.approx(0.2e-6, rel=0.2)
    alone = learned_capacitance(unknown, pair[:1])
    assert np.log(learned).std() < 0.4 * np.log(alone).std()


def test_another_fault_beside_it_explains_the_volts() -> None:
    solved = solve(BARE, [("a", 500.0), ("c", 2e3)], meter=1e7)
    volts = tuple(float(v) for v in np.abs(solved.hull_volts))
    readings = Readings(conductor="a", hull_volts=volts)
    beside = Evidence(readings=(readings,), others=(("c", 2e3),))
    found = infer_fault(BARE, beside)
    assert np.median(found.resistance) == pytest.approx(500.0, rel=0.1)
    truth = abs(solved.fault_amps[0])
    assert np.median(found.amps) == pytest.approx(truth, rel=0.1)
    alone = infer_fault(BARE, readings)
    assert abs(np.log(np.median(alone.resistance) / 500.0)) > 0.2


def test_samples_of_many_faults_are_those_of_each_alone() -> None:
    draws = Draws(256, 2, default_assumptions())
    farads, ohms = sample_healthy_system(POWER, draws)
    readings = [
        Readings(conductor="a", amps=0.2),
        Readings(),
        Readings(lamps=("out", "bright", "bright")),
        Readings(conductor="a", amps=0.2),
    ]
    uniform = draws.block("faults", len(readings))
    together = sample_resistances(
        POWER,
        readings,
        uniform=uniform,
        capacitance=farads,
        insulation=ohms,
        tools=TOOLS,
    )
    for k, each in enumerate(readings):
        alone = sample_resistances(
            POWER,
            [each],
            uniform=uniform[:, k : k + 1],
            capacitance=farads,
            insulation=ohms,
            tools=TOOLS,
        ).resistance
        assert together.resistance[:, k] == pytest.approx(alone[:, 0])


def test_each_sample_is_given_its_own_system() -> None:
    # Half of the samples have ten times the capacitance: the same current through
    # the clamp then means a much higher resistance.
    farads = np.repeat([0.5e-6, 5e-6], 200)
    uniform = np.tile((np.arange(200) + 0.5) / 200, 2)[:, None]
    found = sample_resistances(
        BARE,
        [Readings(conductor="a", amps=0.14)],
        uniform=uniform,
        capacitance=farads,
        insulation=np.full(400, 4e5),
        tools=TOOLS,
    ).resistance[:, 0]
    small, large = np.median(found[:200]), np.median(found[200:])
    for r, c in ((small, 0.5e-6), (large, 5e-6)):
        system = replace(BARE, capacitance=c)
        amps = abs(solve(system, [("a", r)]).fault_amps[0])
        assert amps == pytest.approx(0.14, rel=0.1)
    assert large > 2.0 * small


def test_what_was_read_teaches_the_system_once() -> None:
    # A solid fault draws 3 V w C: a clamp wrong by a fifth says as much of C. Beside
    # the prior that leaves 1 / sqrt(1 / 0.18^2 + 1 / 0.26^2) = 0.15 of its logarithm;
    # 0.12 if the second round counted what the first has drawn by.
    table = default_assumptions().override(
        "clamp_factor", median=1.0, spread=1.2, why="a poor clamp"
    )
    draws = Draws(4096, 1, table)
    farads, ohms = sample_healthy_system(BARE, draws)
    solid = Readings(conductor="a", amps=0.402, insulation=0.1)
    found = infer_system(
        BARE,
        [Evidence(readings=(solid,))],
        uniform=draws.block("learn", 1)[:, 0],
        capacitance=farads,
        insulation=ohms,
        tools=Instruments.of(table),
    ).capacitance
    prior, read = _sigma(farads), np.log(1.2)
    expected = 1.0 / np.sqrt(1.0 / prior**2 + 1.0 / read**2)
    assert _sigma(found) == pytest.approx(expected, rel=0.06)


def test_no_faults_no_samples() -> None:
    farads, ohms = sample_healthy_system(POWER, Draws(8, 1, default_assumptions()))
    found = sample_resistances(
        POWER,
        [],
        uniform=np.empty((8, 0)),
        capacitance=farads,
        insulation=ohms,
        tools=TOOLS,
    )
    assert found.resistance.shape == found.pole.shape == (8, 0)
    same = infer_system(
        POWER,
        [],
        uniform=np.full(8, 0.5),
        capacitance=farads,
        insulation=ohms,
        tools=TOOLS,
    ).capacitance
    assert set(same) <= set(farads)


def test_the_user_may_restate_an_instrument() -> None:
    test = Readings(conductor="a", insulation=1000.0)
    usual = infer_fault(BARE, test).resistance
    poor = default_assumptions().override(
        "insulation_tester_factor", median=1.0, spread=2.0, why="old"
    )
    wide = infer_fault(BARE, test, assumptions=poor).resistance
    stands_for = np.log(2.0)  # of an isolated branch for the fault in service
    for found, tester in ((usual, np.log(1.15)), (wide, np.log(2.0))):
        expected = 1.0 / np.sqrt(1.0 / (tester**2 + stands_for**2) + 1.0 / PRIOR**2)
        assert _sigma(found) == pytest.approx(expected, rel=0.05)


def test_refuses_what_the_system_does_not_have() -> None:
    with pytest.raises(LookupFailed, match=r"no conductor of legacy \(dc2\) 'b'"):
        infer_fault(LEGACY, Readings(conductor="b"))
    with pytest.raises(InputError, match="lamps are noted but the system has none"):
        infer_fault(BARE, Readings(lamps=("out", None, None)))
