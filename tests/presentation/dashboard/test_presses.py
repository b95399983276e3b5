"""A press is carried out, and once: also where its drawing is broken off."""

import re
from collections.abc import Callable
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from presentation.dashboard.apppages import said, shown
from streamlit.proto.WidgetStates_pb2 import WidgetStates
from streamlit.runtime.scriptrunner import (
    RerunData,
    RerunException,
    get_script_run_ctx,
)
from streamlit.testing.v1 import AppTest

from corrosion.foundation.errors import InputError
from corrosion.presentation.dashboard import cached, components
from corrosion.presentation.dashboard.entries import Form
from corrosion.presentation.dashboard.presses import Press, Presses, read_whole
from corrosion.records.folder.read import read_ship
from corrosion.records.folder.save_table import append_row, read_table, save_tables


def broken_off(monkeypatch: pytest.MonkeyPatch, where: Any, name: str) -> list[str]:
    """Break the next drawing off where it calls something, as a field does.

    The browser tells what stands in the fields again, and no press a second time.
    """
    whole, broken = getattr(where, name), list[str]()

    def breaks(*told: Any, **more: Any) -> Any:
        if not broken:
            broken.append(name)
            ctx = get_script_run_ctx()
            assert ctx is not None
            every = ctx.session_state.get_widget_states()
            stand = [one for one in every if one.WhichOneof("value") != "trigger_value"]
            states = WidgetStates(widgets=stand)
            raise RerunException(RerunData(ctx.query_string, states))
        return whole(*told, **more)

    monkeypatch.setattr(where, name, breaks)
    return broken


def press(test: AppTest, label: str) -> None:
    next(b for b in test.button if b.label.startswith(label)).click().run()
    assert not test.exception


def a_fault(own: Path) -> tuple[AppTest, str]:
    return shown("log"), "Add to the log"


def a_fault_cleared(own: Path) -> tuple[AppTest, str]:
    test = shown("log", log="Isolated or cleared")
    test.main.radio[0].set_value("cleared")
    return test, "Save"


def a_round(own: Path) -> tuple[AppTest, str]:
    test = shown("rounds")
    field: Any = next(n for n in test.number_input if n.label.startswith("Direct"))
    field.set_value(26.0).run()
    return test, "Save"


def an_undo(own: Path) -> tuple[AppTest, str]:
    row = {"fault": "GP-088", "system": "ship service", "found": "2026-11-24"}
    append_row(own, "faults", row)
    row = {"fault": "GP-089", "system": "ship service", "found": "2026-11-24"}
    append_row(own, "faults", row)
    return shown("log"), "Undo the last save"


def a_row(own: Path) -> tuple[AppTest, str]:
    test = shown("log", log="Gaugings")
    field: Any = next(f for f in test.text_input if f.label == "thickness_mm")
    field.set_value("8.7")
    return test, "Save"


def a_hunt(own: Path) -> tuple[AppTest, str]:
    row = {"fault": "GP-088", "system": "ship service", "found": "2026-11-24"}
    append_row(own, "faults", row)
    test = shown("hunt", ship="grey-plover", fault="GP-088")
    lies: Any = test.get("button_group")[0]
    lies.set_value("alongside")
    test.text_input[0].set_value("second engineer")
    return test, "Begin the hunt"


def the_end_of_a_hunt(own: Path) -> tuple[AppTest, str]:
    test = shown("hunt", ship="grey-plover", fault="GP-087")
    test.text_input[0].set_value("chief engineer")
    return test, "Write it into the log"


FORMS = [
    (a_fault, 1),
    (a_fault_cleared, 1),
    (a_round, 1),
    (an_undo, -1),
    (a_row, 1),
    (a_hunt, 1),
    (the_end_of_a_hunt, 2),  # its file, then the log
]
"""What is pressed, and by how much the saves that are kept grow."""


def saves(own: Path) -> int:
    """Return how many saves the folder keeps; an undo takes one away."""
    return len(list((own / "kept").glob("*.json")))


@pytest.mark.parametrize(("form", "made"), FORMS)
def test_a_press_while_the_page_is_drawn_again_is_carried_out_once(
    own: Path,
    monkeypatch: pytest.MonkeyPatch,
    form: Callable[[Path], tuple[AppTest, str]],
    made: int,
) -> None:
    monkeypatch.setattr(components, "narrow", lambda: form is a_row)
    test, label = form(own)
    many = saves(own)
    broken = broken_off(monkeypatch, cached, "dangers")
    press(test, label)
    assert broken
    assert saves(own) == many + made
    assert len(test.success) == 1
    assert not test.error
    test.run()
    assert saves(own) == many + made


