import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, sync_playwright

from browser.driven import CHROMIUM, DATA, FLAGS, Server, Watched, served


@pytest.fixture(scope="package")  # no longer: its loop is in others' way
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    """Return the one browser: what it has loaded and compiled serves every file.

    It has a profile: without one it compiles the scripts again at every address, which
    is half of what a page costs.
    """
    with sync_playwright() as driver:
        context = driver.chromium.launch_persistent_context(
            tmp_path_factory.mktemp("profile"),
            executable_path=CHROMIUM,
            args=FLAGS.split(),
            viewport={"width": 1280, "height": 720},
            color_scheme="light",
        )
        assert context.browser is not None
        yield context.browser
        context.close()


@pytest.fixture(scope="session")
def dashboard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """A dashboard for copies of both invented ships."""
    ships = tmp_path_factory.mktemp("ships")
    shutil.copytree(DATA, ships, dirs_exist_ok=True)
    with served(ships) as one:
        yield one


@pytest.fixture
def server(dashboard: Server) -> Iterator[Server]:
    """The same, its ships put back at the end: they can be written.

    What it estimated of them as they were invented serves the next test.
    """
    yield dashboard
    for ship in dashboard.ships.iterdir():
        shutil.rmtree(ship)
    shutil.copytree(DATA, dashboard.ships, dirs_exist_ok=True)


@pytest.fixture
def folder(server: Server) -> Path:
    return server.ships / "saltmarsh"


@pytest.fixture
def watched(browser: Browser, server: Server) -> Iterator[Watched]:
    one = Watched(browser, server.port)
    yield one
    one.closed()
