"""What memory the server holds for one user, at the default number of samples."""

import sys

import pytest
from browser.driven import PAGES, PATIENCE, Server, Watched, with_chromium

ASKED = "ship=grey-plover&samples=768&as_of=2026-11-25"

pytestmark = [
    pytest.mark.browser,
    pytest.mark.filterwarnings("ignore::ResourceWarning"),
]


@with_chromium
@pytest.mark.skipif(sys.platform != "linux", reason="memory is read from /proc")
def test_two_estimates_and_every_page_stay_in_bounds(
    watched: Watched, server: Server
) -> None:
    for seed in (2, 1):
        watched.page.goto(f"{watched.home}bridge?{ASKED}&seed={seed}")
        watched.settle(10 * PATIENCE)
    for title in PAGES:
        watched.go(title, 10 * PATIENCE)
    assert server.resident_mib() < 330.0  # found: 276 [MiB]
