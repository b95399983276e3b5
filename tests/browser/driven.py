"""The dashboard as the command starts it, and a browser that watches for errors."""

import os
import re
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import pytest

pytest.importorskip("playwright", reason="Playwright is not installed")
from playwright.sync_api import Browser, ConsoleMessage, Request, ViewportSize
from playwright.sync_api import TimeoutError as TooLate

DATA: Final = Path(__file__).parents[2] / "data"
CHROMIUM: Final = shutil.which("chromium")
FLAGS: Final = (
    "--no-sandbox --disable-gpu --disable-quic --no-first-run "
    "--disable-background-networking --disable-component-update --disable-sync "
    "--disable-extensions --disable-gpu-rasterization --in-process-gpu"
)
ASKED: Final = "samples=64&as_of=2026-11-25&seed=3"
"""What every test asks that need not ask for today: the server estimates it once."""
LONG: Final = os.environ.get("CORROSION_LONG") == "1"
PATIENCE: Final = 60_000  # [ms]
PAGES: Final = {
    "Bridge": "bridge",
    "Gauging plan": "plan",
    "Bench": "leakage",
    "Hunt": "hunt",
    "Case for isolation": "isolation",
    "Zone": "zone",
    "Log": "log",
    "Rounds and hook-up": "rounds",
    "Ship": "ship",
    "All zones": "ranking",
    "Gaugings against the estimate": "gauging",
    "What has it cost?": "loss",
    "Where the current goes": "currents",
    "Where the numbers come from": "sources",
    "All ships": "fleet",
}
"""Pages by their title in the menu: their addresses."""

_COUNTS: Final = """
window.drawn = 0;
window.turned = 0;
new MutationObserver((seen) => {
  turned = performance.now();
  drawn += seen.filter((one) => one.oldValue === "running").length;
}).observe(document, { subtree: true, attributeOldValue: true,
  attributeFilter: ["data-test-script-state"] });
"""
"""How often the server has drawn to its end since the page was loaded; when last."""
_SETTLED: Final = """
() => document.querySelector("h1") &&
  document.querySelector("[data-testid=stApp][data-test-script-state=notRunning]") &&
  !document.querySelector("[data-testid=stMain] [data-stale=true]") &&
  !document.querySelector("[data-testid=stMain] [data-testid=stSkeleton]") &&
  performance.now() - turned > 100
"""
"""The server has drawn to its end, and the browser too: it stands in for an element
whose script is not loaded yet, which under load takes seconds. A drawing that was
broken off is followed by the next at once.
"""
_SOON: Final = 3_000  # [ms], until the server has begun and ended to draw what is quick

with_chromium = pytest.mark.skipif(
    CHROMIUM is None, reason="no chromium on the path: install it to drive the pages"
)


@dataclass(frozen=True, slots=True)
class Server:
    """A dashboard that runs."""

    port: int
    ships: Path
    process: "subprocess.Popen[bytes]"

    def resident_mib(self) -> float:
        """Return the memory that it holds, with what its helper does not share."""
        server = self.process.pid
        children = Path(f"/proc/{server}/task/{server}/children").read_text().split()
        return _mib(server, "status", "VmRSS") + sum(
            _mib(each, "smaps_rollup", "Pss") for each in children
        )


def _mib(process: int | str, file: str, row: str) -> float:
    text = Path(f"/proc/{process}/{file}").read_text(encoding="ascii")
    found = re.search(rf"^{row}:\s+(\d+) kB", text, re.MULTILINE)
    assert found is not None
    return int(found[1]) / 1024.0


