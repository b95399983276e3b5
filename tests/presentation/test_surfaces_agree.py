"""Page, terminal, report and JSON print the same digits: every table of both ships."""

import json
import re
import shutil
from collections.abc import Iterator, Mapping
from datetime import date
from pathlib import Path
from typing import Any, Final, NamedTuple

import pandas as pd
import pytest
from presentation.dashboard.apppages import shown
from presentation.report.reading import Page

from corrosion import estimate, read_ship
from corrosion.inspection.whatif.measures import galvanic_isolators
from corrosion.presentation.answers.hull import hull_result
from corrosion.presentation.answers.isolation import measure_savings
from corrosion.presentation.answers.leakage import leakage_of_estimate
from corrosion.presentation.dashboard import cached, masthead
from corrosion.presentation.dashboard.serve import SHIPS
from corrosion.presentation.report import Contents, gather, report_html
from corrosion.presentation.report.contents import LIMITS_H
from corrosion.presentation.tables import faults, results
from corrosion.presentation.tables.table import ALL, NUMBER, TERMINAL, Table
from corrosion.presentation.terminal.texts import text_of
from corrosion.records.folder.files import folder_digest

DATA: Final = Path(__file__).parents[2] / "data"
DAY: Final = date(2026, 11, 25)
SAMPLES: Final = 32
PAGES: Final = {
    "ranking": ({}, ("ranking", "totals")),
    "leakage": ({"leak": "Faults in the log"}, ("leakage",)),
    "loss": ({"cost": "Ceiling and estimate"}, ("totals",)),
    "isolation": (
        {"save": "Limits compared", "limits": "1h,4h,12h,24h,3d,7d,4w"},
        ("isolation",),
    ),
    "gauging": ({}, ("gaugings",)),
    "gauging ": ({"gauged": "What the gaugings changed"}, ("gaugings-effect",)),
    "currents": ({}, ("leaving", "berths", "anodes")),
    "sources": ({}, ("assumptions",)),
}
"""Page → its address, and the tables on it in order."""


class Everything(NamedTuple):
    """One ship's numbers, as objects, tables and texts."""

    name: str
    contents: Contents
    answers: dict[str, Any]
    tables: dict[str, Table]
    printed: str
    paper: Page


@pytest.fixture(scope="module", params=["grey-plover", "saltmarsh"])
def ship(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Everything]:
    """Estimate a demo ship once for all surfaces; pages find it in their cache."""
    folder = tmp_path_factory.mktemp("ships")
    shutil.copytree(DATA / request.param, folder / request.param)
    one = read_ship(folder / request.param)
    result = estimate(one, samples=SAMPLES, seed=1, as_of=DAY)
    key = (folder_digest(folder / request.param), DAY, SAMPLES, 1)
    cached._estimates().get(key, lambda: result)
    contents = gather(result, hours=16.0, lies="alongside")
    answers: dict[str, Any] = {
        "estimate": result.to_json(),
        "leakage": leakage_of_estimate(result),
        "hull": hull_result(one, samples=SAMPLES, seed=1, as_of=DAY),
        "isolate": contents.isolation
        | {"measures": measure_savings(result, [galvanic_isolators()])},
        "plan": contents.plan,
        "hunt": contents.hunts[0],
    }
    cached._answers().get(("hull", *key), lambda: answers["hull"])
    limits = ("isolation", *key, *LIMITS_H)
    cached._answers().get(limits, lambda: contents.isolation)
    tables = [
        *contents.tables(),
        *results.tables_of("leakage", answers["leakage"]),
        *results.tables_of("hull", answers["hull"]),
    ]
    printed = [
        text_of(name, result if name == "estimate" else answer, 400)
        for name, answer in answers.items()
    ]
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv(SHIPS, str(folder))
        patch.setattr(masthead, "SAMPLES", (SAMPLES, 1024))
        yield Everything(
            request.param,
            contents,
            json.loads(json.dumps(answers)),
            {table.name: table for table in tables},
            "\n".join(printed),
            Page(report_html(contents)),
        )


def test_thousands_are_parted_in_every_number(ship: Everything) -> None:
    for table in ship.tables.values():
        numbers = [k for k, c in enumerate(table.on(ALL)) if c.kind == NUMBER]
        for row in table.cells(ALL):
            said = " ".join(row[k].text for k in numbers)
            assert not re.search(r"(?<![.\d])\d{4}", said), (table.name, said)


def inline(cell: str) -> str:
    """Return a cell of the report as the others write it."""
    head, *small = cell.split(" | ")
    between = small[0] if small and " to " in small[0] else ""
    number = re.match(r"(under |over )?-?\d", between)
    return f"{head} ({between})" if number else head


def test_the_report_holds_every_table(ship: Everything) -> None:
    for table in ship.contents.tables():
        head, *rows = ship.paper.tables[f"table-{table.name}"].rows
        frame = table.frame()
        for title in (title for title in head if title in frame and title != "Zone"):
            place = head.index(title)
            assert [inline(row[place]) for row in rows] == frame[title].tolist(), title


