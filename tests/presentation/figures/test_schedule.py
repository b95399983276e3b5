"""Tests of presentation.figures.timeline_layout and timeline: laws, edges."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from presentation.figures import invented

from corrosion.presentation.figures.lanes import lines_of
from corrosion.presentation.figures.timeline import fault_timeline
from corrosion.presentation.figures.timeline_layout import schedule

span = st.tuples(st.integers(0, 50), st.integers(1, 20))


@settings(deadline=None)
@given(st.lists(span, min_size=1, max_size=30))
def test_lines_keep_things_apart_and_are_as_few_as_can_be(
    spans: list[tuple[int, int]],
) -> None:
    begins = np.array([float(a) for a, _ in spans])
    ends = np.array([float(a + b) for a, b in spans])
    lines = lines_of(begins, ends)
    for line in range(int(lines.max()) + 1):
        here = np.flatnonzero(lines == line)
        order = here[np.argsort(begins[here])]
        assert (begins[order][1:] >= ends[order][:-1]).all()
    at_once = max(int(((begins <= b) & (ends > b)).sum()) for b in begins)
    assert lines.max() + 1 == at_once


def test_faults_that_stood_together_lie_on_separate_rows() -> None:
    plan = schedule(invented.faults(), invented.berths())
    rows = {bar.fault: bar.row for bar in plan.bars}
    assert rows["F01"] != rows["F02"]
    assert rows["F01"] == rows["F07"]
    assert len({(bar.row, bar.found) for bar in plan.bars}) == len(plan.bars)


def test_each_system_has_its_own_rows() -> None:
    plan = schedule(invented.faults(), invented.berths())
    systems = invented.faults().set_index("fault")["system"]
    owners: dict[float, str] = {}
    for bar in plan.bars:
        assert owners.setdefault(bar.row, systems[bar.fault]) == systems[bar.fault]


def test_a_fault_without_a_system_lies_under_other() -> None:
    table = invented.faults()
    table.loc[0, "system"] = None
    names = [name for name, _ in schedule(table, invented.berths()).systems]
    assert "other" in names


def test_standing_faults_carry_an_arrow_at_the_end() -> None:
    figure = fault_timeline(invented.faults(), invented.berths())
    symbols = [
        symbol
        for trace in figure.to_dict()["data"]
        if trace["mode"] == "markers"
        for symbol in trace["marker"]["symbol"]
    ]
    assert symbols.count("triangle-right") == 2
    assert symbols.count("diamond") == 6


def test_every_berth_is_a_band_with_its_supply_in_words() -> None:
    figure = fault_timeline(invented.faults(), invented.berths())
    assert len(figure.layout.shapes) == len(invented.berths())
    hovers = [
        trace["hovertext"][0]
        for trace in figure.to_dict()["data"]
        if trace["mode"] == "text+markers"
    ]
    assert all("shore" in text or "own" in text for text in hovers)


def test_words_of_a_short_berth_are_left_out() -> None:
    plan = schedule(invented.faults(), invented.berths())
    assert [berth.words for berth in plan.berths][:2] == [
        "North quay: shore earthed",
        "",
    ]


@pytest.mark.parametrize("berths", [invented.berths(), invented.berths().head(0)])
def test_a_ship_without_faults_has_a_timeline_too(berths: pd.DataFrame) -> None:
    plan = schedule(invented.faults().head(0), berths)
    assert plan.bars == ()
    assert plan.start < plan.end
