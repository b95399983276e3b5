"""Tests of history.alike_states: what a crowd's states taken as one leave as it was."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from ships import AC, DC, berth, fault, ship

from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.sampling import Draws
from corrosion.history import step_states
from corrosion.history.alike_states import alike_sentence, alike_states
from corrosion.history.inputs import sample_inputs
from corrosion.history.integrate import integrate_history
from corrosion.history.step_states import Step
from corrosion.history.time_grid import time_grid_of
from corrosion.history.time_steps import Scenario
from corrosion.leakage.time_intervals import ConstantIntervals

LASTS = np.array([[[1.0, 3.0, 2.0, 0.0], [1.0, 3.0, 0.0, 4.0]]])
STANDS = np.array([[[1, 0, 0], [1, 1, 0], [1, 1, 1], [1, 0, 0]]], dtype=np.bool_)


def test_only_states_that_differ_by_little_are_one() -> None:
    """By hand: 4 kohm beside 88 ohm on one conductor adds little, 110 ohm does not.

    And what other scenarios pass through stays apart.
    """
    each = (("A", 88.0), ("B", 4000.0), ("C", 110.0))
    her = ship(
        faults=tuple(fault(k, "2024", conductor="a", insulation=r) for k, r in each)
    )
    drawn = Draws(1, 1, default_assumptions())
    inputs = sample_inputs(her, drawn, time_grid_of(her, date(2026, 1, 1)))
    ohms = np.array([[r for _, r in each]])
    path = replace(
        inputs.faults.path, ohms=ohms, hidden=ohms, turned=np.full(ohms.shape, -1e12)
    )
    inputs = replace(inputs, faults=replace(inputs.faults, path=path))
    step = Step(
        number=0,
        stay=0,
        start=np.zeros(1),
        end=np.full(1, 10.0),
        edges=np.array([0.0, 10.0]),
        first=0,
        standing=np.arange(3),
        states=ConstantIntervals(
            LASTS.sum(axis=1), np.array([[0.5, 2.5, 5.0, 8.0]]), STANDS
        ),
        duration=LASTS[:, :, None],
    )
    fewer, become = alike_states(step, inputs, slice(None))
    assert become[0, 0] == become[0, 1]
    assert len(set(become[0, 1:].tolist())) == 3
    assert fewer.duration.shape == (1, 2, 1, 3)
    assert fewer.duration.sum(axis=(2, 3)) == pytest.approx(LASTS.sum(axis=2))
    stood = fewer.duration[:, 0, 0] @ fewer.states.active
    assert stood == pytest.approx(LASTS[:, 0] @ STANDS)
    assert fewer.states.active[0, become[0, 0]] == pytest.approx([1.0, 0.75, 0.0])
    assert fewer.states.middle[0, become[0, 0]] == pytest.approx(2.0)


def test_a_crowd_dissolves_what_it_does_state_by_state(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Against every state for itself: total, each zone, each fault that matters."""
    rng = np.random.default_rng(1)
    quay = berth("2023-03", "2025-06-01", "shore earthed", earth_cable=0.1)
    faults = tuple(
        fault(
            f"F{k}",
            f"2024-{1 + k % 12:02d}-{1 + k % 27:02d}",
            standing=True,
            conductor=("a", "b", "c")[k % 3] if k % 4 else "+",
            insulation=float(np.exp(rng.normal(np.log(200.0), 2.5))),
            system=AC.name if k % 4 else DC.name,
            current="ac" if k % 4 else "dc",
            zone=("FP", "AS", "AP")[k % 3],
        )
        for k in range(40)
    )
    crowd = ship(faults=faults, berths=(quay,))
    drawn = Draws(32, 1, default_assumptions())
    inputs = sample_inputs(crowd, drawn, time_grid_of(crowd, date(2026, 1, 1)))
    scenario = Scenario(inputs, inputs.faults.spans)
    (fewer,) = integrate_history([scenario])
    monkeypatch.setattr(step_states, "CROWD", 1000)
    (every,) = integrate_history([scenario])
    assert fewer.charge != pytest.approx(every.charge, rel=1e-12, abs=0.0)
    assert fewer.faults_kg.sum() == pytest.approx(every.faults_kg.sum(), rel=1e-3)
    mean = every.faults_kg.mean(axis=0)
    assert fewer.faults_kg.mean(axis=0) == pytest.approx(mean, rel=0.01)
    most = every.fault_kg.mean(axis=0)
    great = most > 0.01 * most.sum()
    assert fewer.fault_kg.mean(axis=0)[great] == pytest.approx(most[great], rel=0.01)
    charge = every.charge.sum(axis=1)  # of a sample: the network of the mean
    assert fewer.charge.sum(axis=1) == pytest.approx(charge, rel=0.02)
    assert fewer.charge.sum() == pytest.approx(charge.sum(), rel=3e-3)
    assert fewer.lost_kg.sum() == pytest.approx(every.lost_kg.sum(), rel=1e-3)


def test_what_is_left_out_is_said_of_a_crowd_alone() -> None:
    (said,) = alike_sentence(200)
    assert said.startswith("faults.csv: 200 faults may have stood at once")
    assert "less than 10 %" in said
    assert "switch rather than an interval" in said
    assert alike_sentence(31) == []
