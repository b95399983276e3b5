from pathlib import Path

import pandas as pd
import pytest
from presentation.dashboard.apppages import said, shown
from streamlit.testing.v1 import AppTest


@pytest.fixture(autouse=True)
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CORROSION_CACHE", str(tmp_path / "cache"))


def estimated(test: AppTest) -> AppTest:
    return next(b for b in test.button if b.label == "Estimate all ships").click().run()


def test_nothing_is_estimated_before_it_is_asked_for(ships: Path) -> None:
    test = shown("fleet")
    assert not test.exception
    assert not test.dataframe
    assert "ship folders, estimated one after the other" in said(test)
    assert ships.is_dir()


def test_ships_are_ranked_and_one_that_fails_is_told_in_words(own: Path) -> None:
    lost = own.parent / "whimbrel"
    lost.mkdir()
    (lost / "ship.toml").write_text("[ship]\nname = 7\n", encoding="utf-8")
    test = estimated(shown("fleet"))
    assert not test.exception
    drawn: pd.DataFrame = test.dataframe[0].value
    assert drawn["Ship"].tolist() == ["Grey Plover"]
    assert drawn["Worst zone"][0].split(":")[0] in said(test)
    assert f"{drawn['Zones due now'][0].split()[0]} zones of all ships" in said(test)
    assert "whimbrel is not estimated" in said(test)
    assert "Ship by ship, of each the worst first" in said(test)
    assert "Grey Plover: " in said(test)
    other = test.number_input(key="seed").set_value(2).run()
    assert not other.dataframe  # other inputs are estimated when asked for again
