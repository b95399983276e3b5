import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from browser.driven import CHROMIUM, DATA, FLAGS, Server, Watched, served
from playwright.sync_api import Browser, sync_playwright


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with sync_playwright() as driver:
        chromium = driver.chromium.launch(executable_path=CHROMIUM, args=FLAGS.split())
        yield chromium
        chromium.close()


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """A dashboard for copies of both invented ships, which can be written."""
    ships = tmp_path_factory.mktemp("ships")
    shutil.copytree(DATA, ships, dirs_exist_ok=True)
    with served(ships) as one:
        yield one


@pytest.fixture
def folder(server: Server) -> Path:
    return server.ships / "saltmarsh"


@pytest.fixture
def watched(browser: Browser, server: Server) -> Iterator[Watched]:
    one = Watched(browser, server.port)
    yield one
    one.closed()
