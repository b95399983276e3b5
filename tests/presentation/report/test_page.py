"""Tests of the report's page: laws, edges."""

import re
from itertools import pairwise

import pandas as pd
import pytest
from presentation.report.reading import LOADING, Page

from corrosion.presentation.answers.isolation import isolation_result
from corrosion.presentation.answers.plan import gauging_plan
from corrosion.presentation.demo import INVENTED
from corrosion.presentation.figures import theme
from corrosion.presentation.format import number
from corrosion.presentation.report import Contents, gather, report_html
from corrosion.presentation.sentences import headline

SECTIONS = (
    "answer",
    "plan",
    "totals",
    "zones",
    "isolation",
    "faults",
    "gaugings",
    "limits",
    "appendix",
    "doubts",
    "hunt",
    "all-zones",
    "all-gaugings",
    "durations",
    "assumptions",
)


@pytest.fixture(scope="module")
def page(plover: Contents) -> Page:
    return Page(report_html(plover))


def test_what_ifs_and_plan_are_those_of_the_commands(
    plover: Contents, page: Page
) -> None:
    result = plover.result
    asked = isolation_result(result, [4.0, 24.0, 168.0])["limits"]
    kept = [
        row for row in plover.isolation["limits"] if row["within_hours"] in (4, 24, 168)
    ]
    pd.testing.assert_frame_equal(  # sums of another batch round elsewhere
        pd.json_normalize(kept), pd.json_normalize(asked), rtol=1e-12
    )
    plan = gauging_plan(result, hours=40.0, access=("inside", "diver", "dock"))
    assert plover.plan == plan
    rows = page.tables["table-plan"].rows[1:]
    assert [row[0] for row in rows] == plan["zones"]


def test_a_bar_says_what_it_draws(plover: Contents, page: Page) -> None:
    said = "".join(page.words)
    for zone in plover.result.to_json()["zones"]:
        low, high = (number(zone["left_mm"][end]) for end in ("p10", "p90"))
        assert f"zone mean {low} to {high} mm, limit" in said


def test_it_can_be_traced(plover: Contents, page: Page) -> None:
    said = " ".join(page.words)
    assert plover.digest is not None
    assert re.fullmatch("[0-9a-f]{64}", plover.digest)
    for words in (plover.digest, "2026-11-25", "32, 1", headline(plover.result)):
        assert words in said


def test_the_same_estimate_gives_the_same_bytes(hostile: Contents) -> None:
    assert report_html(hostile) == report_html(gather(hostile.result))


def test_sections_stand_in_order_with_every_table(plover: Contents, page: Page) -> None:
    assert [has["id"] for has in page.named("section") if "id" in has] == [*SECTIONS]
    shown = {name.removeprefix("table-") for name in page.tables}
    assert len(page.tables["table-ranking-first"].rows) == 15  # the heading, and 14
    shown.remove("ranking-first")
    assert sorted(shown) == sorted(table.name for table in plover.tables())


@pytest.mark.parametrize("ship", ["plover", "hostile", "bare"])
def test_tags_match_and_nothing_is_loaded(
    ship: str, request: pytest.FixtureRequest
) -> None:
    text = report_html(request.getfixturevalue(ship))
    page = Page(text)
    assert page.faults == []
    used = {tag for tag, _ in page.tags}
    assert not used & {"script", "link", "img", "iframe", "object", "embed", "base"}
    for name in LOADING:
        assert all(value.startswith("#") for value in page.attributes(name)), name
    assert not [n for _, has in page.tags for n in has if n.startswith("on")]
    assert not re.search(r"url\(|@import|@font-face", text)
    assert "default-src 'none'" in text


def test_hostile_words_are_shown_and_do_nothing(hostile: Contents) -> None:
    page = Page(report_html(hostile))
    said = "".join(page.words)
    assert said.count('<script>alert("x")</script>') > 10
    assert page.named("h1") == [{}]
    assert "img src=http://x.invalid/a onerror=b> Teal" in said


def test_every_table_and_drawing_is_described(page: Page) -> None:
    assert page.named("html") == [{"lang": "en"}]
    for name, table in page.tables.items():
        assert len(table.caption) > 10, name
        assert set(table.scopes) == {"col", "row"}, name
        assert table.scopes.count("row") == len(table.rows) - 1, name
        assert {len(row) for row in table.rows} == {len(table.rows[0])}, name
    drawings = page.named("svg")
    assert {has["role"] for has in drawings} == {"img"}
    assert len(page.named("title")) == len(drawings) + 1
    levels = [int(tag[1]) for tag, _ in page.tags if re.fullmatch("h[1-6]", tag)]
    assert levels[0] == 1
    assert all(below - above <= 1 for above, below in pairwise(levels))
    ids = page.attributes("id")
    assert len(ids) == len(set(ids))
    assert {value[1:] for value in page.attributes("href")} <= set(ids)


def test_it_is_made_for_a4(page: Page) -> None:
    style = "".join(page.words)
    for rule in (
        "size: A4",
        "counter(page)",
        "@media print",
        "display: table-header-group",
        "break-after: avoid",
        "break-inside: avoid",
        "prefers-color-scheme: dark",
    ):
        assert rule in style


def test_text_can_be_read_on_either_ground(page: Page) -> None:
    style = "".join(page.words)
    light, dark = (
        dict(re.findall(r"--(\w+): (#[0-9a-f]{6});", block))
        for block in re.findall(r":root \{(.*?)\}", style, flags=re.DOTALL)
    )
    for colours in (light, light | dark):
        for ground in ("ground", "tint"):
            for ink in ("ink", "muted", "hot"):
                assert theme.contrast(colours[ink], colours[ground]) >= 4.5


def test_restated_assumptions_come_first_and_are_marked(hostile: Contents) -> None:
    first, second = Page(report_html(hostile)).tables["table-assumptions"].rows[1:3]
    assert first[0].startswith("pitting_factor")
    assert first[1] == "4 | in place of 3.5"
    assert first[3] == "restated for this ship"
    assert "restated" not in second[3]


def test_a_gauging_far_off_is_named(hostile: Contents) -> None:
    page = Page(report_html(hostile))
    (row,) = page.tables["table-gaugings"].rows[1:]
    assert "disagrees" in row
    assert "likeliest" in "".join(page.words)


def test_a_ship_with_nothing_written_says_so(bare: Contents) -> None:
    page = Page(report_html(bare))
    said = "".join(page.words)
    for words in (
        "No fault is written down.",
        "No zone was gauged",
        "No ground fault is written down.",
        "fewer than the cheapest zone takes",
        "not read from a folder",
    ):
        assert words in said
    assert "None is printed: what may be opened hangs on how she lies" in said


def test_the_report_stays_small(plover: Contents) -> None:
    assert len(report_html(plover).encode()) < 600_000


def test_a_demo_is_said_to_be_invented_and_another_ship_is_not(
    plover: Contents, bare: Contents
) -> None:
    assert INVENTED.capitalize() in report_html(plover)
    assert INVENTED.capitalize() not in report_html(bare)


def test_currents_are_drawn_by_cause_as_she_lies(page: Page) -> None:
    said = " ".join(page.words)
    assert "What drives current through the hull as she lies, cause by cause" in said
    for cause in ("Her own metals drive", "The direct currents of the faults that"):
        assert cause in said
