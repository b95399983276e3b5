"""Tests of leakage.kept_faults: drawn once, and the same to the bit."""

from dataclasses import replace
from pathlib import Path

import pytest
from leakage.test_kept_inference import AS_OF, aboard

from corrosion.foundation.cache import digest, forget
from corrosion.foundation.sampling import Draws
from corrosion.leakage import kept_faults as module
from corrosion.leakage.fault_unknowns import FaultUnknowns, sample_faults
from corrosion.leakage.kept_faults import kept_faults
from corrosion.records.dates import as_written
from corrosion.records.ship import Gauging, Ship


@pytest.fixture
def drawn(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> list[Ship]:
    """Return a list that grows by the ship whose faults are drawn."""
    monkeypatch.setenv("CORROSION_CACHE", str(tmp_path))
    ships: list[Ship] = []

    def listened(one, *given, **more):  # type: ignore[no-untyped-def]
        ships.append(one)
        return sample_faults(one, *given, **more)

    monkeypatch.setattr(module, "sample_faults", listened)
    return ships


def faults_of(one: Ship, *, seed: int = 1, as_of: float = AS_OF) -> FaultUnknowns:
    return kept_faults(one, Draws(64, seed, one.assumptions), as_of, {})


def test_kept_and_fresh_are_the_same_to_the_bit(drawn: list[Ship]) -> None:
    fresh = faults_of(aboard())
    forget()
    kept = faults_of(aboard())
    assert len(drawn) == 1
    assert digest(kept, lines=True) == digest(fresh, lines=True)
    (odd,) = kept.unexplained[1]
    assert odd.berth in aboard().berths


def test_a_gauging_draws_nothing_and_a_fault_a_day_or_a_seed_does(
    drawn: list[Ship],
) -> None:
    faults_of(aboard())
    mine = Gauging(zone="FP", date=as_written("2018"), thickness=9e-3)
    faults_of(replace(aboard(), gaugings=(mine,)))
    assert len(drawn) == 1
    faults_of(replace(aboard(), faults=aboard().faults[:2]))
    faults_of(aboard(), seed=2)
    faults_of(aboard(), as_of=AS_OF - 86400.0)
    assert len(drawn) == 4


def test_what_others_do_begins_while_faults_are_drawn_if_they_are(
    drawn: list[Ship],
) -> None:
    begun: list[int] = []
    draws = Draws(64, 1, aboard().assumptions)
    for _ in range(2):
        forget()
        kept_faults(aboard(), draws, AS_OF, {}, lambda: begun.append(len(drawn)))
    assert drawn == [aboard()]
    assert begun
    assert set(begun) == {1}
