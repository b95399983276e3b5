"""Tests of leakage.inference.consistency."""

from dataclasses import replace

import numpy as np
import pytest
from leakage.systems import POWER

from corrosion.leakage.inference.consistency import contradictions
from corrosion.leakage.network import solve
from corrosion.records.ship import LampSet, Readings, System


@pytest.mark.parametrize("ohms", [1.0, 100.0, 3e3, 1e5])
def test_readings_of_one_fault_agree(ohms: float) -> None:
    base = solve(POWER, [("c", ohms)], meter=3e3, lamps=True)
    readings = Readings(
        conductor="c",
        amps=float(abs(base.fault_amps[0])),
        hull_volts=tuple(float(v) for v in np.abs(base.hull_volts)),
        meter=3e3,
        insulation=ohms,
    )
    assert contradictions(POWER, readings) == ()


def test_names_the_pair() -> None:
    readings = Readings(conductor="a", amps=0.3, insulation=1e6)
    [found] = contradictions(POWER, readings)
    assert found.startswith(
        "the clamp reading of 0.3 A and the insulation test of 1e+06 Ω contradict each "
        "other: no one fault gives both (off by "
    )


def test_names_what_no_fault_gives() -> None:
    [found] = contradictions(POWER, Readings(conductor="b", amps=9.0))
    assert found.startswith("the clamp reading of 9 A: no fault on b of power gives")


def test_a_lamp_out_on_another_conductor_contradicts() -> None:
    seen = Readings(conductor="a", lamps=("bright", "out", "bright"))
    [found] = contradictions(POWER, seen)
    assert "the lamps (a bright, b out, c bright): no fault on a of power" in found


def test_direct_current_the_wrong_way_round() -> None:
    legacy = System(name="legacy", kind="dc2", volts=220.0, insulation=1e4)
    # The conductor gives the direction: a clamp shows a magnitude.
    for amps in (-0.02, 0.02):
        assert contradictions(legacy, Readings(conductor="-", amps=amps)) == ()
    [found] = contradictions(legacy, Readings(conductor="-", amps=0.9))
    assert "the clamp reading of 0.9 A: no fault on - of legacy" in found


def test_direct_current_that_the_insulation_cannot_return() -> None:
    # The same half ampere through three lamps is well possible.
    direct = Readings(conductor="a", amps=0.6, current="dc")
    dark = replace(POWER, lamps=None)
    [found] = contradictions(dark, direct)
    assert found.startswith("the direct clamp reading of 0.6 A: no fault on a of power")
    lit = replace(POWER, lamps=LampSet(volts=254.0, watts=25.0))
    assert contradictions(lit, replace(direct, amps=0.2)) == ()


def test_three_that_agree_in_pairs_only() -> None:
    # One volt that calls for 2 kΩ, a test and a current each three deviations off.
    amps = abs(solve(POWER, [("a", 2000.0)], lamps=True).fault_amps[0])
    volts = np.abs(solve(POWER, [("a", 2000.0)], lamps=True, meter=1e7).hull_volts)
    readings = Readings(
        conductor="a",
        amps=float(amps) * 2.2,
        hull_volts=(float(volts[0]), None, float(volts[2])),
        insulation=2000.0 * 12.0,
    )
    found = contradictions(POWER, readings)
    assert found
    assert contradictions(POWER, Readings(conductor="a")) == ()
