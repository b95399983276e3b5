"""The dashboard in a real browser: the three users' stories, on a copy of a demo."""

import os
import shutil
import socket
import statistics
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest

from corrosion.records.saving import read_table

pytest.importorskip("playwright", reason="Playwright is not installed")
from playwright.sync_api import (
    Browser,
    ConsoleMessage,
    Request,
    sync_playwright,
)

CHROMIUM = shutil.which("chromium")
FLAGS = (
    "--no-sandbox --disable-gpu --disable-quic --no-first-run "
    "--disable-background-networking --disable-component-update --disable-sync"
)
DATA = Path(__file__).parents[2] / "data"
PAGES = (
    "Where do I look first?",
    "What is leaking?",
    "What has it cost?",
    "What would quicker isolation save?",
    "Gaugings against the estimate",
    "Where the current goes",
    "The log",
    "Where the numbers come from",
)
PATIENCE = 90_000  # [ms]

pytestmark = [
    pytest.mark.browser,
    pytest.mark.filterwarnings("ignore::ResourceWarning"),
]
with_chromium = pytest.mark.skipif(
    CHROMIUM is None, reason="no chromium on the path: install it to drive the pages"
)


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One demo ship to write into."""
    where = tmp_path_factory.mktemp("ships") / "saltmarsh"
    shutil.copytree(DATA / "saltmarsh", where)
    return where


@pytest.fixture(scope="module")
def server(folder: Path) -> Iterator[int]:
    """The dashboard as the command starts it; its port."""
    port = free_port()
    command = [sys.executable, "-m", "corrosion", "dashboard", str(folder.parent)]
    root = str(DATA.parent)
    with subprocess.Popen(
        [*command, "--port", str(port)],
        env={**os.environ, "PYTHONPATH": root},
        cwd=folder.parent,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    ) as process:
        try:
            _wait_for(port, process)
            yield port
        finally:
            process.terminate()


def _wait_for(port: int, process: "subprocess.Popen[bytes]") -> None:
    for _ in range(300):
        assert process.poll() is None, "the dashboard stopped by itself"
        try:
            address = f"http://127.0.0.1:{port}/_stcore/health"
            with urllib.request.urlopen(address, timeout=2.0) as answer:
                assert answer.read() == b"ok"
                return
        except OSError:
            time.sleep(0.1)
    pytest.fail("the dashboard did not answer")


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with sync_playwright() as driver:
        chromium = driver.chromium.launch(executable_path=CHROMIUM, args=FLAGS.split())
        yield chromium
        chromium.close()


class Watched:
    """A page of the browser, and what went wrong on it."""

    def __init__(self, browser: Browser, port: int) -> None:
        self.page = browser.new_page(viewport={"width": 1280, "height": 720})
        self.home = f"http://127.0.0.1:{port}/"
        self.errors: list[str] = []
        self.outside: list[str] = []
        self.page.on("console", self._heard)
        self.page.on("pageerror", lambda error: self.errors.append(str(error)))
        self.page.on("request", self._asked)

    def _heard(self, message: ConsoleMessage) -> None:
        if message.type == "error":
            self.errors.append(message.text)

    def _asked(self, request: Request) -> None:
        if not request.url.startswith((self.home, "data:", "blob:", "ws://127.0.0.1")):
            self.outside.append(request.url)

    def open(self, address: str = "") -> None:
        self.page.goto(self.home + address)
        self.settle()

    def settle(self) -> None:
        self.page.wait_for_selector("h1", timeout=PATIENCE)
        drawn = self.page.get_by_text("Before anybody acts on this")
        failed = self.page.locator("[data-testid=stException]")
        drawn.or_(failed).first.wait_for(timeout=PATIENCE)
        assert failed.count() == 0, failed.all_inner_texts()
        self.page.wait_for_selector(
            "[data-testid=stStatusWidget]", state="detached", timeout=PATIENCE
        )
        assert failed.count() == 0, failed.all_inner_texts()

    def go(self, title: str) -> None:
        self.page.locator("[data-testid=stSidebarNav]").get_by_text(
            title, exact=True
        ).click()
        self.page.wait_for_selector(f"h1:has-text('{title}')", timeout=PATIENCE)
        self.settle()


@pytest.fixture
def watched(browser: Browser, server: int) -> Iterator[Watched]:
    one = Watched(browser, server)
    yield one
    one.page.close()
    assert one.errors == []
    assert one.outside == []


def test_it_listens_on_this_machine_only(server: int) -> None:
    table = Path("/proc/net/tcp")
    if not table.exists():
        pytest.skip("this system does not list its sockets in /proc")
    rows = [row.split() for row in table.read_text(encoding="ascii").splitlines()[1:]]
    listening = {row[1] for row in rows if row[3] == "0A"}
    ours = {at for at in listening if int(at.split(":")[1], 16) == server}
    assert {at.split(":")[0] for at in ours} == {"0100007F"}
    six = Path("/proc/net/tcp6")
    if six.exists():
        assert f":{server:04X} " not in six.read_text(encoding="ascii")


@with_chromium
def test_every_page_draws_in_a_browser(
    watched: Watched, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    start = time.perf_counter()
    watched.open("?samples=256")
    cold = time.perf_counter() - start
    assert watched.page.get_by_text("chance to be below its limit").first.is_visible()
    changes = []
    for title in PAGES:
        start = time.perf_counter()
        watched.go(title)
        changes.append(time.perf_counter() - start)
        watched.page.screenshot(path=tmp_path / f"{len(changes)}.png")
    warm = []
    for _ in range(3):
        start = time.perf_counter()
        watched.open("?samples=256")
        warm.append(time.perf_counter() - start)
    with capsys.disabled():
        print(  # noqa: T201 - the medians are what this run is asked for
            f"\nfirst page drawn: cold {cold:.1f} s, warm "
            f"{statistics.median(warm):.1f} s; page change "
            f"{statistics.median(changes):.1f} s (medians)"
        )


@with_chromium
def test_a_zone_is_chosen_by_clicking_it_on_the_hull(watched: Watched) -> None:
    watched.open("?samples=256")
    label = watched.page.locator(".js-plotly-plot").get_by_text("E1-S-BOT").first
    label.wait_for(timeout=PATIENCE)
    label.scroll_into_view_if_needed()
    box = label.bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    watched.page.mouse.move(x + 30, y + 30)
    watched.page.wait_for_timeout(200)
    watched.page.mouse.move(x, y)
    watched.page.wait_for_timeout(500)
    watched.page.mouse.click(x, y)
    watched.page.wait_for_url("**zone=E1-S-BOT*", timeout=PATIENCE)
    said = watched.page.get_by_role("paragraph").filter(has_text="E1-S-BOT")
    said.first.wait_for(timeout=PATIENCE)


@with_chromium
def test_a_fault_is_recorded_and_cleared(watched: Watched, folder: Path) -> None:
    watched.open("?samples=256")
    watched.go("The log")
    fault = watched.page.get_by_label("Fault id").input_value()
    watched.page.get_by_label("Remark").fill("lamp out, wet socket")
    watched.page.get_by_role("button", name="Add to the log").click()
    watched.page.get_by_text("is in the log").wait_for(timeout=PATIENCE)
    rows, _ = read_table(folder, "faults")
    assert rows[-1]["fault"] == fault
    assert rows[-1]["remark"] == "lamp out, wet socket"
    watched.page.get_by_text("Cleared a fault", exact=True).click()
    choice = watched.page.get_by_label("Fault that was cleared")
    choice.click()
    choice.fill(fault)
    watched.page.get_by_role("option").filter(has_text=fault).click()
    watched.page.keyboard.press("Tab")
    watched.page.get_by_role("button", name="Save", exact=True).click()
    watched.page.get_by_text(f"Fault {fault} was cleared").wait_for(timeout=PATIENCE)
    rows, _ = read_table(folder, "faults")
    assert rows[-1]["cleared"]
    assert list((folder / "history").glob("*-faults.csv"))
