import csv
import io
from pathlib import Path

import pandas as pd
import pytest
from views.apppages import said, shown

from corrosion.demo import demo_folder
from corrosion.records.saving import append_row, read_table
from corrosion.serve import SHIPS


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
    test = shown("log", log="Cleared a fault")
    choice = test.main.selectbox[0]
    choice.set_value(next(o for o in choice.options if o.startswith("GP-088")))
    test.text_input[0].set_value("2026-11-25 10:00")
    test.button[0].click().run()
    assert not test.exception
    assert row_of(own, "GP-088")["cleared"] == "2026-11-25 10:00"


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
    assert "invented" in test.caption[0].value
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
    assert "1 rows were added" in said(test)
    written = (own / "gaugings.csv").read_text(encoding="utf-8")
    last = list(csv.DictReader(io.StringIO(written)))[-1]
    assert (last["zone"], last["thickness_mm"]) == ("M2-P-BOT", "10.9")


def test_readings_are_inferred_without_saving_then_added(own: Path) -> None:
    before = (own / "faults.csv").read_bytes()
    test = shown("leaking", leak="Enter your readings")
    insulation = next(n for n in test.number_input if n.label.startswith("Insulation"))
    insulation.set_value(900.0)
    next(b for b in test.button if b.label == "Infer the fault").click().run()
    assert "A fault of" in said(test)
    assert (own / "faults.csv").read_bytes() == before
    next(b for b in test.button if b.label == "Add to the log").click().run()
    assert not test.exception
    assert row_of(own, "GP-088")["insulation_ohm"] == "900"


@pytest.mark.usefixtures("ships")
def test_measures_are_reckoned_when_asked_for() -> None:
    test = shown("sooner", ship="saltmarsh", save="Other measures")
    assert "Tick what you would change" in said(test)
    test.checkbox[0].check()
    next(b for b in test.button if b.label == "Reckon").click().run()
    assert not test.exception
    assert "isolating transformer" in test.dataframe[0].value["Measure"][0]


def test_the_hunt_goes_on_from_what_was_opened() -> None:
    test = shown("sooner", save="Hunt sheet")
    order = test.dataframe[0].value
    first = order["Circuit"][0]
    by_label = {box.label: box for box in (*test.multiselect, *test.selectbox)}
    by_label["Opened, and the indication stayed"].set_value([first]).run()
    assert not test.exception
    left = test.dataframe[0].value
    assert first not in left["Circuit"].tolist()
    assert 0 < len(left) < len(order)
    by_label = {box.label: box for box in (*test.multiselect, *test.selectbox)}
    by_label["Opened, and the indication went"].set_value(first).run()
    assert "rules out every circuit" in said(test)
