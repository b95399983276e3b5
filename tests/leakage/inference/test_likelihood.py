"""Tests of leakage.inference.likelihood and of the evidence that it weighs."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from leakage.systems import POWER, TOOLS
from scipy.integrate import quad

from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.errors import InputError, LookupFailed
from corrosion.foundation.types import Array
from corrosion.leakage.inference.evidence import Evidence, states
from corrosion.leakage.inference.grid import GRID, SystemGrid
from corrosion.leakage.inference.likelihood import reading_likelihoods
from corrosion.leakage.network import solve
from corrosion.records.ship import Readings

KNOWN = SystemGrid((1.4e-6,), (4e5,))
TRUE = 320  # 251 Ω


def _distances(readings: Readings) -> dict[str, Array]:
    evidence = Evidence.of(readings)
    [state] = states(POWER, KNOWN, evidence, TOOLS.law)
    found = reading_likelihoods(state, evidence, TOOLS)
    return {term.label: np.broadcast_to(term.distance, (1, 501))[0] for term in found}


def test_every_reading_is_nearest_to_the_truth() -> None:
    base = solve(POWER, [("a", GRID[TRUE])], meter=1e4, lamps=True)
    volts = tuple(float(v) for v in np.abs(base.hull_volts))
    readings = Readings(
        conductor="a",
        amps=float(abs(base.fault_amps[0])),
        hull_volts=volts,
        meter=1e4,
        insulation=float(GRID[TRUE]),
    )
    distances = _distances(readings)
    assert len(distances) == 5
    for label, distance in distances.items():
        assert distance[TRUE] == pytest.approx(0.0, abs=1e-12), label


def test_tolerances_are_those_of_the_basis_table() -> None:
    wide = np.hypot(np.log(1.15), np.log(2.0))  # the tester, and what it stands for
    read = np.exp(wide) * GRID[TRUE]  # one geometric standard deviation above
    [distance] = _distances(Readings(conductor="a", insulation=read)).values()
    assert distance[TRUE] == pytest.approx(1.0)
    amps = abs(solve(POWER, [("a", GRID[TRUE])], lamps=True).fault_amps[0])
    two = float(amps + 2.0 * np.hypot(np.log(1.03) * amps, 0.005))
    [distance] = _distances(Readings(conductor="a", amps=two)).values()
    assert distance[TRUE] == pytest.approx(4.0)
    volts = abs(solve(POWER, [("a", GRID[TRUE])], meter=1e7, lamps=True).hull_volts[2])
    off = float(volts + 3.0 * np.hypot(np.log(1.02) * volts, 0.5))
    seen = Readings(conductor="a", hull_volts=(None, None, off))
    [distance] = _distances(seen).values()
    assert distance[TRUE] == pytest.approx(9.0)


def test_a_slip_of_the_pen_is_never_impossible() -> None:
    evidence = Evidence.of(Readings(conductor="a", amps=50.0))
    [state] = states(POWER, KNOWN, evidence, TOOLS.law)
    [term] = reading_likelihoods(state, evidence, TOOLS)
    assert np.all(term.chance >= default_assumptions().value("reading_slip_chance"))


def test_labels_say_what_was_read() -> None:
    readings = Readings(
        conductor="a",
        hull_volts=(None, 12.0, None),
        meter=3e3,
        lamps=("dim", None, "bright"),
    )
    assert list(_distances(readings)) == [
        "12 V to hull on b (3 kΩ meter)",
        "the lamps (a dim, c bright)",
    ]


def test_an_unknown_conductor_is_any_of_them() -> None:
    found = states(POWER, KNOWN, Evidence.of(Readings(amps=0.2)), TOOLS.law)
    assert [state.conductor for state in found] == [0, 1, 2]


@pytest.mark.parametrize(
    ("readings", "match"),
    [
        (Readings(hull_volts=(1.0, 2.0)), "hull_volts needs 3 entries"),
        (Readings(lamps=("out", "bright")), "lamps needs 3 entries"),
        (Readings(hull_volts=(1.0, 600.0, 2.0)), r"must not exceed 550 V"),
        (Readings(hull_volts=(1.0, np.nan, 2.0)), r"must not exceed 550 V"),
        (Readings(meter=0.0), r"meter must be > 0 Ω"),
        (Readings(insulation=-1.0), r"insulation must be > 0 Ω"),
        (Readings(amps=np.inf), "amps must be a number"),
    ],
)
def test_refuses_impossible_readings(readings: Readings, match: str) -> None:
    with pytest.raises(InputError, match=rf"readings on 'power': .*{match}"):
        states(POWER, KNOWN, Evidence.of(readings), TOOLS.law)


def test_refuses_lamps_and_conductors_that_are_not_there() -> None:
    seen = Evidence.of(Readings(lamps=("out", "bright", "bright")))
    with pytest.raises(InputError, match="lamps are noted but the system has none"):
        states(replace(POWER, lamps=None), KNOWN, seen, TOOLS.law)
    with pytest.raises(LookupFailed, match=r"no conductor of power .* '\+'"):
        states(POWER, KNOWN, Evidence.of(Readings(conductor="+")), TOOLS.law)


@given(
    read=st.floats(0.1, 10.0),
    low=st.floats(0.0, 10.0),
    span=st.floats(0.0, 20.0),
    width=st.floats(0.01, 1.0),
)
@settings(deadline=None, max_examples=50)
def test_a_range_has_the_mean_of_its_values(
    read: float, low: float, span: float, width: float
) -> None:
    tools = TOOLS
    share, _ = quad(
        lambda x: np.exp(-0.5 * ((x - read) / width) ** 2),
        low,
        low + span,
        points=[min(max(read, low), low + span)],
        limit=200,
    )
    sharp = max(read, width) / width
    near = np.exp(-0.5 * ((low + 0.5 * span - read) / width) ** 2)
    mean = share / span if span > 0.2 * width else near
    expected = tools.slip + (1.0 - tools.slip) * sharp * mean
    found = tools.interval_likelihood(
        read, np.array([low]), np.array([low + span]), np.array([width])
    )
    assert found[0] == pytest.approx(expected, rel=0.02, abs=1e-6)