@contextmanager
def served(ships: Path) -> Iterator[Server]:
    """Start the dashboard for a folder of ships, and end it."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = int(probe.getsockname()[1])
    command = [sys.executable, "-m", "corrosion", "dashboard", str(ships)]
    with subprocess.Popen(
        [*command, "--port", str(port)],
        env={**os.environ, "PYTHONPATH": str(DATA.parent)},
        cwd=ships,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    ) as process:
        try:
            _wait_for(port, process)
            yield Server(port, ships, process)
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


class Watched:
    """A page of the browser, and what went wrong on it."""

    def __init__(self, browser: Browser, port: int) -> None:
        # in the one context that all share: what was loaded is not loaded again
        self.page = browser.contexts[0].new_page()
        self.page.add_init_script(_COUNTS)
        self.dark = False
        self.home = f"http://127.0.0.1:{port}/"
        self.errors: list[str] = []
        self.outside: list[str] = []
        self.page.on("console", self._heard)
        self.page.on("pageerror", lambda error: self.errors.append(str(error)))
        self.page.on("request", self._asked)

    def _heard(self, message: ConsoleMessage) -> None:
        # A page that is opened by its own address is looked for in two places by the
        # framework: what it does not find there it calls an error.
        probed = message.location["url"].endswith(("_stcore/health", "host-config"))
        if message.type == "error" and not probed:
            self.errors.append(message.text)

    def _asked(self, request: Request) -> None:
        if not request.url.startswith((self.home, "data:", "blob:", "ws://127.0.0.1")):
            self.outside.append(request.url)

    def look(self, size: tuple[int, int], *, dark: bool) -> None:
        """Give what is opened next a size and a theme."""
        self.page.goto("about:blank")
        self.dark = dark
        self.page.emulate_media(color_scheme="dark" if dark else "light")
        self.page.set_viewport_size({"width": size[0], "height": size[1]})

    def open(self, address: str = "") -> None:
        """Go to an address of the dashboard, and wait until all of it is drawn."""
        self.page.goto(self.home + address)
        self.settle()

    def settle(self, patience: int = PATIENCE) -> None:
        """Wait until a page is drawn to its end; fail where it broke off."""
        self.page.wait_for_selector("h1", timeout=patience)
        failed = self.page.locator("[data-testid=stException]")
        self.page.wait_for_selector(
            "[data-testid=stApp][data-test-script-state=notRunning]", timeout=patience
        )
        self.page.wait_for_function(_SETTLED, timeout=patience)
        assert failed.count() == 0, failed.all_inner_texts()

    @contextmanager
    def drawing(self, patience: int = PATIENCE) -> Iterator[None]:
        """Wait until the server has answered what is done meanwhile.

        What the server draws in one go with what it drew before is not counted: then
        this waits a little for nothing.
        """
        before = self.page.evaluate("drawn")
        yield
        with suppress(TooLate):
            self.page.wait_for_function("(n) => drawn > n", arg=before, timeout=_SOON)
        self.settle(patience)

    def turn(self, size: tuple[int, int], *, dark: bool) -> None:
        """Give the page a size and a theme, unless it has them: it is drawn once."""
        wanted: ViewportSize = {"width": size[0], "height": size[1]}
        if dark == self.dark and self.page.viewport_size == wanted:
            return
        with self.drawing():
            if dark != self.dark:
                self.dark = dark
                self.page.emulate_media(color_scheme="dark" if dark else "light")
            self.page.set_viewport_size(wanted)

    def go(self, title: str, patience: int = PATIENCE) -> None:
        """Choose a page in the menu; which ship and day stays."""
        link = self.page.get_by_role("link", name=title, exact=True)
        if not link.first.is_visible():
            self.page.get_by_test_id("stTopNavSection").click()
            link = self.page.get_by_role("menuitem", name=title, exact=True)
        with self.drawing(patience):
            link.first.click()
            self.arrived(title)

    def at(self, title: str) -> bool:
        """Return whether the address is a page's."""
        return re.search(_address(title), self.page.url) is not None

    def arrived(self, title: str) -> None:
        """Wait until the address is a page's."""
        self.page.wait_for_url(re.compile(_address(title)), timeout=PATIENCE)

    def masthead(self) -> None:
        """Open or shut what the masthead holds: ship, day, samples, seed."""
        self.page.locator(".st-key-mast button").last.click()

    def masthead_seed(self, seed: str) -> None:
        """Ask for another seed."""
        self.masthead()
        self.page.get_by_role("spinbutton", name="Seed").fill(seed)
        self.page.keyboard.press("Enter")
        self.page.keyboard.press("Escape")

    def closed(self) -> None:
        """Close it; fail where the browser met an error or asked elsewhere."""
        self.page.close()
        assert self.errors == [], self.errors
        assert self.outside == []


def _address(title: str) -> str:
    """Return a pattern of how the address of a page ends."""
    return rf"/{re.escape(PAGES[title])}(\?.*)?$"
