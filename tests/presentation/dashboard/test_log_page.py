import csv
import io
from pathlib import Path

import pandas as pd
import pytest
from presentation.dashboard.apppages import said, shown
from streamlit.testing.v1 import AppTest

from corrosion.presentation.dashboard.serve import SHIPS
from corrosion.presentation.demo import demo_folder
from corrosion.records.folder.save_table import append_row, read_table, replace_row


def row_of(folder: Path, fault: str) -> dict[str, str]:
    rows, _ = read_table(folder, "faults")
    return next(row for row in rows if row["fault"] == fault)


def test_a_fault_is_found_and_cleared(own: Path) -> None:
    test = shown("log")
    assert test.text_input[0].value == "GP-088"
    test.text_input[1].set_value("2026-11-25 08:15")
    test.text_input[3].set_value("lamp b out")
    test.button[0].click().run()
    assert "GP-088 is in the log" in said(test)
    assert row_of(own, "GP-088")["found"] == "2026-11-25 08:15"
    test = shown("log", log="Isolated or cleared")
    choice = test.main.selectbox[0]
    choice.set_value(next(o for o in choice.options if o.startswith("GP-088")))
    test.text_input[0].set_value("2026-11-25 10:00")
    test.button[0].click().run()
    assert "an isolated circuit bears a tag; write whose" in said(test)
    test = shown("log", log="Isolated or cleared")
    test.main.selectbox[0].set_value(choice.value)
    test.text_input[0].set_value("2026-11-25 10:00")
    test.text_input[1].set_value("second engineer")
    test.button[0].click().run()
    row = row_of(own, "GP-088")
    assert (row["isolated"], row["isolated_by"], row["cleared"]) == (
        "2026-11-25 10:00",
        "second engineer",
        "",
    )
    assert "it is not cleared" in said(test)
    cleared(
        shown("log", log="Isolated or cleared"), str(choice.value), "2026-11-25 11:00"
    )
    assert row_of(own, "GP-088")["cleared"] == "2026-11-25 11:00"


def cleared(test: AppTest, fault: str, when: str) -> None:
    test.main.selectbox[0].set_value(fault)
    test.main.radio[0].set_value("cleared")
    test.text_input[0].set_value(when)
    test.button[0].click().run()
    assert not test.exception


def test_a_bad_date_is_refused_and_nothing_is_written(own: Path) -> None:
    before = (own / "faults.csv").read_bytes()
    test = shown("log")
    test.text_input[1].set_value("last Tuesday")
    test.button[0].click().run()
    assert "Nothing was saved" in said(test)
    assert test.dataframe[0].value["column"].tolist() == ["found"]
    assert (own / "faults.csv").read_bytes() == before


def test_saving_an_untouched_table_changes_no_row(own: Path) -> None:
    before, _ = read_table(own, "gaugings")
    test = shown("log", log="Gaugings")
    test.button[0].click().run()
    assert "gaugings.csv is saved" in said(test)
    assert read_table(own, "gaugings")[0] == before


def test_two_people_at_once_both_keep_theirs_and_the_second_is_shown(own: Path) -> None:
    test = shown("log", log="Gaugings")
    added = {"zone": "M2-P-BOT", "date": "2026-11-20", "thickness_mm": "10.9"}
    append_row(own, "gaugings", added)
    save = next(b for b in test.button if b.label == "Save")
    save.click().run()
    assert "both are kept" in said(test)
    news: pd.DataFrame = test.dataframe[0].value
    assert news["date"].tolist() == ["2026-11-20"]
    assert read_table(own, "gaugings")[0][-1]["date"] == "2026-11-20"


