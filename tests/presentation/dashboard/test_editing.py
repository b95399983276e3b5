"""Tests of dashboard.editing on a telephone: one row as fields, the rest as cards."""

from pathlib import Path

import pytest
from presentation.dashboard.apppages import said, shown

from corrosion.presentation.dashboard import components
from corrosion.records.folder.save_table import read_table


def test_one_row_is_amended_added_and_removed_without_a_grid(
    own: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(components, "narrow", lambda: True)
    before, _ = read_table(own, "gaugings")
    test = shown("log", log="Gaugings")
    assert not test.exception
    assert not test.dataframe
    assert f"<b>{before[0]['zone']}</b>" in said(test)
    fields = {field.label: field for field in test.text_input}
    fields["thickness_mm"].set_value("8.7")
    press(test, "Save")
    rows, _ = read_table(own, "gaugings")
    assert rows == ({**before[0], "thickness_mm": "8.7"}, *before[1:])
    test.main.selectbox[0].set_value(len(before)).run()
    choices = {box.label: box for box in test.main.selectbox}
    choices["zone"].set_value(before[0]["zone"])
    fields = {field.label: field for field in test.text_input}
    fields["date"].set_value("2026-11-20")
    fields["thickness_mm"].set_value("8.6")
    press(test, "Save")
    assert read_table(own, "gaugings")[0][-1]["thickness_mm"] == "8.6"
    test.main.selectbox[0].set_value(len(before)).run()
    press(test, "Remove this row")
    assert read_table(own, "gaugings")[0] == rows


def press(test: object, label: str) -> None:
    (button,) = (b for b in test.button if b.label == label)  # type: ignore[attr-defined]
    button.click().run()
