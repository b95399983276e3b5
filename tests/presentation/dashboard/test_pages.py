import errno
import io
import re
import zipfile
from pathlib import Path

import pytest
from presentation.dashboard.apppages import PAGES, said, shown
from streamlit.testing.v1 import AppTest

from corrosion.inspection.cautions import NO_DANGER
from corrosion.presentation.dashboard.serve import SHIPS
from corrosion.presentation.dashboard.upload import packed
from corrosion.records.folder.first_ship import write_example

pytest.importorskip("streamlit")
PARTS = {
    "leakage": ("leak", ("Suppose a fault", "Faults in the log")),
    "loss": ("cost", ("By year", "Ceiling and estimate")),
    "isolation": ("save", ("Limits compared", "Other measures")),
    "rounds": ("round", ("Shore hook-up", "Insulation", "Docking list")),
    "log": (
        "log",
        ("Isolated or cleared", "Timeline", "Faults", "Berths", "Gaugings", "Import"),
    ),
    "ship": ("table", ("Systems", "Anodes", "New ship")),
    "sources": ("basis", ("Equations", "Limits of the model")),
}


@pytest.mark.usefixtures("ships")
@pytest.mark.parametrize("ship", ["grey-plover", "saltmarsh"])
@pytest.mark.parametrize("name", PAGES)
def test_every_page_draws_both_demos_with_their_cautions(name: str, ship: str) -> None:
    test = shown(name, ship=ship)
    assert not test.exception
    assert not test.error
    assert NO_DANGER in said(test)
    assert "Before anybody acts on this" not in said(test)
    words = said(test)
    assert '<h1 class="say">' in words  # each begins with its answer
    assert f"{ship.split('-', maxsplit=1)[0].capitalize()}" in words
    assert "as of 2026-11-25" in words


@pytest.mark.usefixtures("ships")
@pytest.mark.parametrize(
    ("name", "key", "part"),
    [(name, key, part) for name, (key, parts) in PARTS.items() for part in parts],
)
def test_every_part_of_a_page_draws(name: str, key: str, part: str) -> None:
    test = shown(name, ship="grey-plover", limits="4h,24h", **{key: part})
    assert not test.exception
    assert not test.error


@pytest.mark.usefixtures("ships")
def test_a_clicked_zone_and_the_menu_are_one() -> None:
    test = shown("ranking", ship="saltmarsh", zone="MB-S-BOT")
    assert "MB-S-BOT" in said(test)
    assert test.selectbox(key="zone").value == "MB-S-BOT"
    again = test.selectbox(key="colour").set_value("left_mm_p50").run()
    assert not again.exception


@pytest.mark.usefixtures("ships")
def test_the_address_of_a_page_that_names_nonsense_is_ignored() -> None:
    test = shown("sources", ship="no such ship", samples="17", basis="all of it")
    assert not test.exception
    assert "no ship folder 'no such ship' here: grey-plover is shown" in said(test)
    assert test.selectbox(key="ship").value == "grey-plover"
    assert test.selectbox(key="samples").value == 512


