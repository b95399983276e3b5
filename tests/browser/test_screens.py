"""What a screen holds without scrolling, what it saves, a hunt that opens half."""

import shutil
import struct
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from browser.driven import ASKED, DATA, PATIENCE, Server, Watched, with_chromium
from corrosion.records.folder.save_table import append_row, read_table, write_table

pytestmark = [
    pytest.mark.browser,
    pytest.mark.filterwarnings("ignore::ResourceWarning"),
]

FOOT = "document.querySelector('.stMain').scrollHeight"
VOLTS = "input[inputmode=decimal]"


@with_chromium
@pytest.mark.parametrize("ship", ["grey-plover", "saltmarsh"])
def test_the_bridge_ends_on_the_screen(watched: Watched, ship: str) -> None:
    watched.open(f"bridge?ship={ship}&{ASKED}")
    assert watched.page.evaluate(FOOT) == 720  # nothing is left to scroll to


@with_chromium
def test_her_records_speak_until_her_first_estimate_is_there(watched: Watched) -> None:
    page = watched.page
    page.goto(f"{watched.home}bridge?ship=grey-plover&samples=256&seed=41")
    alone = page.locator("p.say")
    alone.wait_for(timeout=PATIENCE)
    assert "1 zone last gauged below a limit" in alone.inner_text()
    assert page.get_by_text("limit 9.8: already below").first.is_visible()
    assert page.get_by_text("doubts in her records").is_visible()
    page.locator("h1.say").wait_for(timeout=PATIENCE)
    watched.settle()
    assert alone.count() == 0
    assert page.get_by_text("doubts in her records").count() == 0


@with_chromium
@pytest.mark.parametrize(
    ("system", "volts"), [("hotel", ("61", "393")), ("main", ("40", "410"))]
)
def test_the_bench_ends_on_the_screen(
    watched: Watched, system: str, volts: tuple[str, str]
) -> None:
    """With what it may be, the next reading, ohms and amperes, and the way to save."""
    page = watched.page
    watched.open(f"leakage?ship=saltmarsh&{ASKED}&system={system}")
    page.locator(VOLTS).nth(1).wait_for(timeout=PATIENCE)
    for place, typed in enumerate(volts):
        page.locator(VOLTS).nth(place).fill(typed)
    page.get_by_text(": 2 readings.").wait_for(timeout=PATIENCE)
    page.get_by_text("If it is one fault, as the log").wait_for(timeout=PATIENCE)
    watched.settle()
    assert page.get_by_text("Put it into the log").is_visible()
    assert page.evaluate(FOOT) == 720  # nothing is left to scroll to


def saved(page: Page, name: str, into: Path) -> bytes:
    """Press a button that saves a picture; return what the browser wrote."""
    with page.expect_download(timeout=PATIENCE) as waiting:
        page.get_by_role("button", name=name, exact=True).first.click()
    waiting.value.save_as(into)
    return into.read_bytes()


@with_chromium
def test_a_figure_is_saved_as_a_picture(watched: Watched, tmp_path: Path) -> None:
    watched.open(f"ranking?ship=saltmarsh&{ASKED}")
    figure = watched.page.locator(".js-plotly-plot svg.main-svg").first
    figure.wait_for(timeout=PATIENCE)
    box = figure.bounding_box()
    assert box is not None
    png = saved(watched.page, "PNG", tmp_path / "a.png")
    assert png[:8] == b"\x89PNG\r\n\x1a\n"
    width, height = struct.unpack(">II", png[16:24])
    assert (width, height) == (round(2 * box["width"]), round(2 * box["height"]))
    assert len(png) > 20_000  # an empty one of that size takes less
    svg = saved(watched.page, "SVG", tmp_path / "a.svg").decode()
    assert svg.startswith("<svg")
    assert "E1-S-BOT" in svg


def hunting(folder: Path) -> str:
    """Begin a hunt in which nothing but breakers of one kind is left; return its id."""
    rows, seen = read_table(folder, "circuits")
    some = [row for row in rows if row["system"] == "ship service"]
    for row in some:
        row |= {"open_when": "any time", "vital": "no", "permission": "none"}
        row |= {"spare_of": ""}
    write_table(folder, "circuits", tuple(rows), seen)
    hunt = "ship service-2026-11-24"
    acts = [("began", "ship service", "alongside"), ("looked", "", "stayed")]
    acts += [("clamped", row["circuit"], "0") for row in some]
    for minute, (act, circuit, result) in enumerate(acts):
        cells = {"time": f"2026-11-24 10:{minute:02d}", "by": "third engineer"}
        cells |= {"act": act, "circuit": circuit, "result": result}
        append_row(folder, f"hunts/{hunt}", cells)
    return hunt


@with_chromium
def test_half_of_what_is_left_is_opened_together_and_closed_again(
    browser: Browser, server: Server
) -> None:
    folder = server.ships / "halved"
    shutil.copytree(DATA / "grey-plover", folder)
    hunt = hunting(folder)
    written = len(read_table(folder, f"hunts/{hunt}")[0])
    watched = Watched(browser, server.port)
    page = watched.page
    page.set_viewport_size({"width": 390, "height": 844})
    watched.open(f"hunt?ship=halved&samples=64&fault={hunt}")
    page.get_by_text("Open half of what is left together").click()
    head = page.locator("h1.name")
    head.filter(has_text="Half: ").wait_for(timeout=PATIENCE)
    names = page.locator(".ask li").all_inner_texts()
    assert head.inner_text() == f"Half: {len(names)} circuits"
    page.get_by_role("button", name="Went", exact=True).click()
    page.get_by_text("STANDS OPEN").first.wait_for(timeout=PATIENCE)
    watched.settle()
    rows = read_table(folder, f"hunts/{hunt}")[0][written:]
    assert [row["circuit"] for row in rows] == names
    assert [row["result"] for row in rows] == ["together"] * (len(names) - 1) + ["went"]
    assert page.get_by_role("button", name="It is closed", exact=True).is_visible()
    watched.closed()
