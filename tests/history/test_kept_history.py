"""Tests of history.kept_history: what is integrated anew, and that nothing is lost."""

from collections.abc import Callable
from dataclasses import fields, replace
from importlib import import_module
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest
from ships import ZONES, berth, current, fault, ship

import corrosion
from corrosion import Estimate
from corrosion.foundation.cache import digest, forget, nothing_large
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


def test_a_new_remark_computes_nothing_and_is_told(
    integrated: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    one = aboard(gauging("2018-06-01", 9.5))
    before = run(one)
    monkeypatch.setattr(import_module("corrosion.estimate"), "calibrate", None)
    first = replace(one.faults[0], remark="behind the range")
    after = run(replace(one, faults=(first, *one.faults[1:])))
    assert len(integrated) == 1
    assert same(before.history, after.history)
    told = [each.fault_table.rows[0]["remark"] for each in (before, after)]
    assert told == ["", "behind the range"]


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


@pytest.fixture
def worked(integrated: list[int], monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Return a list to which drawing and calibrating add their names."""
    names: list[str] = []

    def listened(module: ModuleType, name: str) -> None:
        whole = getattr(module, name)

        def noted(*given: object, **more: object) -> object:
            names.append(name)
            return whole(*given, **more)

        monkeypatch.setattr(module, name, noted)

    listened(kept_history, "sample_inputs")
    listened(import_module("corrosion.estimate"), "calibrate")
    return names


def test_the_same_again_draws_and_calibrates_nothing(worked: list[str]) -> None:
    fresh = run(aboard(gauging("2018-06-01", 9.5)))
    forget()
    again = run(aboard(gauging("2018-06-01", 9.5)))
    assert worked == ["sample_inputs", "calibrate"]
    for part in ("inputs", "history", "calibration", "outlook"):
        assert digest(getattr(fresh, part)) == digest(getattr(again, part))
    assert fresh.to_json() == again.to_json()
    assert again.inputs.ship is again.ship


def test_a_new_gauging_calibrates_alone(worked: list[str]) -> None:
    run(aboard())
    told = run(aboard(gauging("2018-06-01", 9.5)))
    run(aboard(gauging("2018-06-01", 9.4)))
    assert worked == ["sample_inputs", "calibrate", "calibrate", "calibrate"]
    assert told.inputs.ship.gaugings == told.ship.gaugings != ()


def test_a_doubt_names_the_line_on_which_its_row_stands_now(
    worked: list[str],
) -> None:
    def moved_to(line: int) -> Estimate:
        """Return an estimate with a fault of which nobody wrote that it was cleared."""
        old = fault("A", "1990", conductor="a", insulation=900.0)
        return run(ship(faults=(replace(old, line=line),)))

    said = [" ".join(moved_to(line).warnings) for line in (3, 7)]
    assert ["faults.csv:3" in words for words in said] == [True, False]
    assert ["faults.csv:7" in words for words in said] == [False, True]
