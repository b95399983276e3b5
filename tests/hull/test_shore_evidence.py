"""Tests of hull.shore_evidence: what a clamp on the shore cable tells."""

import warnings
from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from ships import berth, current, ship

from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.errors import ValidityWarning
from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array
from corrosion.history.inputs import ModelInputs, sample_inputs
from corrosion.history.protected_paths import paths_at
from corrosion.history.time_grid import time_grid_of
from corrosion.hull.shore_evidence import shore_ohms, shore_readings
from corrosion.records.dates import as_written
from corrosion.records.ship import Potential, Reading, Ship

QUAY = berth("2019", "2028", "shore earthed", earth_cable=0.2)
TABLE = default_assumptions()


def reading(amps: float, **more: object) -> Reading:
    facts = {
        "time": as_written("2026-03-02"),
        "circuit": "shore cable",
        "clamped": "earth lead",
        "amps": amps,
        "current": "dc",
        "line": 2,
    }
    return Reading(**(facts | more))  # type: ignore[arg-type]  # keywords by name


def inputs_of(one: Ship, samples: int = 256, seed: int = 1) -> ModelInputs:
    grid = time_grid_of(one, date(2026, 6, 1))
    return sample_inputs(one, Draws(samples, seed, TABLE), grid)


def couple_amps(inputs: ModelInputs) -> Array:
    at = inputs.ship.berths[0]
    seen = paths_at(inputs, at, as_written("2026-03-02").middle).seen_hull(0)
    paths = replace(inputs.paths, held=seen.held)
    return paths.couple_at(at) / (seen.ohms + shore_ohms(at, paths, seen.ohms))


def width(values: Array) -> float:
    low, high = np.quantile(values, [0.1, 0.9])
    return float(high - low)


def test_a_clamp_leaves_a_fifth_of_the_interval_in_the_median_ship_of_100() -> None:
    one = ship(berths=(QUAY,))
    before = couple_amps(inputs_of(one, 512))
    rng = np.random.default_rng(3)
    left, held = [], 0
    for true in rng.choice(before, 100):
        read = true * (1.0 + 0.03 * rng.normal()) + 0.03 * rng.normal()
        after = couple_amps(inputs_of(replace(one, readings=(reading(read),)), 64))
        left.append(width(after) / width(before))
        low, high = np.quantile(after, [0.1, 0.9])
        held += low <= true <= high
    assert np.median(left) < 0.20
    assert 68 <= held <= 90  # of 80


def test_a_reading_moves_the_couple_to_what_was_read() -> None:
    one = ship(berths=(QUAY,))
    for amps in (0.05, 0.6):
        inputs = inputs_of(replace(one, readings=(reading(amps),)))
        found = couple_amps(inputs)
        assert np.median(found) == pytest.approx(amps, abs=0.03)


def test_the_whole_cable_reads_the_same_where_no_direct_fault_stands() -> None:
    lead = reading(0.2)
    whole = reading(0.2, clamped="whole cable")
    one, two = (
        inputs_of(ship(berths=(QUAY,), readings=(row,))) for row in (lead, whole)
    )
    assert (one.paths.couple == two.paths.couple).all()
    fault = current("X", "2026-03-01", "2026-03-05", 2.0)
    both = ship(berths=(QUAY,), faults=(fault,), readings=(whole,))
    with pytest.warns(ValidityWarning, match="a direct fault stood"):
        assert shore_readings(both) == ()


def test_open_circuit_volts_are_the_couple() -> None:
    seen = Potential(
        time=as_written("2026-03-02"),
        potential=-0.65,
        electrode="Ag/AgCl",
        open_circuit=0.22,
        line=3,
    )
    inputs = inputs_of(ship(berths=(QUAY,), potentials=(seen,)))
    couple = inputs.paths.couple_at(QUAY)
    assert np.median(couple) == pytest.approx(0.22, abs=0.01)
    assert couple.std() == pytest.approx(0.02, rel=0.25)
    # it tells nothing of the shore earth
    assert np.median(inputs.paths.shore_earth) == pytest.approx(1.0, rel=0.2)


def test_what_is_written_of_earth_and_couple_is_corrected_by_a_clamp() -> None:
    sure = replace(QUAY, shore_earth=2.0, earth_couple=0.3)
    inputs = inputs_of(ship(berths=(sure,), readings=(reading(0.1),)))
    found = couple_amps(inputs)
    assert np.median(found) == pytest.approx(0.11, abs=0.02)


def test_no_reading_moves_no_digit() -> None:
    one = ship(berths=(QUAY,))
    alternating = replace(one, readings=(reading(0.2, current="ac"),))
    assert (inputs_of(one).paths.couple == inputs_of(alternating).paths.couple).all()


@pytest.mark.parametrize(
    ("at", "why"),
    [
        (replace(QUAY, earth_cable=None, earth_none=True), "no earth lead"),
        (replace(QUAY, galvanic_isolator=True), "without an isolator"),
    ],
)
def test_a_reading_that_no_lead_explains_is_named(at: object, why: str) -> None:
    one = ship(berths=(at,), readings=(reading(0.2),))
    with pytest.warns(
        ValidityWarning, match=rf"readings.csv:2: amps: not used .*{why}"
    ):
        assert shore_readings(one) == ()


def test_a_reading_beyond_what_the_couple_can_drive_is_named() -> None:
    with pytest.warns(ValidityWarning, match=r"readings.csv:2: amps: more than any"):
        inputs_of(ship(berths=(QUAY,), readings=(reading(40.0),)))
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        inputs_of(ship(berths=(QUAY,), readings=(reading(0.4),)))
