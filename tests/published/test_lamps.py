"""Filaments and detector lamps against the handbook and the trade."""

import numpy as np
import pytest
from published.printed import printed

from corrosion.leakage.filament import filament_current, relative_light
from corrosion.leakage.lamp_pattern import picture
from corrosion.leakage.network import solve
from corrosion.records.ship import LampSet, System

POWER = System(
    name="power",
    kind="ac3",
    volts=440.0,
    hertz=60.0,
    capacitance=1.4e-6,
    insulation=4e5,
    lamps=LampSet(volts=220.0, watts=15.0, ratio=2.0),
)


@pytest.mark.published(
    source="Fink & Beaty, Standard Handbook for Electrical Engineers",
    where="light ∝ V^3.4, current ∝ V^0.55: 5 % over voltage",
    status="from memory",
)
def test_five_per_cent_over_voltage() -> None:
    light = relative_light(1.05 * 120.0, rated_volts=120.0)
    assert 100.0 * (light - 1.0) == printed("18.0")
    amps = filament_current(1.05 * 120.0, rated_volts=120.0, rated_watts=60.0)
    assert 100.0 * (amps / 0.5 - 1.0) == printed("2.72")


@pytest.mark.published(
    source="the trade: a solid fault in the lamps",
    where="its lamp is out, the others stand at line voltage",
    status="common practice",
)
def test_full_fault_leaves_one_lamp_out_and_the_others_at_line_voltage() -> None:
    volts = solve(POWER, [("b", 0.0)], lamps=True).lamp_volts
    assert volts is not None
    assert volts == pytest.approx([220.0, 0.0, 220.0], abs=1e-6)
    assert picture(volts, rated_volts=220.0).tolist() == ["bright", "out", "bright"]


@pytest.mark.published(
    source="the trade: a healthy system in the lamps",
    where="all lamps alike, at the voltage to the star point",
    status="common practice",
)
def test_healthy_system_leaves_the_lamps_alike() -> None:
    volts = solve(POWER, [], lamps=True).lamp_volts
    assert volts is not None
    assert volts == pytest.approx(440.0 / np.sqrt(3.0) / 2.0, rel=1e-12)
    assert picture(volts, rated_volts=220.0).tolist() == ["even"] * 3