def test_the_terminal_prints_every_row(ship: Everything) -> None:
    lines = [" ".join(line.split()) for line in ship.printed.splitlines()]
    for name in ("ranking", "faults", "systems", "leakage", "hull-zones", "berths"):
        table = ship.tables[name]
        for cells in table.frame(TERMINAL).to_numpy().tolist():
            row = " ".join(" ".join(cells).split())
            assert row in lines, (name, row)


@pytest.mark.parametrize("page", PAGES)
def test_a_page_shows_the_same_tables(page: str, ship: Everything) -> None:
    address, names = PAGES[page]
    asked = {"ship": ship.name, "samples": str(SAMPLES), "hours": "16"}
    test = shown(page.strip(), **asked, **address)
    assert not test.exception
    drawn: list[pd.DataFrame] = [frame.value for frame in test.dataframe]
    if not ship.contents.result.anodes:
        names = tuple(name for name in names if name != "anodes")
    assert len(drawn) == len(names)
    for frame, name in zip(drawn, names, strict=True):
        if name == "leaving":  # what an ampere does at the berth that is chosen
            continue
        table = ship.tables[name]
        if name == "leakage":
            of = {f.fault: f.system for f in ship.contents.result.ship.faults}
            first = ship.contents.result.ship.systems[0].name
            rows = [row for row in table.rows if of[row["fault"]] in (first, None)]
            table = faults.leaking(sorted(rows, key=lambda row: not row["standing"]))
        pd.testing.assert_frame_equal(frame, table.frame())


def median(values: Mapping[str, float]) -> str:
    """Write an interval by another hand: three digits, no exponent."""
    said = []
    for key in ("p50", "p10", "p90"):
        value = values[key]
        if value and abs(value) < 1e-4:
            said.append("under 0.0001" if value > 0 else "over -0.0001")
            continue
        text = f"{float(f'{value:.2e}'):.10f}" if value else "0"
        whole = len(text.partition(".")[0].lstrip("-"))
        if value and abs(float(text)) >= 1:
            text = text[: text.index(".") + 1 + max(0, 3 - whole)].rstrip(".")
            if whole > 3:
                text = f"{text[: whole - 3]}\N{NO-BREAK SPACE}{text[whole - 3 :]}"
        elif value:
            zeros = len(text.partition(".")[2]) - len(
                text.partition(".")[2].lstrip("0")
            )
            text = text[: text.index(".") + 1 + zeros + 3]
        said.append(text)
    return said[0] if len({*said}) == 1 else f"{said[0]} ({said[1]} to {said[2]})"


def test_what_is_printed_is_what_the_json_holds(ship: Everything) -> None:
    looked = (
        ("ranking", ship.answers["estimate"]["zones"], "zone", "Zone"),
        ("faults", ship.answers["estimate"]["faults"], "fault", "Fault"),
        ("leakage", ship.answers["leakage"]["faults"], "fault", "Fault"),
        ("isolation", ship.answers["isolate"]["limits"], None, None),
        ("berths", ship.answers["hull"]["berths"], None, None),
    )
    heads = {
        "Left, zone mean (mm)": "left_mm",
        "Left under the deepest pit (mm)": "left_under_pit_mm",
        "Stray loss (kg)": "stray_kg",
        "Natural loss (kg)": "natural_kg",
        "Steel (kg)": "kg",
        "Stood (h)": "hours",
        "Into the hull (A)": "amps",
        "Ceiling (kg)": "ceiling_kg",
        "Steel kept (kg)": "saved_kg",
        "Depth kept there (mm)": "most_kept_mm",
        "Couple drives (A)": "couple_amps",
    }
    checked = set()
    for name, answer, key, head in looked:
        frame = ship.tables[name].frame()
        by_name = {row[key]: row for row in answer} if key else dict(enumerate(answer))
        ids = frame[head] if head else frame.index
        for title in heads.keys() & set(frame.columns):
            said = [median(by_name[one][heads[title]]) for one in ids]
            assert frame[title].tolist() == said, (name, title)
            checked.add(title)
    assert checked == heads.keys()
    totals = ship.tables["totals"].frame()
    for name in ("stray_kg", "couple_kg", "natural_kg", "ceiling_kg", "charge_ah"):
        row = [one["quantity"] for one in ship.tables["totals"].rows].index(name)
        values = ship.answers["estimate"]["totals"][name]
        assert totals.iloc[row, 1] == median(values)


def test_zones_that_are_flagged_are_those_that_are_named(ship: Everything) -> None:
    frame = ship.tables["gaugings"].frame()
    flagged = set(frame.loc[frame["In words"] == "disagrees", "Zone"])
    named = {one.zone for one in ship.contents.result.calibration.disagreements}
    assert flagged == named
