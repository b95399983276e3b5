"""An engineer with a memo to write: from the case on the page to what she saves."""

import io
import re
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page
from pypdf import PdfReader

from browser.driven import ASKED, PATIENCE, Server, Watched, with_chromium

pytestmark = [
    pytest.mark.browser,
    pytest.mark.filterwarnings("ignore::ResourceWarning"),
]

CASE = f"isolation?ship=saltmarsh&{ASKED}"
_MAIN = "[data-testid=stMain]"


def saved(page: Page, label: str, folder: Path) -> str:
    """Return the text of a file that a button saves."""
    with page.expect_download(timeout=PATIENCE) as waiting:
        page.get_by_role("button", name=label).click()
    file = folder / waiting.value.suggested_filename
    waiting.value.save_as(file)
    return file.read_text(encoding="utf-8-sig")


def inside(page: Page, selector: str) -> bool:
    """Return whether something stands within the window without scrolling."""
    box = page.locator(selector).first.bounding_box()
    assert box is not None
    return box["y"] >= 0.0 and box["y"] + box["height"] <= 720.0


@with_chromium
def test_an_engineer_writes_the_case_into_a_memo(
    browser: Browser, server: Server, tmp_path: Path
) -> None:
    watched = Watched(browser, server.port)
    page = watched.page
    page.context.grant_permissions(["clipboard-read", "clipboard-write"])
    watched.open(CASE)
    sentence = page.locator("h1").inner_text()
    assert re.match(
        r"Had every fault been cleared within 1 day of being found", sentence
    )
    assert inside(page, "h1")
    assert inside(page, ".measure.first")  # sentence and figure, without scrolling
    page.get_by_role("button", name="Copy the sentence").click()
    page.get_by_role("button", name="Copied").wait_for(timeout=PATIENCE)
    copied = page.evaluate("navigator.clipboard.readText()")
    assert copied.startswith(sentence)
    assert "from now to the next docking" in copied
    assert copied in " ".join(saved(page, "Figure (SVG)", tmp_path).split())
    table = saved(page, "Table (CSV)", tmp_path).splitlines()
    assert len(table) == 1 + page.locator(".measure:not(.head)").count()
    # what she compares, by keyboard: the old answer stands in grey until the new one
    page.get_by_role("radio", name="1 day", exact=True).focus()
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("Space")
    grey = page.locator(f"{_MAIN} [data-stale=true] h1")
    grey.wait_for(timeout=PATIENCE)
    assert grey.inner_text() == sentence
    page.get_by_text("In grey: the old answer").first.wait_for(timeout=PATIENCE)
    page.get_by_role("heading", name=re.compile("within 4 h of")).wait_for(
        timeout=4 * PATIENCE
    )
    watched.settle()
    assert not page.get_by_text("In grey").is_visible()
    # another seed, and back before it is there
    watched.masthead_seed("5")
    page.get_by_text("In grey: the old answer, with seed 3.").wait_for(timeout=PATIENCE)
    page.get_by_role("button", name="Back to the old answer").click()
    page.wait_for_url(lambda url: "seed=3" in url, timeout=PATIENCE)
    watched.settle()
    assert "within 4 h of" in page.locator("h1").inner_text()
    printed = PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True))).pages
    text = " ".join(printed[0].extract_text().split())
    assert "the case for isolating sooner" in text
    assert "within 4 h of being found" in text
    assert len(printed) == 1
    page.get_by_text("Limits compared", exact=True).click()
    page.get_by_role("heading", name=re.compile("Cleared within 1 h of")).wait_for(
        timeout=4 * PATIENCE
    )
    watched.settle()
    watched.closed()
