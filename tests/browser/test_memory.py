"""What memory the server holds for one user, at the default number of samples.

It takes a minute of processor, so it runs with ``CORROSION_LONG=1``; whatever page
:mod:`test_accessible` looks at is held to a bound at 64 samples every time.
"""

import shutil
import sys
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from browser.driven import (
    DATA,
    LONG,
    PAGES,
    PATIENCE,
    Watched,
    served,
    with_chromium,
)

ASKED = "ship=grey-plover&as_of=2026-11-25"
MOST_MIB = 300.0  # with its helper; found: 262

pytestmark = [
    pytest.mark.browser,
    pytest.mark.filterwarnings("ignore::ResourceWarning"),
]


@with_chromium
@pytest.mark.skipif(not LONG, reason="takes a minute: with CORROSION_LONG=1")
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
        assert server.resident_mib() < MOST_MIB
        watched.closed()
