"""Tests of leakage.lamp_pattern, in the order: laws, edges, errors."""

from dataclasses import replace
from itertools import permutations

import numpy as np
import pytest
from leakage.systems import POWER

from corrosion.foundation.errors import InputError
from corrosion.leakage.filament import LampLaw, relative_light
from corrosion.leakage.lamp_pattern import (
    PICTURES,
    least_visible_fault,
    picture,
    picture_of_light,
    visibility_curve,
)
from corrosion.leakage.network import solve
from corrosion.records.ship import LampSet, System

LAW = LampLaw.of(None)
LEGACY = System(
    name="legacy", kind="dc2", volts=220.0, lamps=LampSet(volts=220.0, watts=25.0)
)


@pytest.mark.parametrize("system", [POWER, LEGACY], ids=lambda s: s.name)
def test_least_visible_fault_just_shows(system: System) -> None:
    ohms = least_visible_fault(system)
    volts = solve(system, [(system.conductors[0], ohms)], lamps=True).lamp_volts
    assert volts is not None
    # 1.5 in light is 1.5 ** (1 / 3.4) in volts.
    assert volts.max() / volts.min() == pytest.approx(1.5 ** (1 / 3.4), rel=1e-9)
    _, codes = visibility_curve(system, [0.95 * ohms, 1.05 * ohms])
    assert set(codes[0]) == {1, 3}
    assert set(codes[1]) == {2}


def test_capacitance_hides_faults() -> None:
    stiff = replace(POWER, capacitance=14e-6)
    assert least_visible_fault(stiff) < 0.5 * least_visible_fault(POWER)


def test_the_curve_falls_with_resistance() -> None:
    ratio, _ = visibility_curve(POWER, np.geomspace(1.0, 1e8, 60))
    assert np.all(np.diff(ratio) < 0.0)
    assert ratio[-1] == pytest.approx(1.0, abs=1e-4)


def test_turning_the_lamps_turns_the_picture() -> None:
    light = np.array([0.02, 0.2, 1.0])
    codes = picture_of_light(light, LAW)
    for order in permutations(range(3)):
        assert (
            picture_of_light(light[list(order)], LAW).tolist()
            == codes[[*order]].tolist()
        )


@pytest.mark.parametrize(
    ("light", "words"),
    [
        ([0.0, 1.0, 1.0], ["out", "bright", "bright"]),
        ([0.3, 1.0, 1.2], ["dim", "bright", "bright"]),
        ([0.3, 0.4, 1.2], ["dim", "dim", "bright"]),
        ([0.3, 0.6, 1.2], ["dim", "even", "bright"]),
        ([1.0, 1.2, 1.4], ["even", "even", "even"]),
        ([1.0, 1.2, 1.499], ["even", "even", "even"]),
        ([1.0, 1.2, 1.501], ["dim", "bright", "bright"]),
        ([1.0, 1.002, 1.5015], ["dim", "bright", "bright"]),
        ([0.0, 0.0, 1e-3], ["out", "out", "out"]),
        ([0.0, 1.3], ["out", "bright"]),
    ],
)
def test_words(light: list[float], words: list[str]) -> None:
    assert [PICTURES[code] for code in picture_of_light(np.array(light), LAW)] == words
    volts = 127.0 * np.array(light) ** (1.0 / 3.4)
    assert relative_light(volts, rated_volts=127.0) == pytest.approx(light)
    assert picture(volts, rated_volts=127.0).tolist() == words


def test_refuses_what_cannot_be_seen() -> None:
    with pytest.raises(InputError, match=r"least_visible_fault: .*no detector lamps"):
        least_visible_fault(replace(POWER, lamps=None))
    with pytest.raises(InputError, match="ohms must be > 0 Ω, got -3 Ω"):
        visibility_curve(POWER, [10.0, -3.0])
    blind = replace(POWER, capacitance=10.0, insulation=1e6)
    with pytest.raises(
        InputError, match=r"lamps of 'power' tell no fault between 0.01"
    ):
        least_visible_fault(blind)
