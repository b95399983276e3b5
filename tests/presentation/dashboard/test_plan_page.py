"""Tests of the gauging plan: days and cautions on paper, readings typed back in."""

import re
from pathlib import Path

import pytest
from presentation.dashboard.apppages import said, shown
from streamlit.testing.v1 import AppTest

import corrosion
from corrosion.inspection.cautions import DIVER, ENCLOSED, ESTIMATE
from corrosion.presentation.answers.plan import gaugeable
from corrosion.presentation.answers.plan_choice import plan_days, plan_rows, weigh
from corrosion.presentation.dashboard.sheets import plan_sheet
from corrosion.records.folder.save_table import read_table

TYPED = {"sheet": "Type readings in"}


def first_zone(test: AppTest, folder: Path) -> tuple[str, str]:
    """Return the label of the sheet's first zone, and its id."""
    zones, _ = read_table(folder, "zones")
    ids = {f"Readings of {row['name']}, mm": row["zone"] for row in zones}
    return next((x.label, ids[x.label]) for x in test.text_input if x.label in ids)


def type_in(test: AppTest, label: str, text: str) -> AppTest:
    entry = next(one for one in test.text_input if one.label == label)
    return entry.set_value(text).run()


def press(test: AppTest, label: str) -> AppTest:
    return next(one for one in test.button if one.label == label).click().run()


def test_readings_are_typed_in_checked_saved_and_undone(own: Path) -> None:
    before, _ = read_table(own, "gaugings")
    test = shown("plan", **TYPED)
    assert re.search(r"Type the sheet in: [2-9] zones", said(test))
    label, zone = first_zone(test, own)
    type_in(test, label, "8.1 7.9 x")
    assert "One zone cannot be saved as typed" in said(test)
    assert "is no thickness" in said(test)
    assert next(b for b in test.button if b.label.startswith("Save")).disabled
    type_in(test, label, "8.1 7.9 8,0")
    assert re.search(
        r"1 of [2-9] zones typed in, 3 readings; nothing is saved yet", said(test)
    )
    assert "mean <b>8.00 mm</b>" in said(test)
    assert read_table(own, "gaugings")[0] == before
    press(test, "Save the gaugings")
    assert not test.exception
    assert "1 row added to gaugings.csv" in said(test)
    (row,) = (row for row in read_table(own, "gaugings")[0] if row not in before)
    assert (row["zone"], row["thickness_mm"], row["readings"]) == (zone, "8", "3")
    undo = next(b.label for b in test.button if b.label.startswith("Undo"))
    press(test, undo)
    assert read_table(own, "gaugings")[0] == before


@pytest.mark.usefixtures("ships")
def test_who_cannot_write_is_told_and_the_plan_stands() -> None:
    test = shown("plan", ship="grey-plover")
    assert re.search(r"Gauge [2-9] zones", said(test))
    assert not test.exception


def test_what_is_printed_is_a_sheet_a_day_with_its_cautions(own: Path) -> None:
    result = corrosion.estimate(own, samples=64, seed=1)
    could = gaugeable(result)
    rows, known = plan_rows(result, could), could.known
    choice = weigh(known, rows, [row.card.zone for row in rows])
    days = plan_days(choice, day_hours=8.0)
    assert sum(len(some) for _, some in days) == len(rows)
    assert all(day.hours <= 8.0 for day, _ in days)
    assert len({day.access for day, _ in days}) == len({r.card.access for r in rows})
    words = plan_sheet(result, choice)
    assert words.count('class="page"') == len(days)
    for text in (DIVER, ENCLOSED, ESTIMATE):
        assert text in words.replace("&#39;", "'")
