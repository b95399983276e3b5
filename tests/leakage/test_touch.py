"""Tests of leakage.touch: by hand, by a network solve of their own, by ngspice."""

from pathlib import Path

import numpy as np
import pytest
from circuit_simulator import SPICE, simulated

from corrosion import read_ship
from corrosion.leakage.touch import healthy_touch, touch_amps
from corrosion.records.ship import System

DATA = Path(__file__).parents[2] / "data"


@pytest.mark.parametrize(
    ("ship", "system", "milliamperes"),
    [
        ("saltmarsh", "main", 385.0),
        ("saltmarsh", "hotel", 181.0),
        ("grey-plover", "ship service", 215.0),
    ],
)
def test_healthy_and_without_lamps_the_demos_can_kill(
    ship: str, system: str, milliamperes: float
) -> None:
    found = healthy_touch(read_ship(DATA / ship).system(system))
    assert 1e3 * found == pytest.approx(milliamperes, rel=0.05)


def test_by_hand_from_the_star_to_the_body() -> None:
    # 690 V, 50 Hz, 4 µF and 2 MΩ a conductor: the three admittances in parallel feed
    # 1,000 Ω from the phase voltage.
    y = 3.0 * (1.0 / 2e6 + 2j * np.pi * 50.0 * 4e-6)
    by_hand = 690.0 / np.sqrt(3.0) * abs(y / (1.0 + 1000.0 * y))
    system = System(
        name="m", kind="ac3", volts=690.0, hertz=50.0, capacitance=4e-6, insulation=2e6
    )
    assert healthy_touch(system) == pytest.approx(by_hand, rel=1e-9)


def test_a_fault_on_another_conductor_by_a_network_of_nodal_equations() -> None:
    system = System(
        name="m", kind="ac3", volts=440.0, hertz=60.0, capacitance=1e-6, insulation=1e6
    )
    own = 1e-6 + 2j * np.pi * 60.0 * 1e-6
    faulted = np.array([own + 1.0 / 150.0, own, own])
    source = np.asarray(system.star_volts)
    worst = 0.0
    for k in range(3):
        y = faulted + np.eye(3)[k] / 1000.0
        # Unknowns: three conductors and the star to hull; three ideal sources between.
        a = np.zeros((4, 4), complex)
        b = np.zeros(4, complex)
        for c in range(3):
            a[c, c], a[c, 3], b[c] = 1.0, -1.0, source[c]
        a[3, :3] = y
        worst = max(worst, abs(np.linalg.solve(a, b)[k]) / 1000.0)
    assert touch_amps(system, faulted) == pytest.approx(worst, rel=1e-9)
    assert 0.99 * 440.0 / 1000.0 > worst > 254.0 / 1000.0  # towards the line voltage


@SPICE
@pytest.mark.parametrize("fault_ohm", [1e12, 150.0])
def test_against_a_circuit_simulator(tmp_path: Path, fault_ohm: float) -> None:
    system = System(
        name="m", kind="ac3", volts=440.0, hertz=60.0, capacitance=1e-6, insulation=1e6
    )
    phase = 440.0 / np.sqrt(3.0)
    worst = 0.0
    for touched in "abc":
        lines: list[str] = []
        for name, turn in (("a", 0), ("b", -120), ("c", 120)):
            lines += [
                f"V{name} {name} star AC {phase:.12g} {turn}",
                f"C{name} {name} 0 1u",
                f"R{name} {name} 0 1e6",
            ]
        lines += [
            f"Rf a 0 {fault_ohm:g}",
            f"Rbody {touched} 0 1000",
            "Rstar star 0 1e15",
        ]
        ask = f"vm({touched})"
        lines += [".control", "ac lin 1 60 60", f"print {ask}", ".endc"]
        (volts,) = simulated(tmp_path, lines, [ask])
        worst = max(worst, volts.real / 1000.0)
    own = 1e-6 + 2j * np.pi * 60.0 * 1e-6
    admittance = np.array([own + 1.0 / fault_ohm, own, own])
    assert touch_amps(system, admittance) == pytest.approx(worst, rel=1e-5)
