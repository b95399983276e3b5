"""What can hurt stands above everything, on terminal, JSON, report and page alike."""

import json
import re
import sys
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from presentation.dashboard.apppages import said, shown
from records.folders import sound, with_cells
from ships import AC, ship

from corrosion.inspection import cautions
from corrosion.inspection.cautions import DANGER, NO_DANGER
from corrosion.presentation.answers.previewed_fault import inferred_fault
from corrosion.presentation.dashboard import masthead
from corrosion.presentation.dashboard.serve import SHIPS
from corrosion.presentation.format import number
from corrosion.presentation.terminal import cli
from corrosion.records.ship import LampSet, Readings

DATA = Path(__file__).parents[3] / "data"
SAMPLES = ("--samples", "64", "--as-of", "2026-01-01")
COMMANDS: dict[str, tuple[str, ...]] = {
    "estimate": (),
    "leakage": (),
    "hull": (),
    "isolate": ("--transformers",),
    "hunt": ("--system", "service", "--ship", "alongside"),
    "plan": ("--hours", "12"),
}
Run = Callable[..., str]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    def command(*words: object) -> str:
        monkeypatch.setattr(sys, "argv", ["corrosion", *map(str, words)])
        cli.main()
        return capsys.readouterr().out

    return command


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Return a ship at an earthed quay without a conductor, a tested fault standing."""
    one = sound(tmp_path / "teal")
    blank = ("amps", "hull_v_a", "hull_v_b", "hull_v_c", "lamp_a", "lamp_b", "lamp_c")
    with_cells(one, "faults:2", dict.fromkeys(blank, "") | {"cleared": ""})
    with_cells(one, "berths:3", {"earth_cable_ohm": "none", "earth_couple_v": "0"})
    with_cells(one, "gaugings:2", {"thickness_mm": "7.6"})
    with_cells(one, "gaugings:3", {"thickness_mm": "0"})
    return one


def plain(text: str) -> str:
    return re.sub(r"\s+", " ", text)


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_names_the_same_dangers_above_everything(
    name: str, folder: Path, run: Run
) -> None:
    words = (name, folder, *COMMANDS[name], *SAMPLES)
    answer = json.loads(run(*words, "--json", "-"))
    told = answer["dangers"]
    assert [(row["fault"], row["zone"]) for row in told] == [("F1", None), (None, "Z2")]
    assert {*told[0]} == {"text", "berth", "fault", "zone"}
    assert told[0]["berth"] == "new quay"
    # 254 V through the 900 Ω that were tested, once, and little else: 0.28 A by hand,
    # with two standard errors of the median of so few samples
    said = re.search(r"fault F1 stands, about ([0-9.]+) A here", told[0]["text"])
    assert said is not None
    assert float(said[1]) == pytest.approx(0.28, rel=0.2)
    if name == "estimate":
        ohms = answer["faults"][0]["resistance_ohm"]["p50"]
        assert float(said[1]) == pytest.approx(254.0 / ohms, rel=0.05)
    spoken = run(*words)
    assert spoken.startswith("!! Danger to life at this berth")
    assert plain(DANGER) in plain(spoken)


@pytest.mark.parametrize("name", COMMANDS)
def test_silence_says_that_it_is_no_safety(name: str, tmp_path: Path, run: Run) -> None:
    quiet = sound(tmp_path / "teal")
    words = (name, quiet, *COMMANDS[name], *SAMPLES)
    assert json.loads(run(*words, "--json", "-"))["dangers"] == []
    assert plain(run(*words)).startswith(plain(NO_DANGER))


def test_the_report_begins_with_them_and_prints_hunts_only_where_she_lies_as_told(
    folder: Path, run: Run, tmp_path: Path
) -> None:
    page = tmp_path / "report.html"
    run("report", folder, "--html", page, *SAMPLES)
    html = page.read_text(encoding="utf-8")
    assert 0 < html.index("Danger to life at this berth") < html.index("<header>")
    assert html.index(cautions.ESTIMATE[:40]) < html.index('class="answer"')
    assert "None is printed: what may be opened hangs on how she lies" in html
    assert cautions.OPEN[:30] not in html
    run("report", folder, "--html", page, "--ship", "Alongside", *SAMPLES)
    html = page.read_text(encoding="utf-8")
    opens = html.index(cautions.OPEN[:30])
    assert opens < html.index("May be opened", opens)
    assert "ask engineer" in html


def test_a_hole_leaves_the_plan_with_its_danger(folder: Path, run: Run) -> None:
    plan = json.loads(run("plan", folder, "--hours", "500", *SAMPLES, "--json", "-"))
    assert "Z2" not in plan["zones"]
    for row in plan["rows"]:
        assert row["needs"] == {"diver": "diver"}.get(row["access"], "competent person")
        assert (cautions.DIVER in row["cautions"]) == (row["access"] == "diver")
    spoken = plain(run("plan", folder, "--hours", "500", *SAMPLES))
    assert spoken.index("Diver: impressed") < spoken.index("hours are used")


@pytest.mark.parametrize(
    ("name", "healthy"),
    [
        ("saltmarsh", {"main": 385.0, "hotel": 181.0}),
        ("grey-plover", {"ship service": 215.0}),
    ],
)
def test_touch_current_on_terminal_json_and_page_is_one_number(
    name: str,
    healthy: dict[str, float],
    run: Run,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    words = ("leakage", DATA / name, "--samples", "32", "--as-of", "2026-11-25")
    answer = json.loads(run(*words, "--json", "-"))
    spoken = plain(run(*words))
    monkeypatch.setenv(SHIPS, str(DATA))
    monkeypatch.setattr(masthead, "SAMPLES", (32, 1024))
    for row in answer["systems"]:
        touch = row["touch_ma"]
        assert {*touch} == {"healthy", "as_she_stands", "danger"}
        if row["system"] in healthy:
            assert touch["healthy"] == pytest.approx(healthy[row["system"]], rel=0.05)
            assert f"{number(touch['healthy'])} mA healthy and without" in spoken
    first = answer["systems"][0]
    page = said(shown("leakage", ship=name, system=first["system"], samples="32"))
    assert (
        f"{first['touch_ma']['as_she_stands']:.0f} mA as she stands (can kill)" in page
    )


def test_measures_on_the_shore_supply_stand_under_its_caution(
    folder: Path, run: Run
) -> None:
    words = ("isolate", folder, "--transformers", "--joint", "R1", *SAMPLES)
    rows: list[dict[str, Any]] = json.loads(run(*words, "--json", "-"))["measures"]
    assert [(r["needs"], r["caution"] is None) for r in rows] == [
        ("licensed electrician", False),
        ("competent person", True),
    ]
    spoken = plain(run(*words))
    assert spoken.index(cautions.SHORE) < spoken.index("Other measures, each alone")


def test_a_page_shows_danger_above_its_title(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(SHIPS, str(folder.parent))
    test = shown("log", as_of="2026-01-01")
    assert not test.exception
    texts = [
        str(getattr(one, "value", "") or getattr(one.proto, "body", ""))
        for one in test.main
        if hasattr(one, "proto")
    ]
    danger = next(k for k, text in enumerate(texts) if "Danger to life" in text)
    assert danger < next(k for k, text in enumerate(texts) if "in the log" in text)
    assert NO_DANGER not in said(test)


LIT = replace(AC, lamps=LampSet(volts=127.0, watts=15.0, ratio=2.0))


def bench(readings: Readings) -> dict[str, Any]:
    day = date(2026, 1, 1)
    one = ship(systems=(LIT,))
    return inferred_fault(one, LIT, readings, as_of=day, sampling=(64, 1))


def test_zero_volts_and_a_failed_lamp_are_told_on_the_bench() -> None:
    read = Readings(hull_volts=(0.0, 439.0, 440.0), lamps=("failed", "bright", None))
    found = bench(read)
    assert found["cautions"][0] == cautions.ZERO_VOLTS
    assert cautions.FAILED_LAMP in found["cautions"][1]
    assert "not energised" not in " ".join(found["contradictions"])
    assert found["conductors"]["a"] > 0.99
    without = bench(replace(read, lamps=()))
    assert found["resistance_ohm"] == without["resistance_ohm"]
    assert bench(Readings(hull_volts=(440.0, 8.0, 440.0)))["cautions"] == []
