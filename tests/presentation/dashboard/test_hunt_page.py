"""The hunt on the page: begun, written step by step, taken back, ended in the log."""

from pathlib import Path

import pytest
from presentation.dashboard.apppages import said, shown
from streamlit.testing.v1 import AppTest

from corrosion.inspection.cautions import CLAMP
from corrosion.presentation.dashboard import components
from corrosion.presentation.dashboard.markup import escape
from corrosion.records.folder.read import read_ship
from corrosion.records.folder.save_table import append_row, read_table, write_table

FAULT = "GP-087"  # of the demo: begun, looked, emergency lighting clamped at 70 mA


def press(test: AppTest, label: str) -> AppTest:
    test = next(b for b in test.button if b.label == label).click().run()
    assert not test.exception
    return test


def begun(own: Path, *rows: tuple[str, str, str]) -> None:
    """Write a hunt on the ship's service, as somebody would by hand."""
    every = [("began", "ship service", "alongside"), *rows]
    for k, (act, circuit, result) in enumerate(every):
        row = {"time": f"2026-11-24 10:{k:02d}", "by": "third engineer"}
        cells = row | {"act": act, "circuit": circuit, "result": result}
        append_row(own, "hunts/ship service-2026-11-24", cells)


def acts(own: Path, hunt: str) -> list[tuple[str, str, str]]:
    rows, _ = read_table(own, f"hunts/{hunt}")
    return [(row["act"], row["circuit"], row["result"]) for row in rows]


def test_what_may_not_be_opened_says_why_and_can_be_written_down(own: Path) -> None:
    test = shown("hunt", ship="grey-plover", fault=FAULT)
    assert not test.exception
    words = said(test)
    assert "Nothing more may be done" in words
    assert "emergency lighting" in words
    assert "never, by circuits.csv" in words
    assert "ask chief engineer" in words
    press(test, "Write it into the log")
    assert "Nothing was saved: write by whom" in said(test)
    test.text_input[0].set_value("chief engineer")
    press(test, "Write it into the log")
    assert acts(own, FAULT)[-1] == ("isolated", "emergency lighting", "")
    (fault,) = [f for f in read_ship(own).faults if f.fault == FAULT]
    assert (fault.isolated_by, fault.circuit) == (
        "chief engineer",
        "emergency lighting",
    )


def test_it_is_begun_by_name_or_not_at_all(own: Path) -> None:
    append_row(
        own,
        "faults",
        {"fault": "GP-088", "system": "ship service", "found": "2026-11-24"},
    )
    test = shown("hunt", ship="grey-plover", fault="GP-088")
    press(test, "Begin the hunt")
    assert "Nothing has begun" in said(test)
    assert not (own / "hunts" / "GP-088.csv").exists()
    assert read_ship(own).hunts[0].hunt == FAULT