@pytest.mark.parametrize("name", PAGES)
def test_an_empty_folder_says_what_to_do(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(SHIPS, str(tmp_path))
    test = shown(name)
    assert not test.exception
    assert "corrosion new" in test.error[0].value


@pytest.mark.parametrize("name", PAGES)
def test_a_folder_with_problems_is_a_table_of_them(name: str, own: Path) -> None:
    zones = own / "zones.csv"
    text = zones.read_text(encoding="utf-8")
    zones.write_text(text.replace(",splash,", ",wet,", 1), encoding="utf-8")
    test = shown(name)
    assert not test.exception
    assert "1 problem in the records" in test.error[0].value
    problem = test.dataframe[0].value.iloc[0]
    assert problem["file"] == "zones.csv"
    assert problem["line"] == 2
    assert problem["column"] == "exposure"


@pytest.mark.usefixtures("ships")
def test_a_date_before_she_was_built_is_a_sentence() -> None:
    test = shown("ranking", ship="grey-plover", as_of="1900-01-01")
    assert not test.exception
    assert "must lie after the ship was built" in said(test)


@pytest.mark.usefixtures("ships")
def test_no_way_in_leaves_the_page_standing_and_no_zone_ticked() -> None:
    test = shown("plan", ship="grey-plover")
    test.button_group(key="plan ways in").set_value([]).run()
    assert not test.exception
    assert "Nothing is on the sheet" in said(test)


@pytest.mark.usefixtures("ships")
def test_a_zipped_folder_is_taken_in_for_the_session(tmp_path: Path) -> None:
    write_example(tmp_path / "teal")
    test = shown("sources")
    zipped = ("teal.zip", packed(tmp_path / "teal"), "application/zip")
    test.file_uploader[0].set_value(zipped).run()
    next(b for b in test.button if b.label == "Upload").click().run()
    assert not test.exception
    assert test.selectbox(key="ship").value == "teal"
    assert any("Example as of" in c.value for c in test.caption)


def take_in(test: AppTest, name: str, data: bytes) -> None:
    test.file_uploader[0].set_value((name, data, "application/zip")).run()
    next(b for b in test.button if b.label == "Upload").click().run()
    assert not test.exception


@pytest.mark.usefixtures("ships")
def test_a_ship_taken_in_puts_no_other_of_her_name_away(tmp_path: Path) -> None:
    write_example(tmp_path / "saltmarsh")
    data = packed(tmp_path / "saltmarsh")
    test = shown("sources")
    for name in ("saltmarsh (2)", "saltmarsh (3)"):
        take_in(test, "saltmarsh.zip", data)
        assert test.selectbox(key="ship").value == name
    choices = test.selectbox(key="ship").options
    assert choices == ["grey-plover", "saltmarsh", "saltmarsh (2)", "saltmarsh (3)"]


@pytest.mark.usefixtures("ships")
def test_problems_of_an_upload_beyond_those_shown_are_counted() -> None:
    whole = io.BytesIO()
    with zipfile.ZipFile(whole, "w") as archive:
        for n in range(20):
            archive.writestr(f"{n}.txt", b"x")
    test = shown("sources")
    take_in(test, "a.zip", whole.getvalue())
    assert "12 more problems" in said(test)


def test_a_copy_of_a_ship_that_cannot_be_read_is_refused_in_words(
    own: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (own / "faults.csv").write_bytes(b"caf\xe9")
    monkeypatch.setattr(
        "corrosion.presentation.dashboard.masthead.may_write", lambda _: False
    )
    test = shown("sources")
    copy = next(b for b in test.button if b.label.startswith("Work on a copy"))
    copy.click().run()
    assert not test.exception
    assert "faults.csv: not UTF-8 text" in said(test)


@pytest.mark.usefixtures("ships")
def test_a_full_disk_refuses_an_upload_in_words(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    write_example(tmp_path / "teal")
    data = packed(tmp_path / "teal")
    test = shown("sources")
    monkeypatch.setattr(Path, "write_bytes", full)
    take_in(test, "teal.zip", data)
    assert "teal was not taken in: No space left on device" in said(test)


@pytest.mark.usefixtures("ships")
def test_what_is_no_ship_folder_is_refused_and_the_page_stands() -> None:
    test = shown("sources")
    test.file_uploader[0].set_value(("a.zip", b"PK", "application/zip")).run()
    next(b for b in test.button if b.label == "Upload").click().run()
    assert not test.exception
    assert "no zip file that can be read" in said(test)
    assert "repaint_interval_years" in test.dataframe[0].value["Assumption"].tolist()


@pytest.mark.usefixtures("ships")
def test_what_a_limit_keeps_is_said_with_its_interval_and_as_it_was_written() -> None:
    test = shown("isolation", ship="saltmarsh", limits="4h,30d", save="Limits compared")
    wanted = r"<h1.*Cleared within 4 h .* left \S+ \(\S+ to \S+\) kg more"
    assert re.search(wanted, said(test))
    assert test.dataframe[0].value["Cleared within"][1] == "30 days"


@pytest.mark.usefixtures("ships")
def test_the_case_is_a_sentence_a_figure_and_measures_on_one_scale() -> None:
    test = shown("isolation", ship="saltmarsh", within="4 h")
    words = said(test)
    assert not test.exception
    assert "Had every fault been cleared within 4 h of being found" in words
    assert words.count('class="measure first"') == 1
    labels = [one.proto.label for one in test.get("download_button")]
    assert {"Figure (SVG)", "Figure (PNG)", "Table (CSV)"} <= set(labels)
