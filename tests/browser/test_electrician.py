"""The electrician's story: two meters and lamps, the hunt, a restart, isolated."""

import os
import re
import shutil
import socket
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from browser.driven import (
    ASKED,
    DATA,
    PATIENCE,
    Server,
    Watched,
    served,
    with_chromium,
)
from corrosion.presentation.answers.hunt import hunt_result
from corrosion.presentation.dashboard.huntsheet import hunt_html
from corrosion.records.folder.read import read_ship
from corrosion.records.folder.save_table import read_table

pytestmark = [
    pytest.mark.browser,
    pytest.mark.filterwarnings("ignore::ResourceWarning"),
]
VOLTS = "input[inputmode=decimal]"
TAPS = {"even": 1, "bright": 2, "dim": 3, "out": 4}
"""How often a lamp that nobody looked at is tapped until it looks so."""


def tap(page: Page, seen: Mapping[str, str]) -> None:
    for name, looks in seen.items():
        lamp = page.get_by_role("button", name=f"Lamp {name}")
        for _ in range(TAPS[looks]):
            lamp.click()
        expect(lamp).to_contain_text(looks)


def asked(page: Page, written: int) -> str:
    """Return what the first button says that answers the step after those written.

    Wait until that step is drawn: how many are written stands there before it. Blank
    where nothing is left to be answered but by whom it was isolated.
    """
    at = written + 1  # the beginning is a row too
    answers = page.locator(f".st-key-stayed-{at} button, .st-key-went-{at} button")
    end = page.get_by_label("By whom")
    answers.or_(end).first.wait_for(timeout=PATIENCE)
    return answers.first.inner_text() if answers.count() else ""


def answered(watched: Watched, name: str, written: int) -> None:
    """Press a button of the hunt, and wait until its row is written."""
    page = watched.page
    page.get_by_role("button", name=name, exact=True).click()
    many = f"{written} step{'s' * (written != 1)} written"
    page.get_by_text(many).wait_for(timeout=PATIENCE)
    watched.settle()


def at_the_bench(watched: Watched) -> str:
    """Type two meters and lamps, read what it may be, save it; return the fault."""
    page = watched.page
    watched.open("leakage?ship=saltmarsh&samples=64&system=hotel")
    page.locator(VOLTS).nth(1).wait_for(timeout=PATIENCE)
    assert page.locator(VOLTS).count() == 2
    page.locator(VOLTS).nth(0).fill("61")
    page.locator(VOLTS).nth(1).fill("393")
    page.get_by_text("What it may be").wait_for(timeout=PATIENCE)
    page.get_by_role("button", name="Take this reading").click()
    page.locator(VOLTS).nth(2).wait_for(timeout=PATIENCE)
    tap(page, {"a": "dim", "b": "bright", "c": "bright"})
    page.get_by_text("If it is one fault, as the log will have it").wait_for(
        timeout=PATIENCE
    )
    one = re.compile(r"^(Almost surely|Most likely) one fault on a, \d+ Ω")
    expect(page.locator("h1.say")).to_have_text(one, timeout=PATIENCE)
    watched.settle()
    page.get_by_text("Put it into the log").click()
    fault = page.get_by_label("Fault id").input_value()
    page.get_by_role("button", name="Add to the log").click()
    page.get_by_text(f"Fault {fault} is in the log").wait_for(timeout=PATIENCE)
    watched.settle()
    return fault


def fits_a_thumb(page: Page) -> None:
    """Whatever can be pressed is 40 px high at least, and nothing runs off sideways."""
    small = page.evaluate(
        "() => [...document.querySelectorAll('[data-testid=stMain] button,"
        " [data-testid=stMain] a')].filter(e => e.offsetParent !== null)"
        ".map(e => [e.innerText, e.getBoundingClientRect().height])"
        ".filter(([t, h]) => h > 0 && h < 40 && t)"
    )
    assert small == []
    wide = page.evaluate("document.querySelector('[data-testid=stMain]').scrollWidth")
    assert wide <= 390


