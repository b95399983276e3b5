"""The world's own network: against a circuit simulator, and by hand."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from circuit_simulator import SPICE, simulated

from corrosion.validation.currents import way_back
from corrosion.validation.phasors import (
    lamps_at_rest,
    least_visible,
    pictures,
    solve,
    star,
)
from corrosion.validation.vessels import Lamps, Supply

SHIP = Supply(
    name="ship service",
    kind="ac3",
    volts=440.0,
    hertz=60.0,
    capacitance=1.4e-6,
    insulation=4e5,
    true_capacitance=1.1e-6,
    true_insulation=2.5e5,
)


@SPICE
@pytest.mark.published(
    source="ngspice, circuit simulator, run beside the test",
    where="validation's network: two faults, an earthed star",
    status="computed",
)
@pytest.mark.parametrize("earth", [0.0, 1.0 / 1.3])
def test_three_phase_faults_as_simulated(tmp_path: Path, earth: float) -> None:
    ohms = np.array([[230.0, 4100.0]])
    mine = solve(SHIP, ohms, np.array([0, 2]), earth=earth)
    deck = []
    for k, (name, phasor) in enumerate(zip("abc", star(SHIP), strict=True)):
        degrees = float(np.degrees(np.angle(phasor)))
        deck += [
            f"V{name} {name} n dc 0 ac {abs(phasor):.10g} {degrees:.10g}",
            f"C{k} {name} 0 {SHIP.true_capacitance}",
            f"R{k} {name} 0 {SHIP.true_insulation}",
        ]
    deck += ["Rone a 0 230", "Rtwo c 0 4100"]
    deck += [f"Rtie n 0 {1.0 / earth if earth else 1e12}"]
    deck += [
        ".control",
        "set numdgt=12",
        "ac lin 1 60 60",
        "print v(a) v(b) v(c)",
        ".endc",
    ]
    volts = simulated(tmp_path, deck, ["v(a)", "v(b)", "v(c)"])
    assert np.abs(mine.volts[0] - volts).max() < 1e-6
    assert mine.fault_amps[0] == pytest.approx(
        [volts[0] / 230.0, volts[2] / 4100.0], rel=1e-6
    )


@SPICE
@pytest.mark.published(
    source="ngspice, circuit simulator, run beside the test",
    where="validation's network: direct current, its lamps as it found them",
    status="computed",
)
def test_direct_current_with_lamps_as_simulated(tmp_path: Path) -> None:
    lamps = Lamps(220.0, 25.0)
    legacy = Supply(
        name="legacy", kind="dc2", volts=220.0, hertz=0.0, capacitance=1e-6,
        insulation=8e4, true_capacitance=1e-6, true_insulation=5e4, lamps=lamps,
    )  # fmt: skip
    mine = solve(legacy, np.array([[900.0]]), np.array([0]))
    hot = 25.0 / 220.0**2
    filament = f"{hot:.12g}*v(X)*min(pow(max(abs(v(X))/220,1e-9),-0.45),12)"
    deck = ["Vs p m 220"]
    for node in "pm":
        deck += [f"R{node} {node} 0 5e4"]
        deck += [f"B{node} {node} 0 I={filament.replace('X', node)}"]
    deck += [
        "Rf p 0 900",
        ".control",
        "set numdgt=12",
        "op",
        "print v(p) v(m)",
        ".endc",
    ]
    volts = simulated(tmp_path, deck, ["v(p)", "v(m)"])
    assert mine.volts[0].real == pytest.approx(np.real(volts), rel=2e-4)


def test_single_phase_earthed_at_one_conductor_by_hand() -> None:
    """230 V through 230 Ω: an ampere on the live wire, none on the earthed one."""
    shore = Supply(
        name="pillar", kind="ac1", volts=230.0, hertz=50.0, capacitance=1e-9,
        insulation=1e9, true_capacitance=1e-9, true_insulation=1e9,
    )  # fmt: skip
    live, earthed = (
        abs(solve(shore, np.array([[230.0]]), np.array([k]), earth=1e6).fault_amps)
        for k in (0, 1)
    )
    assert live[0, 0] == pytest.approx(1.0, rel=1e-5)
    assert earthed[0, 0] < 1e-5


def test_charge_is_kept() -> None:
    mine = solve(SHIP, np.array([[50.0, 900.0]]), np.array([1, 1]), earth=0.4)
    y = 1.0 / SHIP.true_insulation + 2j * np.pi * 60.0 * SHIP.true_capacitance
    whole = (mine.volts[0] * y).sum() + mine.fault_amps[0].sum() + mine.earth_amps[0]
    assert abs(whole) < 1e-9


def test_the_way_back_divides_as_conductances() -> None:
    whole, wet = way_back(0.25, 0.98)
    assert whole == pytest.approx(4.0 + 1.0)
    assert wet == pytest.approx(0.2)
    assert way_back(None, 0.98) == pytest.approx((1.0, 1.0))


def test_what_lamps_show() -> None:
    lamps = Lamps(127.0, 15.0, 2.0)
    lit = replace(SHIP, lamps=lamps)
    shown = least_visible(lit)
    assert 300.0 < shown < 30e3
    volts = solve(lit, np.array([[1.0], [shown * 3.0]]), np.array([0])).volts
    assert pictures(volts, lamps).tolist() == [[0, 3, 3], [2, 2, 2]]
    assert least_visible(SHIP) == 0.0
    assert lamps_at_rest(SHIP) == 0.0
    assert lamps_at_rest(lit) == pytest.approx(3.0 / 500.0)
