"""The server is killed in the middle of a save: the log is whole, and goes on."""

import os
import shutil
import threading
import time
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from browser.driven import DATA, PATIENCE, Server, Watched, served, with_chromium
from corrosion.records.folder.read import read_ship
from corrosion.records.folder.save_table import read_table

pytestmark = [
    pytest.mark.browser,
    pytest.mark.filterwarnings("ignore::ResourceWarning"),
]

SIGNS = {
    "while the old version is kept": "kept",
    "while the new one is written": ".*saving",
}
"""What appears in the folder of a ship in the middle of a save."""


def kill_at(server: Server, ship: Path, sign: str) -> threading.Thread:
    """Kill the server at the first sign of a save; it is given no time to tidy up."""
    before = set(ship.glob(sign))  # a save that was broken off leaves its own

    def watch() -> None:
        until = time.monotonic() + PATIENCE / 1000.0
        while time.monotonic() < until and set(ship.glob(sign)) <= before:
            os.sched_yield()
        server.process.kill()

    thread = threading.Thread(target=watch)
    thread.start()
    return thread


def filled(watched: Watched, remark: str) -> None:
    """Fill in the short form on the log's page."""
    # A page that is opened by its address, and not by the menu, is looked for in two
    # places by the framework: what it does not find it calls an error. Not ours.
    watched.page.goto(f"{watched.home}log?samples=64")
    watched.settle()
    watched.page.get_by_label("Remark").fill(remark)


def add(watched: Watched) -> None:
    """Send what was filled in."""
    watched.page.get_by_role("button", name="Add to the log").click()


@with_chromium
def test_a_server_killed_during_a_save_leaves_the_log_whole(
    browser: Browser, tmp_path: Path
) -> None:
    ship = tmp_path / "saltmarsh"
    shutil.copytree(DATA / "saltmarsh", ship)
    rows, _ = read_table(ship, "faults")
    for sign, seen in SIGNS.items():
        with served(tmp_path) as server:
            watched = Watched(browser, server.port)
            filled(watched, sign)
            killer = kill_at(server, ship, seen)  # late: it looks without a rest
            add(watched)
            killer.join()
            server.process.wait()
            watched.page.close()
        before, (rows, _) = rows, read_table(ship, "faults")
        assert rows[: len(before)] == before, sign
        assert [row["remark"] for row in rows[len(before) :]] in ([], [sign])
        assert len(read_ship(ship).faults) == len(rows)
    with served(tmp_path) as server:
        watched = Watched(browser, server.port)
        filled(watched, "after the restart")
        add(watched)
        watched.page.get_by_text("is in the log").wait_for(timeout=PATIENCE)
        watched.page.close()
    after, _ = read_table(ship, "faults")
    assert after[:-1] == rows
    assert after[-1]["remark"] == "after the restart"
