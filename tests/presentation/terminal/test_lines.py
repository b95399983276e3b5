"""Tests of terminal.lines: tables that fit, text that does nothing."""

import unicodedata
from operator import itemgetter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corrosion.presentation.tables.table import NUMBER, WORD, Table, made
from corrosion.presentation.terminal.lines import grid, printable

WORDS = st.text(alphabet="ab -é", min_size=1, max_size=30)


@settings(deadline=None)
@given(st.lists(st.tuples(WORDS, WORDS, WORDS), max_size=4), st.integers(20, 200))
def test_a_table_is_as_wide_as_the_terminal_at_most(
    rows: list[tuple[str, ...]], width: int
) -> None:
    kinds = {"zone": WORD, "left (mm)": NUMBER, "remark of the crew": ""}
    columns = tuple(made(head, itemgetter(head), kind) for head, kind in kinds.items())
    cells = [dict(zip(kinds, row, strict=True)) for row in rows]
    table = Table(name="t", caption="t", columns=columns, rows=cells)
    longest = max([9, *(len(row[0]) for row in rows)])
    for line in grid(table, width).splitlines():
        assert len(line) <= max(width, longest)


@pytest.mark.parametrize("width", [10, 30])
def test_columns_that_are_left_out_are_named(width: int) -> None:
    columns = tuple(
        made(head, lambda _: "1234567", NUMBER) for head in ("first", "second", "third")
    )
    table = Table(name="t", caption="t", columns=columns, rows=[{}])
    text = " ".join(grid(table, width).split())
    assert ("second; third" in text) is (width == 10)


@settings(deadline=None)
@given(st.text())
def test_nothing_in_printed_text_moves_the_cursor(text: str) -> None:
    said = printable(text)
    assert not [c for c in said if c != "\n" and unicodedata.category(c) == "Cc"]
    assert printable("\x1b[31m") == "\\x1b[31m"
