"""Tests of foundation.kept_objects, in the order: laws, edges."""

import json
import warnings
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from ships import berth, fault, ship

from corrosion.foundation import cache
from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.cache import digest, forget
from corrosion.foundation.errors import ValidityWarning
from corrosion.foundation.kept_objects import kept
from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array
from corrosion.leakage.time_intervals import Stay
from corrosion.wastage.uncertain import draw_zones

AT = np.linspace(0.0, 1.0, 7)
PLACE = berth("2001", None, "own")
SHIP_PAINT = draw_zones(ship(), Draws(4, 1, default_assumptions())).paint


@pytest.fixture(autouse=True)
def own_cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("CORROSION_CACHE", str(tmp_path / "kept"))
    return tmp_path / "kept"


def never() -> Any:
    pytest.fail("was computed again")


def again(thing: object, known: tuple[object, ...] = ()) -> Any:
    """Keep a thing and return what is read of its file."""
    kept("thing", lambda: thing, known=known)
    forget()
    return kept("thing", never, known=known)


WHOLE: Mapping[Any, Any] = {
    "words": ("M3: 60 % — à l'aube", "", '"', None, True),
    3: [1, -2.5, float("inf"), date(2026, 11, 26), Path("a/b")],
    "arrays": (AT, AT.astype(np.float32)[:, None], AT > 0.5, np.zeros((0, 3)), AT[3]),
    "days": np.array(["2026-01-02"], dtype="M8[s]"),
    "row": fault("A", "2012-03-01", "2012-05-01", conductor="a", insulation=900.0),
    "table": default_assumptions(),  # a mapping, and a dataclass
    "nothing": ({}, [], ()),
}


def test_kept_and_fresh_are_the_same_to_the_bit() -> None:
    found = again(WHOLE)
    assert digest(found) == digest(WHOLE)
    assert [type(each) for each in found["arrays"]] == [*[np.ndarray] * 4, np.float64]
    assert found["days"].dtype == WHOLE["days"].dtype
    assert found["row"] == WHOLE["row"]
    assert type(found["table"]) is type(WHOLE["table"])


def test_a_table_of_any_things_keeps_its_shape() -> None:
    table = np.array([[date(2026, 1, 2), None], ["a", 2.0]], dtype=object)
    assert again(table).tolist() == table.tolist()


def test_what_is_made_again_when_asked_for_is_not_kept() -> None:
    paint = SHIP_PAINT.at(1e9, slice(None))
    first, second = again((SHIP_PAINT, replace(SHIP_PAINT)))
    assert not first._known
    assert first._known is not second._known
    assert digest(first.at(1e9, slice(None))) == digest(paint)


def test_what_is_one_thing_stays_one_thing() -> None:
    one = replace(PLACE)
    first, second, table, other = again((one, [one], {"a": AT}, AT))
    assert second[0] is first
    assert table["a"] is other


def test_what_is_known_is_not_kept_but_held_again(own_cache: Path) -> None:
    large = np.zeros(100_000)
    found = again([large, PLACE], known=(large, PLACE))
    assert found[0] is large
    assert found[1] is PLACE
    assert sum(path.stat().st_size for path in own_cache.iterdir()) < 1000


def test_what_is_doubted_is_doubted_again() -> None:
    def doubtful() -> Array:
        warnings.warn("beyond the table", ValidityWarning, stacklevel=1)
        return AT

    for compute in (doubtful, never):
        with pytest.warns(ValidityWarning, match="beyond the table"):
            kept("doubtful", compute)
        forget()


def test_a_line_counts_where_it_is_told() -> None:
    """A row that moved down its file is another row only where words name its line."""
    row = fault("A", "2012-03-01", "2012-05-01")
    rows = [replace(row, line=line) for line in (3, 4)]
    said = [kept(("told", one), lambda: one.line, lines=True) for one in rows]  # noqa: B023
    assert said == [3, 4]
    said = [kept(("quiet", one), lambda: one.line) for one in rows]  # noqa: B023
    assert said == [3, 3]


@dataclass
class Stranger:
    one: float


@pytest.mark.parametrize("thing", [Stranger(1.0), {1, 2}, 1j, Stay])
def test_what_cannot_be_told_is_a_fault(thing: object) -> None:
    with pytest.raises(TypeError, match="cannot keep"):
        kept("thing", lambda: thing)


def test_a_file_that_names_anything_else_runs_nothing(own_cache: Path) -> None:
    kept("thing", lambda: PLACE)
    (path,) = own_cache.iterdir()
    letters = json.dumps(["tuple", ["os:system", "true"], ["list"]]).encode()
    with path.open("wb") as file:
        cache._write(file, {"told": np.frombuffer(letters, dtype=np.uint8)})
    forget()
    with pytest.raises(TypeError, match="cannot keep"):
        kept("thing", never)
