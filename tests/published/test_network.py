"""The network against closed forms, the trade and a circuit simulator."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from circuit_simulator import SPICE, simulated
from published.printed import printed

from corrosion.leakage.network import solve
from corrosion.records.ship import LampSet, System

PURE = System(
    name="power",
    kind="ac3",
    volts=440.0,
    hertz=60.0,
    capacitance=5e-6,
    insulation=1e15,
)


@pytest.mark.published(
    source="Millman's theorem on a purely capacitive three-phase system",
    where="closed form I = √3·ω·C·V",
    status="computed",
)
def test_solid_fault_on_a_capacitive_system() -> None:
    amps = solve(PURE, [("a", 0.0)]).fault_amps[0]
    expected = np.sqrt(3.0) * 2.0 * np.pi * 60.0 * 5e-6 * 440.0
    assert abs(amps) == pytest.approx(expected, rel=1e-8)


@pytest.mark.published(
    source="ngspice, circuit simulator",
    where="440 V 60 Hz, 5 µF and 1 GΩ a phase, 100 Ω",
    status="computed",
)
def test_resistive_fault_against_a_simulated_figure() -> None:
    leaky = replace(PURE, insulation=1e9)  # the simulator needs a path to ground
    assert abs(solve(leaky, [("a", 100.0)]).fault_amps[0]) == printed("1.250444")


@pytest.mark.published(
    source="guide to insulated-neutral installations, 230/400 V 50 Hz",
    where="example of 3,500 Ω a phase",
    status="from memory",
)
def test_guide_example_of_a_healthy_and_a_solid_fault_current() -> None:
    system = System(
        name="guide",
        kind="ac3",
        volts=230.0 * np.sqrt(3.0),
        hertz=50.0,
        capacitance=1.0 / (2.0 * np.pi * 50.0 * 3500.0),
        insulation=1e15,
    )
    healthy = abs(solve(system, []).hull_volts[0]) / 3500.0
    assert healthy * 1e3 == printed("66")
    # The guide prints three times its rounded 66 mA.
    solid = abs(solve(system, [("a", 0.0)]).fault_amps[0])
    assert solid * 1e3 == pytest.approx(198.0, abs=3 * 0.5)


@pytest.mark.published(
    source="closed form of one fault on a balanced system",
    where="I = V·Y/(1 + Y·R), Y = 3(1/R0 + jωC0)",
    status="computed",
)
@pytest.mark.parametrize("ohms", [1e-2, 1.0, 300.0, 1e4, 1e7])
def test_closed_form_of_one_fault(ohms: float) -> None:
    system = System(
        name="s", kind="ac3", volts=690.0, hertz=50.0, capacitance=2e-6, insulation=3e4
    )
    y = 3.0 * (1.0 / 3e4 + 2j * np.pi * 50.0 * 2e-6)
    expected = 690.0 / np.sqrt(3.0) * y / (1.0 + y * ohms)
    assert solve(system, [("a", ohms)]).fault_amps[0] == pytest.approx(
        expected, rel=1e-12
    )


@pytest.mark.published(
    source="the trade: ghost voltage of a healthy ungrounded conductor",
    where="V/√3 on 10 MΩ, a few volts on 3 kΩ",
    status="common practice",
)
def test_ghost_voltage_collapses_under_a_low_impedance_meter() -> None:
    small = System(
        name="s", kind="ac3", volts=440.0, hertz=60.0, capacitance=5e-9, insulation=5e7
    )
    high = np.abs(solve(small, [], meter=10e6).hull_volts)
    low = np.abs(solve(small, [], meter=3e3).hull_volts)
    assert high == pytest.approx(440.0 / np.sqrt(3.0), rel=2e-3)
    assert np.all(low < 5.0)
    big = System(
        name="b", kind="ac3", volts=440.0, hertz=60.0, capacitance=5e-6, insulation=5e7
    )
    firm = np.abs(solve(big, [], meter=3e3).hull_volts)
    assert firm == pytest.approx(440.0 / np.sqrt(3.0), rel=0.02)


@pytest.mark.published(
    source="the trade: two-wire direct current, one pole on the hull",
    where="the other pole stands at line voltage",
    status="common practice",
)
def test_one_pole_on_the_hull() -> None:
    legacy = System(name="legacy", kind="dc2", volts=220.0, insulation=1e5)
    volts = solve(legacy, [("-", 0.0)]).hull_volts
    assert volts == pytest.approx([220.0, 0.0], abs=1e-6)


@SPICE
@pytest.mark.published(
    source="ngspice, circuit simulator, run beside the test",
    where="unbalanced: linear lamps, a meter, two faults",
    status="computed",
)
def test_unbalanced_network_against_a_circuit_simulator(tmp_path: Path) -> None:
    system = System(
        name="s",
        kind="ac3",
        volts=440.0,
        hertz=60.0,
        capacitance=1.4e-6,
        insulation=4e5,
    )
    lamps = [("a", 1075.0), ("b", 1300.0), ("c", 4301.0)]
    faults = [("a", 350.0), ("c", 90.0)]
    phase = {"a": 0.0, "b": -120.0, "c": 120.0}
    netlist = [
        line
        for name in "abc"
        for line in (
            f"v{name} {name} n dc 0 ac {440.0 / np.sqrt(3.0):.15g} {phase[name]}",
            f"c{name} {name} 0 1.4u",
            f"ri{name} {name} 0 400k",
        )
    ]
    netlist += [f"rl{name} {name} 0 {ohms}" for name, ohms in lamps]
    netlist += ["vm1 a x1 dc 0", "rf1 x1 0 350", "vm2 c x2 dc 0", "rf2 x2 0 90"]
    netlist += ["rmeter b 0 3k", ".control", "set numdgt=12", "ac lin 1 60 60"]
    netlist += ["print v(b) i(vm1) i(vm2)", ".endc"]
    asked = ["v(b)", "i(vm1)", "i(vm2)"]
    volts, first, second = simulated(tmp_path, netlist, asked)
    read = solve(system, [*faults, *lamps], meter=3e3).hull_volts[1]
    assert read == pytest.approx(volts, rel=1e-8)
    amps = solve(system, [*faults, *lamps, ("b", 3e3)]).fault_amps
    assert amps[:2] == pytest.approx(np.array([first, second]), rel=1e-8)


@SPICE
@pytest.mark.published(
    source="ngspice, circuit simulator, run beside the test",
    where="two filaments as behavioural sources on direct current",
    status="computed",
)
def test_filaments_against_a_circuit_simulator(tmp_path: Path) -> None:
    system = System(
        name="s",
        kind="dc2",
        volts=220.0,
        insulation=1e5,
        lamps=LampSet(volts=220.0, watts=25.0),
    )
    law = "I=sgn(v({0}))*25/220*pow((v({0})*v({0})+1e-12)/48400,0.275)"
    netlist = ["vp p m dc 220", "rp p 0 100k", "rm m 0 100k", "rf p 0 2k"]
    netlist += [f"b{name} {name} 0 {law.format(name)}" for name in "pm"]
    netlist += [".options reltol=1e-9 abstol=1e-15 vntol=1e-12", ".control"]
    netlist += ["set numdgt=12", "op", "print v(p) v(m)", ".endc"]
    asked = simulated(tmp_path, netlist, ["v(p)", "v(m)"])
    solution = solve(system, [("+", 2e3)], lamps=True)
    assert solution.hull_volts == pytest.approx(np.real(asked), rel=1e-7)
