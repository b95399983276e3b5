"""Tests of corrosion.serve: a checkout and an installed package are set up alike."""

import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from corrosion.serve import SETTINGS, app_file

CONFIG = Path(__file__).parents[1] / ".streamlit" / "config.toml"


def flat(table: Mapping[str, Any], head: str = "") -> Iterator[tuple[str, Any]]:
    for name, value in table.items():
        if isinstance(value, Mapping):
            yield from flat(value, f"{head}{name}.")
        else:
            yield f"{head}{name}", value


def test_the_settings_in_code_are_those_of_the_file() -> None:
    assert dict(flat(tomllib.loads(CONFIG.read_text(encoding="utf-8")))) == SETTINGS


def test_it_stays_on_this_machine_and_reports_to_nobody() -> None:
    assert SETTINGS["server.address"] == "127.0.0.1"
    assert SETTINGS["browser.gatherUsageStats"] is False
    assert SETTINGS["server.enableXsrfProtection"] is True


def test_the_door_is_found() -> None:
    assert "st.navigation" in app_file().read_text(encoding="utf-8")
