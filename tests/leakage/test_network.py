"""Tests of leakage.network, in the order: laws, edges, errors."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from leakage.systems import POWER

from corrosion.foundation.errors import InputError, LookupFailed
from corrosion.leakage.network import solve
from corrosion.leakage.neutral_point import median_admittance
from corrosion.records.ship import Kind, System

HERTZ: dict[Kind, float] = {"ac3": 60.0, "ac1": 50.0, "dc2": 0.0}
ohms = st.one_of(st.just(0.0), st.floats(-3.0, 8.0).map(lambda x: 10.0**x))


@given(
    kind=st.sampled_from(["ac3", "ac1", "dc2"]),
    resistances=st.lists(ohms, min_size=0, max_size=5),
    conductors=st.lists(st.integers(0, 2), min_size=5, max_size=5),
    farads=st.floats(-10.0, -4.0).map(lambda x: 10.0**x),
    lamps=st.booleans(),
)
@settings(deadline=None, max_examples=150)
def test_charge_is_conserved(
    kind: Kind,
    resistances: list[float],
    conductors: list[int],
    farads: float,
    lamps: bool,
) -> None:
    system = replace(POWER, kind=kind, hertz=HERTZ[kind], capacitance=farads)
    names = system.conductors
    faults = [
        (names[k % len(names)], r)
        for k, r in zip(conductors, resistances, strict=False)
    ]
    got = solve(system, faults, lamps=lamps)
    parts = [*got.fault_amps, got.return_amps, *got.lamp_amps]
    charging = median_admittance(system) * got.hull_volts  # what return_amps sums
    largest = max(abs(each) for each in [*parts, *charging])
    assert abs(sum(parts)) <= 1e-9 * largest


@given(first=ohms, second=ohms)
@settings(deadline=None, max_examples=40)
def test_two_faults_on_a_conductor_are_their_parallel(
    first: float, second: float
) -> None:
    both = solve(POWER, [("a", first), ("a", second)])
    r1, r2 = max(first, 1e-9), max(second, 1e-9)
    one = solve(POWER, [("a", r1 * r2 / (r1 + r2))])
    assert both.fault_amps.sum() == pytest.approx(one.fault_amps[0], rel=1e-6)


def test_renaming_the_conductors_in_turn_turns_the_answer() -> None:
    on_a = solve(POWER, [("a", 300.0)], meter=3e3, lamps=True)
    on_b = solve(POWER, [("b", 300.0)], meter=3e3, lamps=True)
    assert np.abs(on_b.hull_volts) == pytest.approx(
        np.roll(np.abs(on_a.hull_volts), 1), rel=1e-9
    )
    assert np.abs(on_b.fault_amps) == pytest.approx(np.abs(on_a.fault_amps), rel=1e-9)


def test_faults_on_two_conductors_carry_the_line_voltage_through_the_hull() -> None:
    amps = solve(POWER, [("a", 1.0), ("b", 2.0)]).fault_amps
    assert np.abs(amps) == pytest.approx(440.0 / 3.0, rel=1e-3)
    assert abs(amps.sum()) < 0.01 * abs(amps[0])


def test_direct_current_is_positive_from_the_circuit_into_the_steel() -> None:
    legacy = System(name="legacy", kind="dc2", volts=220.0, insulation=1e4)
    amps = solve(legacy, [("+", 10.0)]).fault_amps
    # 220 V over the negative's insulation, but for what the positive's own takes.
    assert amps[0] == pytest.approx(220.0 / 1e4, rel=3e-3)
    assert solve(legacy, [("-", 10.0)]).fault_amps[0] == pytest.approx(-amps[0])


def test_a_meter_disturbs_only_the_conductor_that_it_is_on() -> None:
    faults = [("a", 5e3), ("c", 800.0)]
    read = solve(POWER, faults, meter=3e3, lamps=True).hull_volts
    for k, name in enumerate(POWER.conductors):
        alone = solve(POWER, [*faults, (name, 3e3)], lamps=True).hull_volts[k]
        assert read[k] == pytest.approx(alone, rel=1e-9)


def test_currents_are_those_without_the_meter() -> None:
    bare, metered = solve(POWER, [("a", 1e3)]), solve(POWER, [("a", 1e3)], meter=10.0)
    assert metered.fault_amps == pytest.approx(bare.fault_amps)
    assert np.abs(metered.hull_volts[1]) < 0.1 * np.abs(bare.hull_volts[1])


def test_resistances_broadcast() -> None:
    r = np.geomspace(1.0, 1e4, 4)[:, None]
    got = solve(POWER, [("a", r), ("b", np.ones(3))], meter=1e4, lamps=True)
    assert got.fault_amps.shape == (4, 3, 2)
    assert got.hull_volts.shape == got.lamp_amps.shape == (4, 3, 3)
    assert got.return_amps.shape == (4, 3)
    one = solve(POWER, [("a", r[2, 0]), ("b", 1.0)], lamps=True)
    assert got.fault_amps[2, 1] == pytest.approx(one.fault_amps, rel=1e-9)


def test_solid_fault_is_the_limit() -> None:
    solid = solve(POWER, [("a", 0.0)]).fault_amps
    near = solve(POWER, [("a", 1e-6)]).fault_amps
    assert solid == pytest.approx(near, rel=1e-8)


def test_no_fault_no_current() -> None:
    got = solve(POWER, [("a", np.inf)])
    assert abs(got.fault_amps[0]) == 0.0
    assert abs(got.return_amps) < 1e-12
    assert got.lamp_volts is None
    assert not got.lamp_amps.any()


def test_refuses_impossible_resistances() -> None:
    match = r"fault resistance must be >= 0 Ω, got -5 Ω at index \(1,\) \(1 of 2\)"
    with pytest.raises(InputError, match=match):
        solve(POWER, [("a", [1.0, -5.0])])
    with pytest.raises(InputError, match="fault resistance must be >= 0 Ω, got nan"):
        solve(POWER, [("a", np.nan)])
    with pytest.raises(InputError, match="meter resistance must be >= 0 Ω, got -1 Ω"):
        solve(POWER, [], meter=-1.0)


def test_refuses_lamps_and_conductors_that_are_not_there() -> None:
    with pytest.raises(InputError, match="'power' has no detector lamps"):
        solve(replace(POWER, lamps=None), [], lamps=True)
    with pytest.raises(LookupFailed, match=r"no conductor of power .* 'd'; .*known: a"):
        solve(POWER, [("d", 1.0)])
