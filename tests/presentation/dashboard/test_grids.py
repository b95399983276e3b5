"""Tests of dashboard.grids: a table as cards holds what the grid holds."""

import pandas as pd

from corrosion.presentation.dashboard.grids import cards

HOSTILE = '<b onclick="x()">'


def test_a_card_is_called_by_its_first_words_and_leaves_blanks_out() -> None:
    frame = pd.DataFrame({"No.": ["1"], "Zone": ["M3"], "Lost": ["9.6"], "By": ["-"]})
    said = cards(frame, "zones")
    assert "<b>M3</b>" in said
    assert "<small>Lost</small> 9.6" in said
    assert "By" not in said


def test_every_row_is_there_the_later_ones_folded_away() -> None:
    frame = pd.DataFrame({"zone": [f"zone {k}" for k in range(30)]})
    first, _, folded = cards(frame, "zones").partition("<details>")
    assert all(f"zone {k}</b>" in first + folded for k in range(30))
    assert "zone 9<" in first
    assert "<summary>20 more rows</summary>" in folded


def test_words_from_the_records_are_text() -> None:
    said = cards(pd.DataFrame({HOSTILE: [HOSTILE], "x": [HOSTILE]}), HOSTILE)
    assert HOSTILE not in said
    assert said.count("&lt;b onclick") == 3