@with_chromium
def test_from_two_meters_to_isolated_over_a_restart(
    browser: Browser, tmp_path: Path
) -> None:
    shutil.copytree(DATA / "saltmarsh", tmp_path / "saltmarsh")
    folder = tmp_path / "saltmarsh"
    with served(tmp_path) as server:
        one = Watched(browser, server.port)
        fault = at_the_bench(one)
        read, _ = read_table(folder, "readings")
        mine = [row for row in read if row["fault"] == fault]
        assert [(row["conductor"], row["volts"]) for row in mine] == [
            ("a", "61"),
            ("b", "393"),
        ]
        one.page.get_by_role("link", name=f"Hunt {fault}").click()
        one.page.get_by_text(f"Hunt {fault}, on hotel").wait_for(timeout=PATIENCE)
        one.page.set_viewport_size({"width": 390, "height": 844})
        one.page.get_by_role("button", name="Begin the hunt").click()
        one.page.get_by_text("Nothing has begun").wait_for(timeout=PATIENCE)
        one.page.get_by_text("alongside", exact=True).click()
        one.page.get_by_label("In charge, by name").fill("second engineer")
        one.page.get_by_role("button", name="Begin the hunt").click()
        one.page.get_by_text("0 steps written").wait_for(timeout=PATIENCE)
        fits_a_thumb(one.page)
        answered(one, "It is there", 1)
        feeder = one.page.locator("h1.name").inner_text()
        one.page.locator(VOLTS).fill("44")
        answered(one, "Shows it", 2)
        rows, _ = read_table(folder, f"hunts/{fault}")
        server.process.kill()  # the power fails; it is given no time to tidy up
        server.process.wait()
        one.page.close()
    assert [row["act"] for row in rows] == ["began", "looked", "clamped"]
    assert rows[-1]["circuit"].casefold() == feeder.casefold()
    with served(tmp_path) as server:
        again = Watched(browser, server.port)
        again.page.set_viewport_size({"width": 390, "height": 844})
        again.open(f"hunt?ship=saltmarsh&samples=64&fault={fault}")
        again.page.get_by_text("2 steps written").wait_for(timeout=PATIENCE)
        assert read_table(folder, f"hunts/{fault}")[0] == rows
        written = 2
        while asked(again.page, written) == "Shows nothing":
            written += 1
            answered(again, "Skip", written)
        circuit = again.page.locator("h1.name").inner_text()
        answered(again, "Stayed", written + 1)
        again.page.get_by_text("STILL OPEN").first.wait_for(timeout=PATIENCE)
        again.page.get_by_role("button", name=re.compile("Take back: ")).click()
        again.page.get_by_text(f"{written} steps written").wait_for(timeout=PATIENCE)
        again.settle()
        answered(again, "Went", written + 1)
        written += 1
        assert asked(again.page, written) != "It is closed", f"{circuit} feeds others"
        while asked(again.page, written) == "Write it":
            again.page.locator(VOLTS).fill("510")
            written += 1
            answered(again, "Write it", written)
        fits_a_thumb(again.page)
        again.page.get_by_label("By whom").fill("second engineer")
        again.page.get_by_role("button", name="Write it into the log").click()
        again.page.get_by_text("in the hunt and in the log").wait_for(timeout=PATIENCE)
        again.closed()
    ship = read_ship(folder)
    (saved,) = [each for each in ship.faults if each.fault == fault]
    assert saved.circuit is not None
    assert saved.circuit.casefold() == circuit.casefold()
    assert saved.isolated is not None
    assert saved.isolated_by == "second engineer"
    assert saved.cleared is None  # isolated is not cleared
    assert saved.zone
    (hunt,) = [each for each in ship.hunts if each.hunt == fault]
    assert [step.act for step in hunt.steps[:3]] == ["began", "looked", "clamped"]
    assert [step.act for step in hunt.steps[-3:]] == ["opened", "tested", "isolated"]
    assert {step.by for step in hunt.steps} == {"second engineer"}


