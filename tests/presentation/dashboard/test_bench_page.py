"""The bench: what is typed, what it may mean, and the same once it is in the log."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from presentation.dashboard.apppages import said, shown
from streamlit.testing.v1 import AppTest

from corrosion.inspection.cautions import LAMPS, ZERO_VOLTS
from corrosion.presentation.answers.explained import explained_fault
from corrosion.presentation.answers.leakage import leakage_result
from corrosion.presentation.answers.previewed_fault import inferred_fault, with_fault
from corrosion.presentation.dashboard import bench_rows, components
from corrosion.presentation.dashboard.bench_saving import cells_of_reading
from corrosion.presentation.explanation_words import answer
from corrosion.records.dates import as_written
from corrosion.records.folder.read import read_ship
from corrosion.records.folder.save_table import read_table, save_tables
from corrosion.records.ship import Reading, Readings, System

DAY = date(2016, 12, 1)  # on her own supply at the old quay, nothing stands
NOON = as_written(DAY.isoformat())


def at_the_bench(
    monkeypatch: pytest.MonkeyPatch,
    typed: Mapping[str, str],
    seen: Mapping[str, str] | None = None,
) -> AppTest:
    """Return the bench with something typed into its fields, and lamps tapped."""

    def number(label: str, *, key: str, said: str) -> str:
        return typed.get(said, "")

    def lamps(blank: Mapping[str, str], *, key: str) -> dict[str, str]:
        return dict(blank) | dict(seen or {})

    monkeypatch.setattr(components, "typed_number", number)
    monkeypatch.setattr(components, "lamps", lamps)
    return shown("leakage", as_of=DAY.isoformat())


@pytest.mark.usefixtures("own")
def test_nothing_is_said_of_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    test = at_the_bench(monkeypatch, {})
    assert "what it may be stands here" in said(test)
    assert "What it may be" not in said(test)


@pytest.mark.usefixtures("own")
def test_a_slip_of_the_finger_stands_beside_its_row(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    typed = {"Reading 1: volts to hull": "3x8", "Reading 2: volts to hull": "-4"}
    test = at_the_bench(monkeypatch, typed)
    assert [error.value for error in test.error] == [
        f"Reading {k}: {text!r} is not a number of V between 0 and 550; it is left out."
        for k, text in ((1, "3x8"), (2, "-4"))
    ]
    assert "What it may be" not in said(test)  # no answer of before


def test_two_meters_and_lamps_then_the_log(
    own: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = (own / "faults.csv").read_bytes()
    typed = {"Reading 1: volts to hull": "38", "Reading 2: volts to hull": "412,5"}
    seen = {"a": "out", "b": "bright", "c": "bright"}
    test = at_the_bench(monkeypatch, typed, seen)
    assert not test.exception
    words = said(test)
    assert "Most likely one fault on a" in words
    assert "The reading that would tell most" in words
    assert LAMPS in words
    assert "If it is one fault, as the log will have it" in words
    assert "&lt;" not in words  # no mark is shown as text
    next(b for b in test.button if b.label == "Take this reading").click().run()
    assert len([b for b in test.button if b.label.startswith("Remove reading")]) == 3
    assert (own / "faults.csv").read_bytes() == before
    next(b for b in test.button if b.label == "Add to the log").click().run()
    assert not test.exception
    rows, _ = read_table(own, "faults")
    (mine,) = [row for row in rows if row["fault"] == "GP-088"]
    assert (mine["system"], mine["lamp_a"]) == ("ship service", "out")
    read, _ = read_table(own, "readings")
    assert [
        (row["conductor"], row["volts"], row["meter_ohm"])
        for row in read
        if row["fault"] == "GP-088"
    ] == [("a", "38", "10000000"), ("b", "412.5", "10000000")]
    test.run()  # as its fields, made anew, draw it once more
    assert "Fault GP-088 is in the log" in said(test)


def test_the_bench_says_what_the_log_will(tmp_path: Path, own: Path) -> None:
    """One answer: typed, saved, and in the JSON of the command."""
    ship = read_ship(own)
    system = ship.systems[0]
    rows = [
        Reading(time=NOON, system=system.name, conductor="a", volts=38.0, meter=3e3),
        Reading(time=NOON, system=system.name, conductor="a", to="b", volts=440.0),
    ]
    lamps = Readings(lamps=("dim", "bright", "bright"))
    known, fault = with_fault(ship, system, lamps, rows, as_of=DAY, name="GP-088")
    here = explained_fault(known, fault)
    amounts = inferred_fault(
        ship, system, lamps, as_of=DAY, sampling=(64, 1), name="GP-088", rows=rows
    )
    save_tables(
        own,
        {
            "faults": [
                {
                    "fault": "GP-088",
                    "system": system.name,
                    "found": DAY.isoformat(),
                    "lamp_a": "dim",
                    "lamp_b": "bright",
                    "lamp_c": "bright",
                }
            ],
            "readings": [
                cells_of_reading(row) | {"time": DAY.isoformat(), "fault": "GP-088"}
                for row in rows
            ],
        },
    )
    found = leakage_result(read_ship(own), samples=64, seed=1, as_of=DAY)
    (saved,) = [row for row in found["faults"] if row["fault"] == "GP-088"]
    assert saved["standing"]
    assert saved["explanations"] == here["explanations"]
    assert saved["next_reading"] == here["next_reading"]
    assert saved["resistance_ohm"]["p50"] == pytest.approx(
        amounts["resistance_ohm"]["p50"], rel=1e-9
    )
    assert answer(saved["explanations"]).startswith("Most likely one fault on a")


def test_rows_read_as_they_are_typed() -> None:
    service = System(name="s", kind="ac3", volts=440.0)

    def typed(what: str, text: str) -> Reading | None:
        return bench_rows.reading_of(
            bench_rows.Typed(number=1, what=what, conductor="a", text=text, meter=3e3),
            service,
            NOON,
        )

    made = Reading(time=NOON, system="s", conductor="a")
    assert typed("hull", "") is None
    assert typed("hull", "38,5") == replace(made, volts=38.5, meter=3e3)
    assert typed("b", "440") == replace(made, volts=440.0, meter=3e3, to="b")
    assert typed("clamp", "0.2") == replace(made, amps=0.2)
    assert typed("insulation", "450") == replace(made, insulation=450.0)
    assert typed("monitor", "90000") == replace(made, conductor=None, monitor=90e3)
    for what, text in (("hull", "900"), ("a", "3"), ("clamp", "-1"), ("hull", "nan")):
        with pytest.raises(bench_rows.BadReading, match="left out"):
            typed(what, text)


@pytest.mark.usefixtures("own")
def test_zero_volts_is_not_dead_on_the_page(monkeypatch: pytest.MonkeyPatch) -> None:
    test = at_the_bench(monkeypatch, {"Reading 1: volts to hull": "0.4"})
    assert ZERO_VOLTS in said(test)
    words = said(test)
    assert "Conductor a is not energised" not in words  # nothing was read between
    assert "The branch is not energised" not in words
    assert "treat it as live, prove it dead" in words  # what a reading between asks
