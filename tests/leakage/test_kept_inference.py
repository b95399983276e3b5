"""Tests of leakage.kept_inference: what is inferred anew, and that nothing is lost."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from ships import berth, fault, ship

from corrosion.foundation.cache import digest, forget
from corrosion.foundation.sampling import Draws
from corrosion.leakage import kept_inference
from corrosion.leakage.fault_unknowns import FaultUnknowns, sample_faults
from corrosion.leakage.inference import system_posterior
from corrosion.records.dates import as_written
from corrosion.records.measured import Reading
from corrosion.records.ship import Readings, Ship

AS_OF = as_written("2026-06-01").latest
RIVER = (
    berth("2001", "2015", "shore earthed", earth_cable=0.2, shore_earth=1.0),
    berth("2015", None, "own"),
)


def aboard() -> Ship:
    """Two systems; one fault is read twice, one by a clamp that nothing explains."""
    mine = fault("A", "2012-03-01", "2012-05-01", conductor="a", insulation=900.0)
    odd = fault("B", "2018-03-01", "2018-05-01", conductor="b", amps=40.0)
    cell = fault(
        "C",
        "2016-03-01",
        "2016-05-01",
        system="battery",
        current="dc",
        insulation=900.0,
    )
    again = Reading(
        time=as_written("2012-04-01"),
        system="power",
        fault="A",
        conductor="a",
        insulation=400.0,
    )
    return ship(faults=(mine, odd, cell), berths=RIVER, readings=(again,))


@pytest.fixture
def inferred(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Return a list to which every system that is inferred adds its name."""
    monkeypatch.setenv("CORROSION_CACHE", str(tmp_path))
    names: list[str] = []
    whole = system_posterior.infer_system

    def listened(system, *given, **more):  # type: ignore[no-untyped-def]
        names.append(system.name)
        return whole(system, *given, **more)

    monkeypatch.setattr(kept_inference, "infer_system", listened)
    return names


def faults_of(one: Ship, *, seed: int = 1, as_of: float = AS_OF) -> FaultUnknowns:
    return sample_faults(one, Draws(64, seed, one.assumptions), as_of=as_of)


def test_kept_and_fresh_are_the_same_to_the_bit(inferred: list[str]) -> None:
    fresh = faults_of(aboard())
    assert inferred == ["power", "battery"]
    assert fresh.path.knots.keys() == {0}
    assert fresh.unexplained.keys() == {1}
    held = faults_of(aboard())
    forget()
    read = faults_of(aboard())
    assert inferred == ["power", "battery"]
    assert digest(fresh) == digest(held) == digest(read)


def test_a_changed_fault_infers_its_own_system_alone(inferred: list[str]) -> None:
    one = aboard()
    before = faults_of(one)
    changed = replace(one.faults[2], readings=Readings(insulation=90.0))
    after = faults_of(replace(one, faults=(*one.faults[:2], changed)))
    assert inferred == ["power", "battery", "battery"]
    # The others move by the ship's own law alone, which learns from every fault: one
    # that was read hardly, one that was not falls with the one that is lower now.
    was, now = (np.median(one.resistance[:, :2], axis=0) for one in (before, after))
    assert now[0] == pytest.approx(was[0], rel=0.1)
    assert 0.3 * was[1] < now[1] < was[1]
    assert (before.resistance[:, 2] != after.resistance[:, 2]).any()
    first = fault("0", "2020", "2021", system="battery", current="dc")
    faults_of(replace(one, faults=(first, *one.faults)))
    assert inferred[3:] == ["battery"]


def test_another_day_infers_nothing(inferred: list[str]) -> None:
    faults_of(aboard())
    faults_of(aboard(), as_of=AS_OF + 1e7)
    assert inferred == ["power", "battery"]


def test_another_seed_berth_or_assumption_does(inferred: list[str]) -> None:
    one = aboard()
    faults_of(one)
    faults_of(one, seed=2)
    faults_of(replace(one, berths=(replace(RIVER[0], shore_earth=2.0), RIVER[1])))
    other = one.assumptions.override("fault_ohm", median=50.0, why="test")
    faults_of(replace(one, assumptions=other))
    assert inferred == ["power", "battery"] * 4


def test_a_clamp_reading_that_is_no_evidence_does(inferred: list[str]) -> None:
    # Of eight hours five are inferred from; all of them say what did not trip.
    one = aboard()
    hours = [
        Reading(
            time=as_written(f"2012-03-{day:02}"), system="power", fault="A",
            conductor="a", amps=0.2, clamped="fault path",
        )
        for day in range(2, 10)
    ]  # fmt: skip
    faults_of(replace(one, readings=tuple(hours)))
    hours[1] = replace(hours[1], amps=25.0)
    faults_of(replace(one, readings=tuple(hours)))
    assert inferred == ["power", "battery", "power"]


def test_what_is_kept_bears_no_writing(inferred: list[str]) -> None:
    drawn = faults_of(aboard())
    assert inferred
    drawn.path.ohms[:] = np.nan  # its own
    assert np.isfinite(faults_of(aboard()).path.ohms).all()
