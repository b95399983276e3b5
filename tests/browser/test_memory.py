"""What memory the server holds for one user, at the default number of samples."""

import shutil
import sys
from pathlib import Path

import pytest
from browser.driven import DATA, PAGES, PATIENCE, Watched, served, with_chromium
from playwright.sync_api import Browser

ASKED = "ship=grey-plover&samples=512&as_of=2026-11-25"

pytestmark = [
    pytest.mark.browser,
    pytest.mark.filterwarnings("ignore::ResourceWarning"),
]


@with_chromium
@pytest.mark.skipif(sys.platform != "linux", reason="memory is read from /proc")
def test_two_estimates_and_every_page_stay_in_bounds(
    browser: Browser, tmp_path: Path
) -> None:
    shutil.copytree(DATA, tmp_path, dirs_exist_ok=True)
    with served(tmp_path) as server:  # its own: nobody else has asked it anything
        watched = Watched(browser, server.port)
        for seed in (2, 1):
            watched.page.goto(f"{watched.home}bridge?{ASKED}&seed={seed}")
            watched.settle(10 * PATIENCE)
        for title in PAGES:
            watched.go(title, 10 * PATIENCE)
        assert server.resident_mib() < 330.0  # found: 276 [MiB]
        watched.closed()
