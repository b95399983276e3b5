"""How long a user of the pages waits, and what memory the server holds."""

import shutil
import statistics
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from bench.measuring import Ratios
from browser.driven import (
    CHROMIUM,
    DATA,
    FLAGS,
    PAGES,
    PATIENCE,
    Watched,
    served,
    with_chromium,
)
from browser.test_memory import MOST_MIB
from playwright.sync_api import sync_playwright

ASKED = "ranking?ship=grey-plover&as_of=2026-11-25"
RECORDS = "By her records alone"
ANSWER = "chance to be below its limit"

pytestmark = [
    pytest.mark.browser,
    pytest.mark.filterwarnings("ignore::ResourceWarning"),
]


def timed(work: Callable[[], object]) -> float:
    """Return how long some work takes, waiting included [s]."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def painted(one: Watched, *signs: str) -> list[float]:
    """Return how long it takes until each sign in turn can be read [s]."""
    start, waited = time.perf_counter(), []
    one.page.goto(one.home + ASKED)
    for sign in signs:
        one.page.get_by_text(sign).first.wait_for(timeout=4 * PATIENCE)
        waited.append(time.perf_counter() - start)
    one.settle()
    return waited


def redrawn(one: Watched, change: Callable[[], None], sign: str) -> float:
    """Return how long the page takes to be drawn anew for a changed input [s]."""

    def work() -> None:
        change()
        one.page.wait_for_url(f"**{sign}*", timeout=PATIENCE)
        one.settle(4 * PATIENCE)

    return timed(work)


def colour(one: Watched, label: str) -> float:
    """Colour the hull by another quantity."""

    def choose() -> None:
        one.page.get_by_label("Colour the hull by").click()
        one.page.get_by_role("option").filter(has_text=label).first.click()

    return redrawn(one, choose, f"colour={label.split(maxsplit=1)[0]}")


@with_chromium
def test_paint_redraw_and_memory(
    benchmark: Any, ratios: Ratios, tmp_path: Path
) -> None:
    shutil.copytree(DATA, tmp_path, dirs_exist_ok=True)
    with served(tmp_path) as server, sync_playwright() as driver:
        chromium = driver.chromium.launch(executable_path=CHROMIUM, args=FLAGS.split())
        chromium.new_context()  # the one that all pages share
        one, start = Watched(chromium, server.port), server.resident_mib()
        cold = benchmark.pedantic(painted, (one, RECORDS, ANSWER), rounds=1)
        first = server.resident_mib()
        recorded = one.page.get_by_text(RECORDS).count()
        warm = statistics.median(painted(one, ANSWER)[0] for _ in range(3))
        coloured = statistics.median(
            colour(one, label) for label in ("Thickness left", "Ceiling") * 2
        )
        sown = redrawn(one, lambda: one.masthead_seed("2"), "seed=2")
        changed = statistics.median(timed(partial(one.go, title)) for title in PAGES)
        last = server.resident_mib()
        one.closed()
        chromium.close()
    assert recorded == 0, "her records speak alone though her estimate is there"
    assert last < MOST_MIB
    ratios.note("first page painted, cold: her records [s]", cold[0], at_most=4.0)
    ratios.note("  her estimate [s]", cold[1])
    ratios.note("  warm [s]", warm, at_most=1.0)
    ratios.note("redrawn in another colour [s]", coloured, at_most=1.0)
    ratios.note("  with another seed [s]", sown, at_most=1.0)
    ratios.note("  another page, median [s]", changed, at_most=1.0)
    ratios.note("server's memory at its start [MiB]", start)
    ratios.note("  with one estimate [MiB]", first)
    ratios.note("  two estimates and every page [MiB]", last, at_most=300.0)
