"""Tests of the page of rounds: typed in, looked at, saved whole, undone."""

from pathlib import Path
from typing import Any

import pytest
from presentation.dashboard.apppages import said, shown
from streamlit.testing.v1 import AppTest

from corrosion.inspection.cautions import SHORE, SURVEY
from corrosion.presentation.dashboard.hook_up_part import hook_up_card
from corrosion.presentation.dashboard.rounds_page import round_sheet
from corrosion.records.folder.read import read_ship
from corrosion.records.folder.save_table import read_table


def entry(test: AppTest, kind: str, label: str) -> Any:
    """Return the first entry of a kind whose label begins so."""
    some: Any = test.get(kind)
    return next(one for one in some if one.label.startswith(label))


def press(test: AppTest, label: str) -> AppTest:
    test = entry(test, "button", label).click().run()
    assert not test.exception
    return test


def added(own: Path, table: str, before: int) -> list[dict[str, str]]:
    rows, _ = read_table(own, table)
    return [{k: v for k, v in row.items() if v} for row in rows[before:]]


def test_a_round_is_saved_and_a_fault_is_not_one(own: Path) -> None:
    before = len(read_table(own, "readings")[0])
    test = shown("rounds")
    assert "the last healthy round was" in said(test)
    entry(test, "number_input", "Insulation monitor of ship").set_value(4.0).run()
    assert "below its alarm" in said(test)
    assert entry(test, "button", "Save").disabled
    entry(test, "number_input", "Insulation monitor of ship").set_value(400.0).run()
    entry(test, "number_input", "Direct (mA)").set_value(26.0).run()
    press(test, "Save")
    rows = added(own, "readings", before)
    assert [row.get("monitor_ohm", row.get("amps")) for row in rows] == [
        "400000",
        "0.026",
    ]
    assert "The round is saved" in said(test)
    press(test, "Undo")
    assert added(own, "readings", before) == []


def test_a_hook_up_ends_the_stay_before_and_begins_another(own: Path) -> None:
    old, _ = read_table(own, "berths")
    readings = len(read_table(own, "readings")[0])
    test = shown("rounds", round="Shore hook-up")
    assert SHORE in said(test)
    entry(test, "text_input", "Connected").set_value("2026-11-20").run()
    entry(test, "text_input", "Berth").set_value("Invented quay").run()
    entry(test, "text_input", "Protective").set_value("3").run()
    assert "Do not connect until" in said(test)
    entry(test, "text_input", "Protective").set_value("0,15").run()
    entry(test, "number_input", "Before: volts").set_value(0.25).run()
    entry(test, "number_input", "After: earth lead, direct").set_value(12.0).run()
    press(test, "Save")
    rows, _ = read_table(own, "berths")
    assert rows[len(old) - 1]["to"] == "2026-11-20"
    (new,) = added(own, "berths", len(old))
    assert (new["from"], new["earth_cable_ohm"], new["earth_couple_v"]) == (
        "2026-11-20",
        "0.15",
        "0.25",
    )
    assert added(own, "readings", readings)[0]["amps"] == "0.012"
    last = read_ship(own).berths[-1]
    assert (last.berth, last.earth_cable, last.end) == ("Invented quay", 0.15, None)
    press(test, "Undo")
    assert read_table(own, "berths")[0] == old


def test_a_survey_refuses_what_the_circuit_cannot_bear_and_what_is_a_fault(
    own: Path,
) -> None:
    before = len(read_table(own, "readings")[0])
    test = shown("rounds", round="Insulation")
    assert SURVEY in said(test)
    entry(test, "number_input", "After 1 minute").set_value(0.001).run()
    assert "Choose the circuit" in said(test)
    entry(test, "selectbox", "Circuit, isolated").set_value("fire pump").run()
    assert "is a fault, not a sound branch" in said(test)
    entry(test, "number_input", "After 1 minute").set_value(20.0).run()
    entry(test, "number_input", "Test volts").set_value(1000.0).run()
    assert "of which circuits.csv says: 500" in said(test)
    entry(test, "number_input", "Test volts").set_value(500.0).run()
    entry(test, "number_input", "Temperature").set_value(20.0).run()
    entry(test, "number_input", "After 10 minutes").set_value(50.0).run()
    press(test, "Save")
    assert [row["minutes"] for row in added(own, "readings", before)] == ["1", "10"]
    assert "Lowest of 1 circuits at 40 °C: fire pump, 5.00 MΩ." in said(test)
    assert test.dataframe[0].value["Polarisation index"][0] == "2.5"


@pytest.mark.usefixtures("ships")
def test_the_docking_list_says_what_to_renew_and_prints_with_boxes() -> None:
    test = shown("rounds", ship="saltmarsh", round="Docking list")
    words = said(test)
    assert "to gauge before the yard decides" in words
    assert 'class="sheet"' in words
    assert " to " in test.dataframe[0].value["Diminution (%)"][0]


def test_sheets_carry_their_cautions_and_a_box_for_each_reading(own: Path) -> None:
    ship = read_ship(own)
    sheet, card = round_sheet(ship), hook_up_card(ship)
    assert sheet.count("monitor, kΩ") == len(ship.systems)
    assert "Even lamps prove nothing" in sheet
    assert "never lifted, opened or bypassed" in card
    assert card.count("□ done") == 8