def test_a_clamp_needs_its_milliamperes(
    own: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    begun(own, ("looked", "", "stayed"))
    name = "ship service-2026-11-24"
    test = shown("hunt", ship="grey-plover", fault=name)
    assert escape(CLAMP) in said(test)
    assert next(b for b in test.button if b.label == "Shows it").disabled

    def typed(label: str, *, key: str, said: str = "") -> str:
        return "3,5"

    monkeypatch.setattr(components, "typed_number", typed)
    test = press(shown("hunt", ship="grey-plover", fault=name), "Shows nothing")
    act, first, result = acts(own, name)[-1]
    assert (act, result) == ("clamped", "3.5")
    assert f"{first}</s>" in said(test)
    press(test, next(b.label for b in test.button if b.label.startswith("Take back")))
    assert acts(own, name)[-1][0] == "looked"


def test_a_hunt_that_nobody_logged_ends_as_a_new_fault(own: Path) -> None:
    begun(own, ("looked", "", "stayed"), ("opened", "galley", "went"))
    name = "ship service-2026-11-24"
    append_row(
        own,
        f"hunts/{name}",
        {"time": "2026-11-24 11:00", "act": "tested", "circuit": "galley"}
        | {"result": "350"},
    )
    test = shown("hunt", ship="grey-plover", fault=name)
    assert "The fault is on galley" in said(test)
    test.radio[0].set_value("cleared")
    test.text_input[0].set_value("third engineer")
    press(test, "Write it into the log")
    assert "galley stands open. Write it isolated, or close it first" in said(test)
    test.radio[0].set_value("isolated")
    press(test, "Write it into the log")
    ship = read_ship(own)
    (new,) = [f for f in ship.faults if f.remark == f"hunt {name}"]
    assert (new.fault, new.circuit, new.isolated_by) == (
        "GP-088",
        "galley",
        "third engineer",
    )
    assert acts(own, name)[-1][:2] == ("isolated", "galley")


def test_a_save_that_was_broken_off_is_gone_on_with(own: Path) -> None:
    """The hunt's file says isolated, the log does not: one press mends it."""
    for act, circuit, result in (
        ("opened", "emergency lighting", "went"),
        ("isolated", "emergency lighting", ""),
    ):
        row = {"time": "2026-11-24 12:00", "by": "chief", "act": act}
        append_row(own, f"hunts/{FAULT}", row | {"circuit": circuit, "result": result})
    test = shown("hunt", ship="grey-plover", fault=FAULT)
    assert "the log does not yet" in said(test)
    press(test, "Write it into the log")
    (fault,) = [f for f in read_ship(own).faults if f.fault == FAULT]
    assert fault.isolated is not None
    assert fault.isolated_by == "chief"


@pytest.mark.usefixtures("own")
def test_an_unknown_hunt_offers_those_there_are() -> None:
    test = shown("hunt", ship="grey-plover", fault="GP-999")
    assert "is no hunt, fault or system of hers" in said(test)
    labels = [button.label.replace("\\", "") for button in test.button]
    assert f"Go on: {FAULT}" in labels
    press(test, f"Go on: {FAULT}")
    assert "2 steps written" in said(test)


def test_a_vital_circuit_is_offered_once_its_word_is_given(own: Path) -> None:
    begun(own, ("looked", "", "stayed"))
    name = "ship service-2026-11-24"
    test = shown("hunt", ship="grey-plover", fault=name)
    (box,) = test.multiselect
    first = box.options[0]
    assert f"- {first} (" in said(test)
    box.set_value([first]).run()
    assert not test.exception
    assert f"- {first} (" not in said(test)  # no longer withheld
    assert test.multiselect[0].value == [first]
    test.multiselect[0].set_value([]).run()
    assert f"- {first} (" in said(test)


def test_half_of_what_is_left_is_opened_together_where_the_rules_let_it(
    own: Path,
) -> None:
    rows, seen = read_table(own, "circuits")
    some = [row for row in rows if row["system"] == "ship service"]
    for row in some:
        row |= {"open_when": "any time", "vital": "no", "permission": "none"}
        row |= {"spare_of": ""}
    write_table(own, "circuits", tuple(rows), seen)
    silent = [("clamped", row["circuit"], "0") for row in some]
    begun(own, ("looked", "", "stayed"), *silent)
    test = shown("hunt", ship="grey-plover", fault="ship service-2026-11-24")
    (half,) = [one for one in test.toggle if "Open half" in one.label]
    assert not half.value  # one by one is what stands there first
    half.set_value(True).run()
    assert "Also stops" in said(test)
    assert "prove dead" in said(test)
    press(test, "Went")
    written = [
        row for row in acts(own, "ship service-2026-11-24") if row[0] == "opened"
    ]
    assert len(written) > 1
    assert {row[2] for row in written[:-1]} == {"together"}
    assert written[-1][2] == "went"
    assert "STANDS OPEN" in said(test)  # each is closed again before anything else
