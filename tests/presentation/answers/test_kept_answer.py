"""Tests of answers.kept_answer: an answer is made once, and made anew when it must."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from records.folders import sound
from ships import current, ship

from corrosion.estimate import estimate
from corrosion.foundation.cache import forget
from corrosion.foundation.kept_objects import kept
from corrosion.presentation.answers import kept_answer
from corrosion.presentation.answers.leakage import leakage_of_estimate
from corrosion.presentation.answers.plan import gauging_plan
from corrosion.records import read_ship
from corrosion.records.dates import as_written
from corrosion.records.ship import Gauging, Ship
from corrosion.results import Estimate

ABOARD = ship(
    faults=(current("X", "2014-01-01", "2014-06-01", 2.0, zone="FP", returns="ashore"),)
)


def run(one: Ship = ABOARD, *, seed: int = 1) -> Estimate:
    return estimate(one, samples=48, seed=seed, as_of=date(2026, 6, 1))


@pytest.fixture
def made(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> list[object]:
    """Return a list that grows with every answer that is computed."""
    monkeypatch.setenv("CORROSION_CACHE", str(tmp_path))
    asked: list[object] = []
    whole = kept

    def listened(key: tuple[Any, ...], compute: Callable[[], Any], **more: Any) -> Any:
        def noted() -> Any:
            asked.append(key[1])
            return compute()

        return whole(key, noted, **more)

    monkeypatch.setattr(kept_answer, "kept", listened)
    return asked


def plan(of: Estimate, hours: float = 40.0) -> dict[str, Any]:
    return gauging_plan(of, hours=hours, access={"inside", "dock", "diver"})


def test_an_answer_is_made_once_and_the_same(made: list[object]) -> None:
    fresh = plan(run()), leakage_of_estimate(run())
    forget()
    assert (plan(run()), leakage_of_estimate(run())) == fresh
    assert len(made) == 2


def test_where_a_ship_lies_on_the_disk_changes_no_answer(
    made: list[object], tmp_path: Path
) -> None:
    told = []
    for name in ("here", "there"):
        folder = sound(tmp_path / name)
        (folder / "monitor").mkdir()
        log = "time,system,circuit,amps,current\n"
        log += "".join(
            f"2021-05-01T{hour:02}:00:00Z,service,galley,0.4,dc\n" for hour in range(9)
        )
        (folder / "monitor" / "hull.csv").write_text(log, encoding="utf-8")
        result = run(read_ship(folder))
        assert result.ship.folder == folder
        told.append((plan(result), result.to_json()))
    assert told[0] == told[1]
    assert len(made) == 1


def test_other_hours_seeds_and_records_are_answered_anew(made: list[object]) -> None:
    plan(run())
    plan(run(), 4.0)
    plan(run(seed=2))
    mine = Gauging(zone="FP", date=as_written("2018-06-01"), thickness=9.5e-3)
    plan(run(replace(ABOARD, gaugings=(mine,))))
    assert len(made) == 4