def pages(paper: bytes) -> int:
    return len(re.findall(rb"/Type\s*/Page\b", paper))


@with_chromium
def test_the_hunt_sheet_prints_on_one_a4(browser: Browser, server: Server) -> None:
    """From the page as it stands, and as a file for every system of both ships."""
    one = Watched(browser, server.port)
    one.open(f"hunt?ship=grey-plover&{ASKED}&fault=GP-087")
    one.page.get_by_role("button", name="Print the hunt sheet").wait_for(
        timeout=PATIENCE
    )
    assert pages(one.page.pdf(prefer_css_page_size=True)) == 1
    for name in ("grey-plover", "saltmarsh"):
        ship = read_ship(DATA / name)
        for system in ship.systems:
            sheet = hunt_result(ship, system.name, lies="alongside", dangers=[])
            one.page.set_content(hunt_html(sheet))
            assert pages(one.page.pdf(prefer_css_page_size=True)) == 1, system.name
    one.closed()


@with_chromium
@pytest.mark.skipif(
    sys.platform != "linux", reason="only Linux answers on all of 127.0.0.0/8 unasked"
)
def test_a_telephone_reaches_hunt_and_log_by_its_code_alone(
    browser: Browser, tmp_path: Path
) -> None:
    shutil.copytree(DATA / "saltmarsh", tmp_path / "saltmarsh")
    with phones_served(tmp_path) as (address, said):
        assert "nothing is encrypted" in said.read_text(encoding="utf-8")
        code = re.search(r"code=(\d{8})", said.read_text(encoding="utf-8"))
        assert code is not None
        page = browser.new_page(viewport={"width": 390, "height": 844})
        refused = page.goto(f"{address}/hunt")
        assert refused is not None
        assert refused.status == 403
        assert "Saltmarsh" not in page.content()
        page.get_by_label("Code from").fill(code[1])
        page.get_by_role("button", name="Open").click()
        page.get_by_text("fault standing: choose one").wait_for(timeout=PATIENCE)
        tabs = page.locator(".st-key-tabs a")
        assert tabs.all_inner_texts() == ["Hunt", "Log"]
        page.get_by_text("SM-057: hotel").wait_for(timeout=PATIENCE)
        fits_a_thumb(page)
        tabs.nth(1).click()
        page.get_by_text("Found a fault", exact=True).wait_for(timeout=PATIENCE)
        page.get_by_label("Fault id").wait_for(timeout=PATIENCE)
        for title in ("Import", "Berths", "Download the ship folder"):
            assert page.get_by_text(title, exact=True).count() == 0
        page.close()
        other = browser.new_page()
        again = other.goto(f"{address}/?code={code[1]}")  # it has opened once
        assert again is not None
        assert again.status == 403
        other.close()


@contextmanager
def phones_served(ships: Path) -> Iterator[tuple[str, Path]]:
    """Serve telephones on an address of this machine; its address, what it says."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.2", 0))
        port = int(probe.getsockname()[1])
    said = ships / "said.txt"
    command = [sys.executable, "-m", "corrosion", "dashboard", str(ships)]
    with (
        said.open("wb") as out,
        subprocess.Popen(
            [*command, "--port", str(port), "--for-phones", "127.0.0.2"],
            env={**os.environ, "PYTHONPATH": str(DATA.parent)},
            cwd=ships,
            stdout=subprocess.DEVNULL,
            stderr=out,
        ) as process,
    ):
        try:
            for _ in range(300):
                assert process.poll() is None, said.read_text(encoding="utf-8")
                with socket.socket() as probe:
                    if probe.connect_ex(("127.0.0.2", port)) == 0:
                        break
                time.sleep(0.1)
            yield f"http://127.0.0.2:{port}", said
        finally:
            process.terminate()
