import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path
from unittest.mock import Mock

import numpy as np
import pandas as pd
import pytest
import streamlit as st
from foundation.test_beside import helped
from presentation.dashboard.apppages import said, shown
from records.folders import sound
from streamlit.delta_generator import DeltaGenerator
from streamlit.runtime.scriptrunner import StopException

from corrosion import estimate
from corrosion.foundation import beside
from corrosion.foundation.errors import InputError
from corrosion.presentation.answers.dangers import dangers_of
from corrosion.presentation.answers.history import loss_by_year
from corrosion.presentation.answers.isolation import (
    MeasureChoice,
    chosen_measures,
    isolation_result,
    measure_savings,
)
from corrosion.presentation.dashboard import cached
from corrosion.presentation.dashboard.result_cache import ResultCache
from corrosion.presentation.report import gather, report_html
from corrosion.presentation.units import METRIC
from corrosion.records.folder.files import folder_digest
from corrosion.records.folder.read import read_ship
from corrosion.records.ship import Ship


class _Stopped(BaseException):
    """Not an Exception, as a page's own signs to stop are not."""


def test_what_was_made_is_kept_and_the_oldest_goes() -> None:
    store, made = ResultCache(2), []

    def maker(name: str) -> Callable[[], str]:
        def make() -> str:
            made.append(name)
            return name

        return make

    for name in "abacab":
        assert store.get(name, maker(name)) == name
    assert made == ["a", "b", "c", "b"]


def test_what_is_broken_off_is_not_kept() -> None:
    store = ResultCache(2)

    def broken() -> str:
        raise _Stopped

    with pytest.raises(_Stopped):
        store.get("a", broken)
    assert store.get("a", lambda: "whole") == "whole"


def test_none_is_a_result_like_any_other() -> None:
    store = ResultCache(1)
    assert store.get("a", lambda: None) is None
    assert store.get("a", lambda: "made twice") is None


def test_an_estimate_that_is_stopped_is_made_again_whole(
    ships: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    bars: list[float] = []

    def stopping_bar(_self: DeltaGenerator, share: float, _words: str) -> None:
        bars.append(share)
        raise StopException

    with monkeypatch.context() as stopping:
        stopping.setattr(DeltaGenerator, "progress", stopping_bar)
        stopped = shown("loss", ship="saltmarsh", seed="77")
    assert not stopped.exception
    assert not stopped.subheader
    assert len(bars) == 1
    assert not any(repr(key).endswith(", 77)") for key in cached._estimates()._kept)
    test = shown("loss", ship="saltmarsh", seed="77")
    assert "kg" in said(test)
    assert any(repr(key).endswith(", 77)") for key in cached._estimates()._kept)
    assert ships.is_dir()


def test_nothing_is_kept_of_a_ship_that_was_changed_while_it_was_read(
    own: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    digest = folder_digest(own)

    def slow(folder: str) -> Ship:
        read = read_ship(folder)
        with (own / "faults.csv").open("a", encoding="utf-8") as file:
            file.write("\n")
        return read

    monkeypatch.setattr(cached, "read_ship", slow)
    with pytest.raises(InputError, match="while they were read"):
        cached.ship(str(own), digest)


def test_the_report_of_a_page_is_that_of_the_command_line(tmp_path: Path) -> None:
    own = sound(tmp_path)
    key = (folder_digest(own), date(2026, 11, 25), 32, 1)
    result = estimate(read_ship(own), samples=32, seed=1, as_of=key[1])
    asked = (16.0, ("inside", "diver"), (("diver", 8.0),), METRIC)
    text = cached.report(key, result, *asked, "alongside").decode()
    limited = gather(
        result,
        hours=16.0,
        access=("inside", "diver"),
        access_hours={"diver": 8.0},
        lies="alongside",
    )
    assert text == report_html(limited)
    assert limited.plan is not None
    assert limited.plan["access_hours"] == {"diver": 8.0}
    again = cached.report(key, result, *asked, "alongside")
    assert again is cached.report(key, result, *asked, "alongside")


@pytest.mark.skipif(sys.platform != "linux", reason="a helper is had on Linux alone")
@pytest.mark.parametrize(("kept", "seed"), [("yes", 5), ("no", 6)])
def test_what_a_helper_makes_is_what_the_command_line_prints(
    kept: str, seed: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("CORROSION_CACHE", str(tmp_path / "cache"))
    monkeypatch.setenv("CORROSION_KEEP", kept)
    own = sound(tmp_path / "ship")
    asked = Mock(wraps=beside._asked)
    monkeypatch.setattr(beside, "_asked", asked)
    key = (folder_digest(own), date(2026, 11, 25), 48, seed)
    ship = read_ship(own)
    ticked = MeasureChoice(alarm_ohm=2e4, transformers=True)
    with helped():
        page = cached.estimate(key, ship)
        dangers = cached.dangers(key, ship)
        case = cached.isolation((*key, 4.0), page, [4.0])
        rows = cached.savings(key, page, ticked)
        each = cached.savings_of_each(key, page, ticked, at=st.container())
        years = cached.loss_by_year(key, page)
    assert asked.call_count == 6
    monkeypatch.setenv("CORROSION_KEEP", "no")
    result = estimate(ship, samples=48, seed=seed, as_of=key[1])
    assert page.to_json() == result.to_json()
    assert page.warnings == result.warnings
    np.testing.assert_array_equal(page.outlook.left, result.outlook.left)
    assert dangers == dangers_of(result)
    assert case == isolation_result(result, [4.0])
    assert rows == each == measure_savings(result, chosen_measures(ticked, ship))
    pd.testing.assert_frame_equal(years, loss_by_year(result), check_exact=True)