def test_a_demo_is_not_written_but_can_be_copied(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv(SHIPS, str(demo_folder()))
    test = shown("log")
    assert "invented" in said(test)
    assert "cannot be written" in said(test)
    copy = next(b for b in test.button if b.label.startswith("Work on a copy"))
    copy.click().run()
    assert not test.exception
    assert "cannot be written" not in said(test)
    assert test.selectbox(key="ship").value == "copy of grey-plover"


def test_a_spreadsheet_is_matched_shown_and_added(own: Path) -> None:
    text = "Zone;Date;Thickness mm;Remark\nM2-P-BOT;2026-11-20;10,9;=1+1\n"
    test = shown("log", log="Import")
    test.selectbox(key="import_to").set_value("gaugings").run()
    test.main.file_uploader[0].set_value(("g.csv", text.encode(), "text/csv")).run()
    assert not test.exception
    assert test.dataframe[0].value["thickness_mm"].tolist() == ["10.9"]
    next(b for b in test.button if b.label == "Add these rows").click().run()
    assert "1 row added to gaugings." in said(test)
    assert "Add these rows" not in [b.label for b in test.button]  # lest it be twice
    written = (own / "gaugings.csv").read_text(encoding="utf-8")
    last = list(csv.DictReader(io.StringIO(written)))[-1]
    assert (last["zone"], last["thickness_mm"]) == ("M2-P-BOT", "10.9")


def test_a_red_cell_is_put_right_where_it_stands(own: Path) -> None:
    text = "Zone;Date;Thickness mm\nM2-P-BOT;2026-11-20;10.x\nM2-P-BOT;2026-11-21;11\n"
    test = shown("log", log="Import")
    test.selectbox(key="import_to").set_value("gaugings").run()
    test.main.file_uploader[0].set_value(("g.csv", text.encode(), "text/csv")).run()
    assert "Put the cells right here" in said(test)
    red = next(one for one in test.text_input if one.label == "Row 2, Thickness mm")
    red.set_value("10.4").run()
    assert not test.exception
    assert "put right, was '10.x'" in said(test)
    next(b for b in test.button if b.label == "Add these rows").click().run()
    rows, _ = read_table(own, "gaugings")
    assert [row["thickness_mm"] for row in rows[-2:]] == ["10.4", "11"]


def test_what_a_spreadsheet_says_again_and_what_is_left_out_is_said(own: Path) -> None:
    with (own / "gaugings.csv").open(encoding="utf-8", newline="") as file:
        first = next(csv.DictReader(file))
    whole = io.StringIO()
    csv.writer(whole).writerows([[*first, "gauge"], [*first.values(), "U2"]])
    text = whole.getvalue()
    test = shown("log", log="Import")
    test.selectbox(key="import_to").set_value("gaugings").run()
    test.main.file_uploader[0].set_value(("g.csv", text.encode(), "text/csv")).run()
    assert "1 of them stands in gaugings.csv already" in said(test)
    assert "Left out of the spreadsheet: gauge." in said(test)


@pytest.mark.usefixtures("own")
def test_a_spreadsheet_that_cannot_be_read_leaves_the_page_standing() -> None:
    test = shown("log", log="Import")
    test.selectbox(key="import_to").set_value("gaugings").run()
    file = ("g.csv", b"zone,date\nM2\n\nM3,2020,1\n", "text/csv")
    test.main.file_uploader[0].set_value(file).run()
    assert not test.exception
    assert "3 problems in the spreadsheet. Nothing was added." in said(test)
    assert test.dataframe[0].value["line"].tolist()[:2] == [2, 4]
    assert "Grey Plover as of 2026-11-25" in said(test)


def test_who_clears_a_fault_second_learns_of_the_first(own: Path) -> None:
    test = shown("log", log="Isolated or cleared")
    fault = str(test.main.selectbox[0].value)
    replace_row(own, "faults", {"fault": fault}, {"cleared": "2026-11-20"})
    test.main.radio[0].set_value("cleared")
    test.text_input[0].set_value("2026-11-25")
    test.button[0].click().run()
    assert "Someone may have amended or removed it meanwhile" in said(test)
    assert row_of(own, fault)["cleared"] == "2026-11-20"


def test_a_fault_is_not_cleared_at_no_time(own: Path) -> None:
    before = (own / "faults.csv").read_bytes()
    test = shown("log", log="Isolated or cleared")
    test.text_input[0].set_value(" ")
    test.button[0].click().run()
    assert "Nothing was saved: write when" in said(test)
    assert (own / "faults.csv").read_bytes() == before


def test_a_form_is_empty_again_once_it_is_saved_and_not_before(own: Path) -> None:
    test = shown("log")
    test.text_input[1].set_value("last Tuesday")
    test.text_input[3].set_value("lamp b out")
    test.number_input[0].set_value(0.25)
    test.button[0].click().run()
    assert (test.text_input[3].value, test.number_input[0].value) == (
        "lamp b out",
        0.25,
    )
    test.text_input[1].set_value("2026-11-25")
    test.button[0].click().run()
    assert row_of(own, "GP-088")["amps"] == "0.25"
    assert (test.text_input[3].value, test.number_input[0].value) == ("", None)
    assert test.text_input[0].value == "GP-089"


def test_what_was_chosen_is_kept_where_another_saves_meanwhile(own: Path) -> None:
    test = shown("log")
    circuit = next(box for box in test.main.selectbox if box.label == "Circuit")
    circuit.set_value("galley")
    test.text_input[0].set_value("GP-100")
    other = {"fault": "GP-088", "system": "ship service", "circuit": "new one"}
    append_row(own, "faults", other | {"found": "2026-11-25", "amps": "1"})
    test.button[0].click().run()
    assert row_of(own, "GP-100")["circuit"] == "galley"


@pytest.mark.usefixtures("ships")
def test_measures_are_reckoned_when_asked_for() -> None:
    test = shown("isolation", ship="saltmarsh", save="Other measures")
    assert "Tick what you would change" in said(test)
    test.checkbox[0].check()
    next(b for b in test.button if b.label == "Calculate").click().run()
    assert not test.exception
    assert "isolating transformer" in test.dataframe[0].value["Measure"][0]


def test_faults_of_a_system_stand_together_those_that_stand_first() -> None:
    test = shown("leakage", leak="Faults in the log", system="legacy direct current")
    rows = test.dataframe[0].value
    assert rows["State"].tolist() == sorted(rows["State"], reverse=True)
    assert rows["State"][0] == "standing"
    assert "GP-001" in rows["Fault"].tolist()
    assert "GP-004" not in rows["Fault"].tolist()  # of the ship's service
