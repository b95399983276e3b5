"""Tests of leakage.lamp_load, in the order: laws, edges, errors."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import root

from corrosion.foundation.errors import ValidityWarning
from corrosion.foundation.types import Array
from corrosion.leakage.filament import LampLaw, filament_current, relative_light
from corrosion.leakage.lamp_load import conductor_volts_with_lamps
from corrosion.records.ship import LampSet, System

POWER = System(name="power", kind="ac3", volts=440.0, hertz=60.0)
LAW = LampLaw.of(None)
LAMPS = LampSet(volts=127.0, watts=15.0, ratio=2.0)


def test_a_lamp_at_rated_volts_is_what_is_stamped_on_it() -> None:
    assert filament_current(120.0, rated_volts=120.0, rated_watts=60.0) == 0.5
    assert relative_light(120.0, rated_volts=120.0) == 1.0


@given(volts=st.floats(5.0, 500.0), factor=st.floats(1.01, 3.0))
@settings(deadline=None, max_examples=40)
def test_exponents(volts: float, factor: float) -> None:
    both = np.array([volts, factor * volts])
    amps = filament_current(both, rated_volts=120.0, rated_watts=60.0)
    assert np.log(amps[1] / amps[0]) / np.log(factor) == pytest.approx(0.55)
    light = relative_light(both, rated_volts=120.0)
    assert np.log(light[1] / light[0]) / np.log(factor) == pytest.approx(3.4)


@given(seed=st.integers(0, 2**32 - 1))
@settings(deadline=None, max_examples=25)
def test_agrees_with_a_general_root_finder(seed: int) -> None:
    rng = np.random.default_rng(seed)
    y = 10.0 ** rng.uniform(-6, -2, 3) + 1j * 10.0 ** rng.uniform(-5, -2.5, 3)

    def into_the_hull(star: Array) -> list[float]:
        u = POWER.star_volts + complex(star[0], star[1])
        lamp = filament_current(np.abs(u) / 2.0, rated_volts=127.0, rated_watts=15.0)
        total = (y * u + lamp / 2.0 * u / np.abs(u)).sum()
        return [1e3 * total.real, 1e3 * total.imag]

    found = root(into_the_hull, [1.0, 1.0], tol=1e-13)
    expected = POWER.star_volts + complex(found.x[0], found.x[1])
    volts, _ = conductor_volts_with_lamps(POWER.star_volts, y, LAMPS, law=LAW)
    assert volts == pytest.approx(expected, rel=1e-6)


@given(seed=st.integers(0, 2**32 - 1), dc=st.booleans())
@settings(deadline=None, max_examples=40)
def test_the_lamps_draw_what_their_law_says(seed: int, dc: bool) -> None:
    rng = np.random.default_rng(seed)
    source = np.array([110.0, -110.0]) if dc else POWER.star_volts
    shape = (7, len(source))
    y = 10.0 ** rng.uniform(-9, 9, shape) * (rng.random(shape) < 0.7)
    if not dc:
        y = y + 1j * 10.0 ** rng.uniform(-8, -2, shape)
    tie = 10.0 ** rng.uniform(-6, 1, 7) * (rng.random(7) < 0.5)
    volts, lamp = conductor_volts_with_lamps(source, y, LAMPS, tie, law=LAW)
    amps = filament_current(np.abs(volts) / 2.0, rated_volts=127.0, rated_watts=15.0)
    assert lamp * np.abs(volts) == pytest.approx(amps / 2.0, rel=1e-9)
    star = volts[:, 0] - source[0]
    total = ((y + lamp) * volts).sum(axis=-1) + tie * star
    largest = np.abs((y + lamp) * volts).max(axis=-1)
    assert np.all(np.abs(total) <= 1e-9 * largest + 1e-12)


def test_transformer_turns_volts_and_amps() -> None:
    bare = LampSet(volts=254.0, watts=15.0, ratio=1.0)  # the same load on the line
    y = np.array([1e-3, 0.0, 0.0]) + 5e-4j
    turned, _ = conductor_volts_with_lamps(POWER.star_volts, y, LAMPS, law=LAW)
    direct, _ = conductor_volts_with_lamps(POWER.star_volts, y, bare, law=LAW)
    assert turned == pytest.approx(direct, rel=1e-9)


def test_a_cold_filament_conducts_within_bounds() -> None:
    amps = filament_current([0.0, 1e-6, 0.12], rated_volts=120.0, rated_watts=60.0)
    assert amps[0] == 0.0
    assert amps[1:] / [1e-6, 0.12] == pytest.approx(12.0 * 60.0 / 120.0**2)


def test_no_lamps_draw_nothing() -> None:
    volts, lamp = conductor_volts_with_lamps(
        POWER.star_volts, np.full(3, 1e-3j), None, law=LAW
    )
    assert volts == pytest.approx(POWER.star_volts)
    assert not lamp.any()


def test_says_where_it_did_not_settle() -> None:
    with pytest.warns(ValidityWarning, match=r"star point still moves by .* V after 1"):
        conductor_volts_with_lamps(
            POWER.star_volts, np.array([1e-2, 0, 0]), LAMPS, law=LAW, rounds=1
        )
