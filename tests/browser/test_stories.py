"""Stories from first click to saved result: a caretaker, a planner with 16 hours."""

import re
from collections.abc import Iterator
from pathlib import Path

import openpyxl
import pytest
from playwright.sync_api import Browser, expect

from browser.driven import PATIENCE, Server, Watched, served, with_chromium
from corrosion.records.folder.save_table import read_table

pytestmark = [
    pytest.mark.browser,
    pytest.mark.filterwarnings("ignore::ResourceWarning"),
]


@pytest.fixture
def empty(tmp_path: Path) -> Iterator[Server]:
    """A dashboard for a folder in which one small invented ship lies."""
    with served(tmp_path) as one:
        yield one


def workbook(folder: Path, zones: list[str]) -> Path:
    """Return a caretaker's sheet: thickness in inches unsaid, one cell misspelt."""
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "shell"
    sheet.append(["Zone", "Date", "Thickness"])
    for zone, cell in zip(zones, (0.19, "0.1x", 0.18), strict=False):
        sheet.append([zone, "2026-05-11", cell])
    path = folder / "gaugings of the year.xlsx"
    book.save(path)
    return path


def chosen(watched: Watched, label: str, option: str) -> None:
    """Choose an option of a menu with the keyboard."""
    menu = watched.page.get_by_label(label, exact=True)
    menu.click()
    menu.fill(option)
    with watched.drawing():
        watched.page.get_by_role("option", name=option, exact=True).click()


@with_chromium
def test_a_caretaker_makes_a_ship_and_takes_a_spreadsheet_in(
    browser: Browser, empty: Server, tmp_path: Path
) -> None:
    watched = Watched(browser, empty.port)
    page = watched.page
    page.goto(f"{watched.home}ship")
    page.get_by_text("There is no ship folder").wait_for(timeout=PATIENCE)
    page.close()
    watched = Watched(browser, empty.port)
    page = watched.page
    (tmp_path / "first").mkdir()
    (tmp_path / "first" / "ship.toml").write_bytes(_first_ship(tmp_path / "made"))
    (tmp_path / "first" / "zones.csv").write_bytes(
        (tmp_path / "made" / "zones.csv").read_bytes()
    )
    watched.open("ship?ship=first&samples=64&table=New+ship")
    page.get_by_label("Name", exact=True).fill("Invented Teal")
    page.get_by_role("button", name="Propose her zones").click()
    page.wait_for_url("**ship=invented-teal*", timeout=PATIENCE)
    watched.settle()
    ship = tmp_path / "invented-teal"
    zones = [row["zone"] for row in read_table(ship, "zones")[0]]
    watched.open("log?ship=invented-teal&samples=64&log=Import")
    chosen(watched, "Rows for", "gaugings")
    page.locator("input[type=file]").last.set_input_files(workbook(tmp_path, zones))
    expect(page.get_by_text("Which column is which")).to_be_visible(timeout=PATIENCE)
    red = page.get_by_label("Row 3, Thickness")
    red.wait_for(timeout=PATIENCE)
    assert page.get_by_text(re.compile("inch|in or mm|: in", re.I)).first.is_visible()
    red.fill("0.17")
    red.press("Enter")
    add = page.get_by_role("button", name="Add these rows")
    add.wait_for(timeout=PATIENCE)
    expect(add).to_be_enabled(timeout=PATIENCE)
    add.click()
    page.get_by_text("3 rows added to gaugings").wait_for(timeout=PATIENCE)
    rows, _ = read_table(ship, "gaugings")
    found = [float(row["thickness_mm"]) for row in rows]
    assert found == pytest.approx([25.4 * x for x in (0.19, 0.17, 0.18)], abs=0.01)
    watched.open("?ship=invented-teal&samples=64")
    assert "mm" in page.locator("h1").inner_text()
    watched.closed()


def _first_ship(folder: Path) -> bytes:
    from corrosion.records.folder.first_ship import write_example  # noqa: PLC0415

    write_example(folder)
    return (folder / "ship.toml").read_bytes()


@with_chromium
def test_a_planner_prints_types_back_in_and_sees_the_ranking_move(
    browser: Browser, server: Server, folder: Path
) -> None:
    before, _ = read_table(folder, "gaugings")
    watched = Watched(browser, server.port)
    page = watched.page
    watched.open("plan?ship=saltmarsh&samples=64")
    assert re.match(r"Gauge \d+ zones?: ", page.locator("h1").inner_text())
    page.emulate_media(media="print")
    sheet = page.locator(".sheet .page").first
    assert sheet.is_visible()
    zone = sheet.locator("tr").nth(1).locator("td").nth(2).inner_text().split("\n")
    assert sheet.locator("tr").nth(1).locator(".boxes i").count() >= 9
    assert not page.get_by_role("button", name="Choose the best").is_visible()
    page.emulate_media(media="screen")
    with watched.drawing():
        page.get_by_text("Type readings in", exact=True).click()
    field = page.get_by_label(f"Readings of {zone[0]}, mm", exact=True)
    field.fill("8.1 8.3 thin")
    field.press("Tab")
    page.get_by_text("'thin' is no thickness").wait_for(timeout=PATIENCE)
    field.fill("8.1 8.3 8.2")
    field.press("Tab")
    page.get_by_text("1 of").first.wait_for(timeout=PATIENCE)
    watched.settle()
    other = Watched(browser, server.port)  # a second tab meanwhile
    other.open("log?ship=saltmarsh&samples=64&log=Gaugings")
    page.get_by_role("button", name="Save the gaugings").click()
    page.get_by_text("added to gaugings.csv").wait_for(timeout=PATIENCE)
    watched.settle()
    (row,) = (row for row in read_table(folder, "gaugings")[0] if row not in before)
    assert (row["thickness_mm"], row["readings"]) == ("8.2", "3")
    page.get_by_role("radio", name="Plan", exact=True).click()
    card = page.get_by_role("checkbox", name=re.compile(r"8\.2 mm in 20\d\d"))
    card.first.wait_for(timeout=PATIENCE)
    other.open("log?ship=saltmarsh&samples=64&log=Gaugings")
    other.page.get_by_role("button", name="Undo the last save").click()
    other.page.get_by_text("is taken back").wait_for(timeout=PATIENCE)
    assert read_table(folder, "gaugings")[0] == before
    other.closed()
    watched.closed()
