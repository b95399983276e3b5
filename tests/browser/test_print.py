"""The report on paper: what the browser prints, page by page."""

import io
import re
from pathlib import Path

import pytest
from playwright.sync_api import Browser
from pypdf import PdfReader

from browser.driven import DATA
from corrosion.estimate import estimate
from corrosion.presentation.report import gather, report_html

pytestmark = pytest.mark.browser

MOST_PAGES = 8
PLACE = re.compile(r"Page (\d+) of (\d+)")


@pytest.fixture(scope="module")
def pages(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    """Return the text of each printed page of the report of `grey-plover`."""
    result = estimate(DATA / "grey-plover", samples=32, as_of="2026-11-25")
    file: Path = tmp_path_factory.mktemp("report") / "report.html"
    contents = gather(result, hours=40.0, lies="alongside")
    file.write_text(report_html(contents), encoding="utf-8")
    page = browser.new_page()
    page.goto(file.as_uri())
    printed = page.pdf(prefer_css_page_size=True)
    page.close()
    return [one.extract_text() for one in PdfReader(io.BytesIO(printed)).pages]


def test_at_most_eight_pages_stand_before_the_appendix(pages: list[str]) -> None:
    starts = [n for n, text in enumerate(pages) if "Digest of her records" in text]
    assert len(starts) == 1
    assert starts[0] <= MOST_PAGES
    assert "Assumptions and sources" in " ".join(pages[starts[0] :])
    for number, text in enumerate(pages, start=1):
        found = PLACE.search(text)
        assert found is not None
        assert found.groups() == (str(number), str(len(pages)))


def test_page_one_holds_answer_danger_doubts_and_plan(pages: list[str]) -> None:
    first = " ".join(pages[0].split())
    for words in (
        "no statement of safety",  # what no named danger means
        "Gauge M3-S-BOT",
        "doubts about the records and the model",
        "gaugings.csv:30",
        "What to gauge with 40 hours",
        "hours are used",
        "The plan, day by day",
    ):
        assert words in first, words


def test_tables_break_between_rows_and_say_their_heads_again(pages: list[str]) -> None:
    assumed = [text for text in pages if "Assumption" in text and "Median" in text]
    assert len(assumed) > 2  # the long table runs over pages, its head on each
    for text in assumed[1:]:
        lines = [line for line in text.splitlines() if line.strip()]
        assert any(line.startswith("Assumption") for line in lines[:4])