def test_what_follows_a_save_is_done_though_it_is_broken_off(
    own: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    test, label = a_round(own)
    broken = broken_off(monkeypatch, Form, "done")
    press(test, label)
    assert broken
    assert "The round is saved" in said(test)
    field: Any = next(n for n in test.number_input if n.label.startswith("Direct"))
    assert field.value is None


def test_a_refusal_is_said_though_it_is_broken_off(
    own: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = read_table(own, "faults")
    test = shown("log")
    test.text_input[1].set_value("yesterday")
    broken = broken_off(monkeypatch, cached, "dangers")
    press(test, "Add to the log")
    assert broken
    assert "Nothing was saved: put it right" in said(test)
    test.text_input[1].set_value("2026-11-25 08:15")
    press(test, "Add to the log")  # and the next press is another one
    assert "GP-088 is in the log" in said(test)
    assert len(read_table(own, "faults")[0]) == len(before[0]) + 1


def test_a_press_whose_page_was_left_is_told(own: Path) -> None:
    test, label = a_round(own)
    next(b for b in test.button if b.label == label).click()
    test.query_params["round"] = "Docking list"
    test.session_state["round"] = "Docking list"
    test.run()
    assert not test.exception
    assert "Save was pressed, but the page was left" in said(test)
    test.run()
    assert "was pressed" not in said(test)


def test_a_second_press_on_what_has_written_since_is_none() -> None:
    here, written = Presses(), list[str]()
    here.note("save", "Save", here.times("save"))
    waiting = here.waits("save")
    assert isinstance(waiting, Press)
    waiting.write(lambda: written.append("once"))
    here.note("save", "Save", 0)  # the browser had not drawn it anew
    assert here.waits("save") is None
    here.note("save", "Save", here.times("save"))
    assert here.waits("save") is not None

    def refuses() -> None:
        raise InputError("full")

    with pytest.raises(InputError, match="full"):
        waiting.write(refuses)
    here.note("save", "Save", 1)  # what was refused can be pressed again
    assert here.waits("save") is not None


def test_a_callback_that_is_broken_off_where_it_reads_still_notes() -> None:
    asked, used = [RerunData("one"), RerunData("two")], list[int]()

    def read() -> int:
        if asked:
            raise RerunException(asked.pop(0))
        return 7

    with pytest.raises(RerunException) as told:
        read_whole(read, used.append)
    assert used == [7]
    assert told.value.rerun_data.query_string == "two"


def begun(own: Path, *acts: str) -> str:
    """Write a hunt on the ship's service as far as nothing was opened."""
    hunt = "ship service-2026-11-24"
    row = {"time": "2026-11-24 10:00", "by": "mate", "act": "began"}
    append_row(
        own, f"hunts/{hunt}", row | {"circuit": "ship service", "result": "alongside"}
    )
    for act in acts:
        append_row(own, f"hunts/{hunt}", row | {"act": act, "result": "stayed"})
    return hunt


def test_a_step_of_a_hunt_is_answered_once(own: Path) -> None:
    """Two taps, or two telephones: the second answers a step that it does not show."""
    hunt = begun(own)
    test = shown("hunt", ship="grey-plover", fault=hunt)
    begun_by_hand = {"time": "2026-11-24 10:01", "by": "cook", "act": "looked"}
    save_tables(own, {f"hunts/{hunt}": [begun_by_hand | {"result": "stayed"}]})
    before = read_table(own, f"hunts/{hunt}")
    press(test, "It is there")
    assert "Nothing was written: this step was answered" in said(test)
    assert read_table(own, f"hunts/{hunt}") == before
    test.run()
    assert "Nothing was written" not in said(test)


def test_what_was_offered_to_be_taken_back_is_and_nothing_else(own: Path) -> None:
    hunt = begun(own, "looked")
    test = shown("hunt", ship="grey-plover", fault=hunt)
    row = {"fault": "GP-088", "system": "ship service", "found": "2026-11-24"}
    append_row(own, "faults", row)
    many = saves(own)
    press(test, "Take back")
    assert "something was saved or taken back since it was offered" in said(test)
    assert saves(own) == many


def test_a_figure_is_written_as_it_stands_at_the_press(
    own: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The page was drawn with a 4; the second digit came with the press."""
    monkeypatch.setattr(components, "typed_number", lambda *_, **__: "4")
    hunt = begun(own, "looked")
    test = shown("hunt", ship="grey-plover", fault=hunt)
    name = re.search(r'class="name">([^<]*)<', said(test))
    assert name is not None
    (circuit,) = (
        one.circuit
        for one in read_ship(own).circuits
        if one.system == "ship service"
        and one.circuit.casefold() == unescape(name[1]).casefold()
    )
    test.session_state[f"{hunt} 2 {circuit}"] = {"text": "44"}
    press(test, "Shows it")
    (last,) = read_table(own, f"hunts/{hunt}")[0][2:]
    assert (last["act"], last["result"]) == ("clamped", "44")
