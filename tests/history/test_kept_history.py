"""Tests of history.kept_history: what is integrated anew, and that nothing is lost."""

from collections.abc import Callable
from dataclasses import fields, replace
from pathlib import Path

import numpy as np
import pytest
from ships import ZONES, berth, current, fault, ship

import corrosion
from corrosion import Estimate
from corrosion.foundation.cache import nothing_large
from corrosion.history import integrate, kept_history
from corrosion.history.loss import LossHistory
from corrosion.hull.nonlinear import newton
from corrosion.records.dates import as_written
from corrosion.records.ship import Gauging, Ship

QUAY = berth("2001", "2020", "shore earthed", earth_cable=0.2, shore_earth=1.0)


def gauging(when: str, mm: float) -> Gauging:
    return Gauging(zone="FP", date=as_written(when), thickness=1e-3 * mm)


def aboard(*gaugings: Gauging) -> Ship:
    leaks = (
        fault("A", "2012-03-01", "2012-05-01", conductor="a", insulation=900.0),
        current("X", "2014-01-01", "2014-06-01", 2.0, zone="FP", returns="ashore"),
    )
    return ship(faults=leaks, berths=(QUAY, berth("2020", None)), gaugings=gaugings)


@pytest.fixture
def integrated(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Return a list that grows by one with every integration."""
    monkeypatch.setenv("CORROSION_CACHE", str(tmp_path))
    counted: list[int] = []
    whole: Callable[..., list[LossHistory]] = integrate.integrate_history

    def listened(*given: object, **more: object) -> list[LossHistory]:
        counted.append(1)
        return whole(*given, **more)

    monkeypatch.setattr(kept_history, "integrate_history", listened)
    return counted


def run(one: Ship, as_of: str = "2026-06-01", seed: int = 1) -> Estimate:
    return corrosion.estimate(one, samples=48, as_of=as_of, seed=seed)


def same(one: LossHistory, other: LossHistory) -> bool:
    names = [each.name for each in fields(LossHistory) if each.name != "causes"]
    return all(
        np.array_equal(getattr(one, name), getattr(other, name)) for name in names
    )


def test_a_kept_history_is_the_same_to_the_bit(integrated: list[int]) -> None:
    fresh, kept = run(aboard()), run(aboard())
    assert len(integrated) == 1
    assert same(fresh.history, kept.history)
    assert fresh.warnings == kept.warnings
    assert fresh.to_json() == kept.to_json()


def test_a_new_gauging_integrates_nothing_and_counts(integrated: list[int]) -> None:
    before = run(aboard(gauging("2018-06-01", 9.5)))
    early = gauging("2005-06-01", 9.9)  # before anything else was written down
    after = run(aboard(gauging("2018-06-01", 9.5), early, gauging("2024", 9.0)))
    assert len(integrated) == 1
    left = [one.to_json()["zones"][0]["left_mm"] for one in (before, after)]
    assert left[0] != left[1]


def test_the_kept_answer_is_the_one_that_is_computed_anew(
    integrated: list[int], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    run(aboard())
    kept = run(aboard(gauging("2018-06-01", 9.5)))
    monkeypatch.setenv("CORROSION_CACHE", str(tmp_path / "empty"))
    fresh = run(aboard(gauging("2018-06-01", 9.5)))
    assert len(integrated) == 2
    assert kept.to_json() == fresh.to_json()


@pytest.mark.parametrize(
    "changed",
    [
        lambda one: replace(one, faults=one.faults[:1]),
        lambda one: replace(one, berths=(replace(QUAY, shore_earth=2.0),)),
        lambda one: replace(one, zones=(replace(ZONES[0], bare=0.4), *ZONES[1:])),
        lambda one: replace(one, next_docking=as_written("2028-06-01")),
        lambda one: replace(
            one,
            assumptions=one.assumptions.override(
                "interface_ohm_m2", median=2.0, why="test"
            ),
        ),
    ],
    ids=["fault", "berth", "paint", "docking", "assumption"],
)
def test_whatever_else_changes_is_integrated(
    integrated: list[int], changed: Callable[[Ship], Ship]
) -> None:
    run(aboard())
    run(changed(aboard()))
    assert len(integrated) == 2


def test_another_day_or_seed_is_integrated(integrated: list[int]) -> None:
    run(aboard())
    run(aboard(), as_of="2026-06-02")
    run(aboard(), seed=2)
    assert len(integrated) == 3


def test_warnings_of_the_integration_are_kept_with_it(
    integrated: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(newton, "_STEPS", 0)
    said = [run(aboard()).warnings for _ in range(2)]
    assert len(integrated) == 1
    assert any("could not be balanced" in words for words in said[0])
    assert said[0] == said[1]


def test_progress_ends_at_one_where_all_was_kept(integrated: list[int]) -> None:
    told: list[float] = []
    for _ in range(2):
        corrosion.estimate(
            aboard(), samples=48, as_of="2026-06-01", on_progress=told.append
        )
    assert len(integrated) == 1
    assert told[-1] == 1.0


def test_no_large_result_is_kept_where_many_ships_are_estimated(
    integrated: list[int],
) -> None:
    with nothing_large():
        run(aboard())
        run(aboard())
    assert len(integrated) == 2
