"""Tests of foundation.assumptions: the table as a whole, restating, errors."""

import csv
import re
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from importlib.resources import files
from pathlib import Path

import pytest

from corrosion.foundation import assumptions
from corrosion.foundation.errors import InputError, LookupFailed

ROW = assumptions.entry("shore_earth_ohm")
PACKAGE = Path(str(files("corrosion")))


def test_every_row_of_the_file_is_in_the_table_in_order() -> None:
    text = (PACKAGE / "basis.csv").read_text(encoding="utf-8")
    names = [row["name"] for row in csv.DictReader(text.splitlines())]
    assert list(assumptions.table()) == names
    assert all(re.fullmatch(r"[a-z][a-z0-9_]*", name) for name in names)


@pytest.mark.parametrize("name", sorted(assumptions.table()))
def test_every_entry_says_what_it_is_and_where_it_comes_from(name: str) -> None:
    row = assumptions.entry(name)
    assert row.name == name
    assert row.unit
    assert len(row.source) > 3
    assert len(row.meaning) > 5
    assert row.standing != "user"
    if "from memory" in row.source:
        assert row.standing in ("from memory", "judgement")


def test_every_entry_is_used_somewhere() -> None:
    code = "".join(
        path.read_text(encoding="utf-8") for path in sorted(PACKAGE.rglob("*.py"))
    )
    # Tolerances are looked up by the zone's consequence.
    code += "".join(f'"tolerance_consequence_{k}"' for k in range(1, 6))
    assert [name for name in assumptions.table() if f'"{name}"' not in code] == []


def test_the_table_cannot_be_changed() -> None:
    with pytest.raises(TypeError, match="does not support item assignment"):
        assumptions.table()["shore_earth_ohm"] = ROW  # type: ignore[index] # that is the test


def test_a_restated_entry_holds_within_its_context_only() -> None:
    mine = assumptions.restate(
        "shore_earth_ohm", median=4.0, spread=2.0, why="read on site"
    )
    with assumptions.stated([mine]):
        assert assumptions.value("shore_earth_ohm") == 4.0
        assert assumptions.entry("shore_earth_ohm").standing == "user"
        assert assumptions.entry("shore_earth_ohm").source == "read on site"
        assert (
            assumptions.value("earth_couple_v")
            == assumptions.table()["earth_couple_v"].median
        )
    assert assumptions.entry("shore_earth_ohm") == ROW


def test_a_restated_entry_is_forgotten_after_an_error() -> None:
    mine = assumptions.restate("shore_earth_ohm", median=4.0, spread=2.0, why="")
    with pytest.raises(LookupFailed, match="nothing"), assumptions.stated([mine]):
        assumptions.value("nothing")
    assert assumptions.entry("shore_earth_ohm") == ROW


def test_another_thread_does_not_see_it() -> None:
    mine = assumptions.restate("shore_earth_ohm", median=4.0, spread=2.0, why="")
    with assumptions.stated([mine]), ThreadPoolExecutor(1) as pool:
        assert pool.submit(assumptions.value, "shore_earth_ohm").result() == ROW.median


def test_no_reason_is_said_to_be_none() -> None:
    mine = assumptions.restate("shore_earth_ohm", median=4.0, spread=2.0, why="")
    assert "no reason" in mine.source
    assert (mine.unit, mine.low, mine.high) == (ROW.unit, ROW.low, ROW.high)


@pytest.mark.parametrize(
    ("change", "match"),
    [
        ({"median": 0.0, "low": 0.0}, "median must be positive"),
        ({"median": float("nan")}, "median must be positive"),
        ({"median": 51.0}, r"between 0\.02 and 50 Ω, got 51"),
        ({"spread": 0.9}, "geometric standard deviation"),
        ({"spread": float("nan")}, "geometric standard deviation"),
        ({"spread": float("inf")}, "geometric standard deviation"),
        ({"high": float("inf")}, "median must be positive"),
        ({"source": ""}, "needs a source"),
        ({"standing": "hearsay"}, "needs a source, and one of"),
    ],
)
def test_refuses_an_impossible_entry(change: dict[str, object], match: str) -> None:
    with pytest.raises(InputError, match=match):
        replace(ROW, **change)  # type: ignore[arg-type] # that is the test


@pytest.mark.parametrize("median", [51.0, -1.0, 0.0])
def test_refuses_to_restate_beyond_the_limits(median: float) -> None:
    with pytest.raises(InputError, match="shore_earth_ohm: median must"):
        assumptions.restate("shore_earth_ohm", median=median, spread=2.0, why="")


def test_offers_the_nearest_name() -> None:
    match = "no assumption 'pit_factor'; did you mean 'pitting_factor'"
    with pytest.raises(LookupFailed, match=match):
        assumptions.restate("pit_factor", median=3.0, spread=1.5, why="")
