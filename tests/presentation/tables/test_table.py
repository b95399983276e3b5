"""Tests of presentation.tables: what columns make of rows."""

import ast
import tomllib
from pathlib import Path
from typing import Any

import pytest

import corrosion
from corrosion.presentation.tables import whatif
from corrosion.presentation.tables.table import (
    NUMBER,
    PAGE,
    REPORT,
    TERMINAL,
    Table,
    file_stem,
    interval,
    made,
    said,
)
from corrosion.presentation.units import METRIC, US

ROW = {"zone": "A", "mm": {"p10": 8.0, "p50": 9.0, "p90": 10.0, "mean": 11.0}}


def test_names_of_files_hold_no_path() -> None:
    assert file_stem("../etc/passwd") == "etc-passwd"
    assert file_stem("日本") == "unnamed"


def test_every_caption_is_that_of_a_table() -> None:
    """A table without one breaks where it is made; one without a table is not seen."""
    room = Path(corrosion.__file__).parent / "presentation"
    said_somewhere = {
        node.value
        for path in room.rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Constant)
    }
    captions = tomllib.loads((room / "tables" / "captions.toml").read_text("utf-8"))
    assert {n.removeprefix("docking-") for n in captions} <= said_somewhere


def test_the_interval_stands_beneath_the_median_on_paper_alone() -> None:
    column = interval(
        "Left", "mm", "mm", beneath=lambda _, factor: (f"limit {7 * factor:.0f}",)
    )
    assert column.title() == "Left (mm)"
    assert column.made(ROW, PAGE).text == "9.00 (8.00 to 10.0)"
    assert column.made(ROW, TERMINAL).small == ()
    paper = column.made(ROW, REPORT)
    assert (paper.text, paper.small) == ("9.00", ("8.00 to 10.0", "limit 7"))
    paper = column.made(ROW, REPORT, US)  # 9 mm are 354.33 mil of 0.0254 mm
    assert column.title(US) == "Left (mil)"
    assert (paper.text, paper.small) == ("354", ("315 to 394", "limit 276"))


def test_a_surface_shows_its_columns_and_the_file_has_all() -> None:
    number = made("No.", lambda _: "1", NUMBER, on=PAGE)
    table = Table(
        name="t",
        caption="t",
        columns=(number, said("Zone", "zone"), interval("Left", "mm", "mm")),
        rows=[ROW],
    )
    assert list(table.frame(PAGE).columns) == ["No.", "Zone", "Left (mm)"]
    assert list(table.frame(TERMINAL).columns) == ["Zone", "Left (mm)"]
    assert table.named_by(PAGE) == 1
    assert table.named_by(REPORT) == 0
    assert table.spreadsheet()["mm_mean"].tolist() == [11.0]


def test_an_interval_that_is_not_known_is_said_so_once() -> None:
    curve: list[list[Any]] = [
        [0.0, 1.0, 1.0, 1.0],
        [2.0, 0.5, 0.2, 0.8],
        [6.0, 0.0, None, None],
    ]
    frame = whatif.durations(curve).frame()
    rows = {row[0]: row[1:] for row in frame.to_numpy().tolist()}
    assert rows["1 h"] == ["100 %", "100 % to 100 %"]
    assert rows["4 h"] == ["50 %", "20 % to 80 %"]
    assert rows["12 h"] == ["0 %", "not known"]


@pytest.mark.parametrize("priced", [True, False])
def test_money_is_an_expectation_and_stands_where_a_price_is(priced: bool) -> None:
    some = {"p10": 1.0, "p50": 2.0, "p90": 4.0, "mean": 3.0}
    row: dict[str, Any] = {
        "measure": "m",
        "needs": "nobody",
        "caution": None,
        "most_kept_zone": "Z",
        "zones_below_limit": 1.5,
        "from_now": {"kept_kg": some, "second_faults": {"another_conductor": 0.5}},
        **dict.fromkeys(("saved_kg", "stray_kg", "saved_ceiling_kg"), some),
        **dict.fromkeys(("most_kept_mm", "fault_hours_saved"), some),
    }
    if priced:
        row |= {"saved_money": some, "spared_renewal_money": 900.0}
    frame = whatif.measures([row]).frame()
    assert ("Worth at her price, expected" in frame) is priced
    if priced:
        assert frame["Worth at her price, expected"].tolist() == ["3.00"]


@pytest.mark.parametrize(
    ("unit", "factor", "told"),
    [("mm", 39.3701, "mil"), ("kg", 2.20462, "lb"), ("m²", 10.7639, "ft²")],
)
def test_units_of_the_united_states_are_the_agreed_ones(
    unit: str, factor: float, told: str
) -> None:
    found, read = US.of(unit)
    assert found == pytest.approx(factor, rel=1e-5)
    assert read == told
    assert US.of("A") == METRIC.of("A") == (1.0, "A")
