"""Five assumptions that a ship restates are found on every surface that they touch."""

import json
import re
import shutil
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any, Final, NamedTuple

import pytest
from presentation.dashboard.apppages import said, shown
from presentation.report.reading import Page

from corrosion import estimate, read_ship
from corrosion.presentation.answers.leakage import leakage_of_estimate
from corrosion.presentation.answers.plan import gauging_plan
from corrosion.presentation.dashboard import cached, masthead
from corrosion.presentation.dashboard.serve import SHIPS
from corrosion.presentation.format import number
from corrosion.presentation.report import gather, report_html
from corrosion.presentation.terminal.texts import text_of
from corrosion.records.folder.files import folder_digest

DATA: Final = Path(__file__).parents[2] / "data"
DAY: Final = date(2026, 11, 25)
SAMPLES: Final = 32
OWN: Final = {
    "danger_fault_ma": 200.0,
    "gauging_readings_least": 9.0,
    "working_day_hours": 4.0,
    "tolerance_consequence_4": 0.99,
    "lamp_light_ratio": 1.05,
}
ACCESS: Final = ("inside", "diver", "dock")
ADDRESS: Final = {"ship": "saltmarsh", "samples": str(SAMPLES), "hours": "16"}


class Surfaces(NamedTuple):
    """One ship's answers as JSON, on the terminal and, if it was asked, as a report."""

    estimate: dict[str, Any]
    plan: dict[str, Any]
    leakage: dict[str, Any]
    lines: list[str]
    paper: Page

    def zone(self, name: str) -> dict[str, Any]:
        return next(row for row in self.estimate["zones"] if row["zone"] == name)

    def system(self, name: str) -> dict[str, Any]:
        return next(row for row in self.leakage["systems"] if row["system"] == name)


def surfaces(folder: Path, *, report: bool) -> Surfaces:
    result = estimate(read_ship(folder), samples=SAMPLES, seed=1, as_of=DAY)
    key = (folder_digest(folder), DAY, SAMPLES, 1)
    cached._estimates().get(key, lambda: result)  # what pages find
    leakage = leakage_of_estimate(result)
    plan = gauging_plan(result, hours=16.0, access=ACCESS)
    printed = [
        text_of("estimate", result, 400),
        text_of("leakage", leakage, 400),
        text_of("plan", plan, 400),
    ]
    whole, *rest = json.loads(json.dumps([result.to_json(), plan, leakage]))
    lines = [" ".join(line.split()) for text in printed for line in text.splitlines()]
    html = report_html(gather(result, hours=16.0, access=ACCESS)) if report else ""
    return Surfaces(whole, rest[0], rest[1], lines, Page(html))


@pytest.fixture(scope="module")
def usual() -> Surfaces:
    return surfaces(DATA / "saltmarsh", report=False)


@pytest.fixture(scope="module")
def own(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Surfaces]:
    folder = tmp_path_factory.mktemp("ships") / "saltmarsh"
    shutil.copytree(DATA / "saltmarsh", folder)
    with (folder / "ship.toml").open("a", encoding="utf-8") as file:
        for name, median in OWN.items():
            file.write(f"\n[assumption.{name}]\nmedian = {median}\nspread = 1\n")
            file.write('why = "our own"\n')
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv(SHIPS, str(folder.parent))
        patch.setattr(masthead, "SAMPLES", (SAMPLES, 1024))
        yield surfaces(folder, report=True)


def test_from_what_on_a_current_kills(usual: Surfaces, own: Surfaces) -> None:
    for found, words in ((usual, "can kill"), (own, "no sign of safety")):
        healthy = found.system("hotel")["touch_ma"]["healthy"]
        text = f"{number(healthy)} mA healthy and without lamps ({words})"
        assert text in " ".join(found.lines)
    assert text in " ".join(own.paper.words)
    assert own.system("hotel")["touch_ma"]["danger"] == 200.0
    page = shown("leakage", system="hotel", **ADDRESS)
    assert text in said(page)


def test_how_many_readings_a_zone_needs_and_the_hours_of_a_day(
    usual: Surfaces, own: Surfaces
) -> None:
    assert min(row["readings"] for row in usual.plan["rows"]) < 9
    assert min(row["readings"] for row in own.plan["rows"]) == 9
    assert max(day["hours"] for day in usual.plan["days"]) > 4.0
    assert max(day["hours"] for day in own.plan["days"]) <= 4.0
    rows = [(row["zone"], str(row["readings"])) for row in own.plan["rows"]]
    days = [", ".join(day["zones"]) for day in own.plan["days"]]
    page = said(shown("plan", **ADDRESS))
    head, *paper = own.paper.tables["table-plan"].rows
    place = head.index("Readings")
    assert [(row[0], row[place]) for row in paper] == rows
    assert all(f"{zone}, frames" in page for zone, _ in rows)
    assert set(re.findall(r"(\d+) readings tell most", page)) == {n for _, n in rows}
    assert f"sheet {len(days)} of {len(days)}" in page
    assert all(f" {zones} " in " ".join(own.lines) for zones in days)


def test_the_chance_at_which_a_zone_is_looked_at(
    usual: Surfaces, own: Surfaces
) -> None:
    levels = {
        zone.zone: zone.consequence for zone in read_ship(DATA / "saltmarsh").zones
    }
    moved = []
    for zone in (name for name, level in levels.items() if level == 4):
        before, now = (of.zone(zone)["inspect_by"] for of in (usual, own))
        assert now is None or (before is not None and now >= before)
        moved += [zone] * (now != before)
    assert moved
    paper: dict[str, str] = {}
    head, *rows = own.paper.tables["table-ranking"].rows
    for row in rows:
        paper[row[1].partition(" | ")[0]] = row[head.index("Gauge by")]
    ranking = shown("ranking", **ADDRESS).dataframe[0].value
    page = dict(zip(ranking["Zone"], ranking["Gauge by"], strict=True))
    for zone in moved:
        day = str(own.zone(zone)["inspect_by"] or "later")
        assert page[zone] == paper[zone] == day


def test_what_the_lamps_could_show(usual: Surfaces, own: Surfaces) -> None:
    least = own.system("hotel")["least_visible_fault_ohm"]
    assert least > 2.0 * usual.system("hotel")["least_visible_fault_ohm"]
    row = next(line for line in own.lines if line.startswith("hotel "))
    assert row.endswith(f"{number(least / 1000)} kΩ")
    page = said(shown("leakage", system="hotel", leak="Suppose a fault", **ADDRESS))
    assert f"{number(least / 1000)} kΩ" in page


def test_they_are_marked_as_the_ships_own(own: Surfaces) -> None:
    paper = own.paper.tables["table-assumptions"].rows[1 : len(OWN) + 1]
    page = shown("sources", **ADDRESS).dataframe[0].value.head(len(OWN))
    for rows in (paper, page.to_numpy().tolist()):
        assert len([row for row in rows if "our own" in " ".join(row)]) == len(OWN)
