"""Tests of foundation.errors: what callers can catch, and what a sailor reads."""

import pickle

import pytest

from corrosion.foundation.errors import (
    CorrosionError,
    InputError,
    LookupFailed,
    Problem,
    RecordError,
    ValidityWarning,
)

PROBLEM = Problem(
    file="zones.csv", line=3, column="built_mm", found="'x'", expected="a number (mm)"
)


@pytest.mark.parametrize(
    ("error", "builtin"),
    [
        (InputError("x"), ValueError),
        (LookupFailed("x"), LookupError),
        (RecordError([PROBLEM]), ValueError),
    ],
)
def test_one_base_class_and_the_builtin_that_callers_expect(
    error: Exception, builtin: type[Exception]
) -> None:
    assert isinstance(error, CorrosionError)
    assert isinstance(error, builtin)


def test_a_warning_is_no_error() -> None:
    assert issubclass(ValidityWarning, UserWarning)
    assert not issubclass(ValidityWarning, CorrosionError)


def test_offers_the_nearest_name_and_lists_the_known() -> None:
    error = LookupFailed.among("zone", "A-2", ["A-1", "RUD"])
    assert str(error) == "no zone 'A-2'; did you mean 'A-1'? known: A-1, RUD"


def test_offers_nothing_where_nothing_is_near() -> None:
    assert str(LookupFailed.among("zone", "x", ["RUD"])) == "no zone 'x'; known: RUD"
    assert str(LookupFailed.among("zone", "x", [])) == "no zone 'x'; known: none"


def test_takes_names_from_any_iterable() -> None:
    error = LookupFailed.among("zone", "A-2", iter(["A-1"]))
    assert "did you mean 'A-1'? known: A-1" in str(error)


@pytest.mark.parametrize(
    ("line", "column", "text"),
    [
        (3, "built_mm", "zones.csv:3: built_mm: 'x'; a number (mm)"),
        (3, "", "zones.csv:3: 'x'; a number (mm)"),
        (None, "built_mm", "zones.csv: built_mm: 'x'; a number (mm)"),
        (None, "", "zones.csv: 'x'; a number (mm)"),
    ],
)
def test_a_problem_says_where_what_and_what_to_do(
    line: int | None, column: str, text: str
) -> None:
    problem = Problem(
        file="zones.csv",
        line=line,
        column=column,
        found="'x'",
        expected="a number (mm)",
    )
    assert str(problem) == text


def test_a_record_error_carries_every_problem() -> None:
    other = Problem(file="ship.toml", line=None, column="", found="a", expected="b")
    error = RecordError(p for p in (PROBLEM, other))
    assert error.problems == (PROBLEM, other)
    assert str(error).splitlines() == [str(PROBLEM), str(other)]


def test_a_problem_can_be_sent_to_another_process() -> None:
    assert pickle.loads(pickle.dumps(PROBLEM)) == PROBLEM  # noqa: S301 - our own bytes
