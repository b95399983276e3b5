"""Tests of foundation.assumptions: the table as a whole, overriding, errors."""

import csv
import pickle
import re
from dataclasses import FrozenInstanceError, replace
from importlib.resources import files
from pathlib import Path

import pytest

from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.errors import InputError, LookupFailed

TABLE = default_assumptions()
ROW = TABLE["shore_earth_ohm"]
PACKAGE = Path(str(files("corrosion")))


def test_every_row_of_the_file_is_in_the_table_in_order() -> None:
    text = (PACKAGE / "foundation" / "assumptions.csv").read_text(encoding="utf-8")
    names = [row["name"] for row in csv.DictReader(text.splitlines())]
    assert list(TABLE) == names
    assert all(re.fullmatch(r"[a-z][a-z0-9_]*", name) for name in names)


@pytest.mark.parametrize("name", sorted(TABLE))
def test_every_entry_says_what_it_is_and_where_it_comes_from(name: str) -> None:
    row = TABLE[name]
    assert row.name == name
    assert row.unit
    assert len(row.source) > 3
    assert len(row.meaning) > 5
    assert row.status != "user"
    if "from memory" in row.source:
        assert row.status in ("from memory", "judgement")


def test_every_entry_is_used_somewhere() -> None:
    code = "".join(
        path.read_text(encoding="utf-8") for path in sorted(PACKAGE.rglob("*.py"))
    )
    # Some are looked up by a word of the records, in an f-string.
    composed = re.findall(r'f"([a-z_]*)\{[^{}]+\}([a-z_]*)"', code)
    patterns = [
        re.compile(f"{before}[a-z0-9_]+{after}")
        for before, after in composed
        if len(before) > 4
    ]
    unused = [
        name
        for name in TABLE
        if f'"{name}"' not in code
        and not any(pattern.fullmatch(name) for pattern in patterns)
    ]
    assert unused == []


def test_the_table_cannot_be_changed() -> None:
    with pytest.raises(TypeError, match="does not support item assignment"):
        TABLE["shore_earth_ohm"] = ROW  # type: ignore[index] # that is the test
    with pytest.raises(FrozenInstanceError):
        TABLE.rows = ()  # type: ignore[misc] # that is the test


def test_an_overridden_row_leaves_the_table_and_the_other_rows_alone() -> None:
    own = TABLE.override("shore_earth_ohm", median=4.0, spread=2.0, why="read on site")
    assert own.value("shore_earth_ohm") == 4.0
    assert own["shore_earth_ohm"].source == "read on site"
    assert [row.name for row in own.overridden] == ["shore_earth_ohm"]
    assert own["insulation_ohm"] == TABLE["insulation_ohm"]
    assert TABLE["shore_earth_ohm"] == ROW
    assert list(own) == list(TABLE)


def test_equal_tables_are_equal_and_survive_a_pickle() -> None:
    own = TABLE.override("shore_earth_ohm", median=4.0, spread=2.0)
    assert own != TABLE
    assert own == TABLE.override("shore_earth_ohm", median=4.0, spread=2.0)
    assert hash(own) == hash(pickle.loads(pickle.dumps(own)))  # noqa: S301 - our own
    assert pickle.loads(pickle.dumps(own)) == own  # noqa: S301 - our own


def test_no_reason_is_said_to_be_none() -> None:
    own = TABLE.override("shore_earth_ohm", median=4.0, spread=2.0)
    mine = own["shore_earth_ohm"]
    assert "no reason" in mine.source
    assert (mine.unit, mine.low, mine.high) == (ROW.unit, ROW.low, ROW.high)


@pytest.mark.parametrize(
    ("change", "match"),
    [
        ({"median": 0.0, "low": 0.0}, "median must be positive"),
        ({"median": float("nan")}, "median must be positive"),
        ({"median": 51.0}, r"between 0\.02 and 50 Ω, got 51"),
        ({"geometric_sd": 0.9}, "geometric standard deviation"),
        ({"geometric_sd": float("nan")}, "geometric standard deviation"),
        ({"geometric_sd": float("inf")}, "geometric standard deviation"),
        ({"high": float("inf")}, "median must be positive"),
        ({"source": ""}, "needs a source"),
        ({"status": "hearsay"}, "needs a source, and one of"),
    ],
)
def test_refuses_an_impossible_entry(change: dict[str, object], match: str) -> None:
    with pytest.raises(InputError, match=match):
        replace(ROW, **change)  # type: ignore[arg-type] # that is the test


@pytest.mark.parametrize("median", [51.0, -1.0, 0.0])
def test_refuses_to_override_beyond_the_limits(median: float) -> None:
    with pytest.raises(InputError, match="shore_earth_ohm: median must"):
        TABLE.override("shore_earth_ohm", median=median, spread=2.0, why="")


def test_offers_the_nearest_name() -> None:
    match = "no assumption 'pit_factor'; did you mean 'pitting_factor'"
    with pytest.raises(LookupFailed, match=match):
        TABLE.override("pit_factor", median=3.0, spread=1.5, why="")
