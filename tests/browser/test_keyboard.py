"""Every story by keyboard alone: the pointer is never moved, from look to saved row."""

from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from browser.driven import PATIENCE, Watched, with_chromium
from corrosion.records.folder.save_table import read_table

pytestmark = [
    pytest.mark.browser,
    pytest.mark.filterwarnings("ignore::ResourceWarning"),
]

_FOCUSED = """() => {
  let e = document.activeElement;
  while (e.shadowRoot?.activeElement) e = e.shadowRoot.activeElement;
  if (!e || e.matches('main, body')) return '';
  const label = e.labels?.[0]?.innerText;
  return (e.getAttribute('aria-label') || label || e.innerText || '').trim();
}"""
"""Name of what the keyboard would act on, inside components as well."""


def reach(page: Page, wanted: str) -> None:
    """Press Tab until what has that in its name has the focus."""
    seen = []
    for _ in range(90):
        page.keyboard.press("Tab")
        seen.append(page.evaluate(_FOCUSED))
        if wanted in seen[-1]:
            return
    pytest.fail(f"Tab never came to {wanted!r}, but to {seen}")


def press(page: Page, wanted: str, sign: str) -> None:
    """Reach a button, press it, and wait for what it says."""
    reach(page, wanted)
    page.keyboard.press("Enter")
    page.get_by_text(sign).first.wait_for(timeout=PATIENCE)


@with_chromium
def test_hunt_bench_round_and_readings_without_a_pointer(
    watched: Watched, folder: Path
) -> None:
    _hunt(watched, folder)
    _bench(watched)
    _round(watched, folder)
    _readings(watched, folder)


def _hunt(one: Watched, folder: Path) -> None:
    page = one.page
    one.open("hunt?ship=saltmarsh&samples=64&fault=SM-057")
    reach(page, "under way")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Space")
    reach(page, "In charge, by name")
    page.keyboard.type("mate")
    press(page, "Begin the hunt", "0 steps written")
    one.settle()
    press(page, "It is there", "1 step written")
    one.settle()
    reach(page, "Milliamperes")
    with one.drawing():
        page.keyboard.type("44")
    press(page, "Shows it", "2 steps written")
    rows, _ = read_table(folder, "hunts/SM-057")
    assert [row["act"] for row in rows] == ["began", "looked", "clamped"]
    assert (rows[0]["result"], rows[0]["by"]) == ("alongside", "mate")
    one.settle()
    press(page, "Take back", "1 step written")


def _bench(one: Watched) -> None:
    page = one.page
    one.open("leakage?ship=saltmarsh&samples=64&system=hotel")
    page.locator("input[inputmode=decimal]").nth(1).wait_for(timeout=PATIENCE)
    reach(page, "Reading 1: volts to hull")
    page.keyboard.type("61")
    page.get_by_text("What it may be").wait_for(timeout=PATIENCE)
    one.settle()
    reach(page, "Reading 2: volts to hull")
    page.keyboard.type("393")
    page.get_by_text(": 2 readings.").wait_for(timeout=PATIENCE)
    one.settle()
    # With the row above it gone the second is the first; what was typed still stands.
    press(page, "Remove reading 1", ": 1 reading.")
    one.settle()
    left = page.locator("input[inputmode=decimal]")
    expect(left).to_have_count(1, timeout=PATIENCE)
    expect(left).to_have_value("393", timeout=PATIENCE)
    reach(page, "Lamp a")
    page.keyboard.press("Enter")
    page.get_by_role("button", name="Lamp a even").wait_for(timeout=PATIENCE)


def _round(one: Watched, folder: Path) -> None:
    page = one.page
    before, _ = read_table(folder, "readings")
    one.open("rounds?ship=saltmarsh&samples=64")
    reach(page, "Alternating (mA)")
    page.keyboard.type("12")
    page.keyboard.press("Enter")
    page.get_by_text("What will be written").wait_for(timeout=PATIENCE)
    one.settle()
    press(page, "Save", "The round is saved")
    assert len(read_table(folder, "readings")[0]) > len(before)


def _readings(one: Watched, folder: Path) -> None:
    page = one.page
    before, _ = read_table(folder, "gaugings")
    one.open("plan?ship=saltmarsh&samples=64")
    reach(page, "Plan")
    reach(page, "Plan")  # the menu's is the first, the part's the second
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Space")
    page.get_by_label("Readings of").first.wait_for(timeout=PATIENCE)
    one.settle()
    reach(page, "Readings of")
    page.keyboard.type("8.1 8.3 8.2")
    page.keyboard.press("Tab")
    page.get_by_text("1 of").first.wait_for(timeout=PATIENCE)
    one.settle()
    press(page, "Save the gaugings", "added to gaugings.csv")
    (row,) = (row for row in read_table(folder, "gaugings")[0] if row not in before)
    assert (row["thickness_mm"], row["readings"]) == ("8.2", "3")
