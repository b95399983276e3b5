"""Tests of leakage.neutral_point, in the order: laws, edges, errors."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.errors import LookupFailed
from corrosion.foundation.types import ComplexArray
from corrosion.leakage.neutral_point import (
    conductor_index,
    conductor_volts,
    healthy_admittance,
    median_admittance,
)
from corrosion.records.ship import System

POWER = System(name="power", kind="ac3", volts=440.0, hertz=60.0)
LEGACY = System(name="legacy", kind="dc2", volts=220.0)


def _by_nodes(source: ComplexArray, y: ComplexArray, tie: complex) -> ComplexArray:
    """Solve star point, conductors and source currents as one linear system."""
    c = len(source)
    a = np.zeros((2 * c + 1, 2 * c + 1), dtype=np.complex128)
    rhs = np.zeros(2 * c + 1, dtype=np.complex128)
    a[0, 0] = tie
    for k in range(c):
        a[0, 1 + c + k] = -1.0  # source current flows from the star point
        a[1 + k, 1 + k] = y[k]  # conductor k: to the hull, and from its source
        a[1 + k, 1 + c + k] = 1.0
        a[1 + c + k, 1 + k] = 1.0  # the source holds conductor above star point
        a[1 + c + k, 0] = -1.0
        rhs[1 + c + k] = source[k]
    return np.asarray(np.linalg.solve(a, rhs)[1 : 1 + c])


@given(seed=st.integers(0, 2**32 - 1), tied=st.booleans())
@settings(deadline=None, max_examples=60)
def test_agrees_with_nodal_analysis_of_unbalanced_networks(
    seed: int, tied: bool
) -> None:
    rng = np.random.default_rng(seed)
    y = 10.0 ** rng.uniform(-6, 0, 3) + 1j * 10.0 ** rng.uniform(-6, -2, 3)
    source = rng.normal(size=3) * 200.0 + 1j * rng.normal(size=3) * 200.0
    tie = 0.3 if tied else 0.0
    expected = _by_nodes(source, y, tie)
    scale = np.abs(source).max()
    assert conductor_volts(source, y, tie) == pytest.approx(
        expected, rel=1e-8, abs=1e-10 * scale
    )


def test_solves_every_leading_axis_alike() -> None:
    rng = np.random.default_rng(3)
    y = rng.random((4, 5, 3)) + 1j * rng.random((4, 5, 3))
    tie = rng.random((4, 5))
    volts = conductor_volts(POWER.star_volts, y, tie)
    assert volts.shape == (4, 5, 3)
    one = conductor_volts(POWER.star_volts, y[2, 3], tie[2, 3])
    assert volts[2, 3] == pytest.approx(one, rel=1e-12)


def test_tie_holds_the_star_point() -> None:
    volts = conductor_volts(POWER.star_volts, np.array([1e-3, 0.0, 0.0]), 1e9)
    assert volts == pytest.approx(POWER.star_volts, rel=1e-9)


def test_real_in_real_out() -> None:
    volts = conductor_volts(LEGACY.star_volts, np.array([1e-3, 3e-3]))
    assert volts.dtype == np.float64
    assert volts == pytest.approx([165.0, -55.0])  # a plain divider, 3 to 1


def test_nothing_connected_leaves_the_star_point_at_hull_potential() -> None:
    assert conductor_volts(POWER.star_volts, np.zeros(3)) == pytest.approx(
        POWER.star_volts
    )


def test_healthy_admittance_of_either_current() -> None:
    ac = healthy_admittance(POWER, capacitance=2e-6, insulation=np.array([1e5, 2e5]))
    reactance = 1.0 / (2.0 * np.pi * 60.0 * 2e-6)
    assert 1.0 / ac.imag == pytest.approx(reactance, rel=1e-12)
    assert 1.0 / ac.real == pytest.approx([1e5, 2e5], rel=1e-12)
    dc = healthy_admittance(LEGACY, capacitance=2e-6, insulation=1e5)
    assert dc.dtype == np.float64
    assert 1.0 / dc == pytest.approx(1e5, rel=1e-12)


def test_what_is_not_stated_is_the_median_of_the_basis_table() -> None:
    y = median_admittance(POWER)
    assert 1.0 / y.real == pytest.approx(default_assumptions().value("insulation_ohm"))
    farads = default_assumptions().value("hull_capacitance_uf") * 1e-6
    assert y.imag == pytest.approx(2.0 * np.pi * 60.0 * farads)


def test_offers_the_conductors_of_the_system() -> None:
    assert conductor_index(LEGACY, "-") == 1
    with pytest.raises(
        LookupFailed, match=r"conductor of legacy \(dc2\) 'a'; known: +"
    ):
        conductor_index(LEGACY, "a")
