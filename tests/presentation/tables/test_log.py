"""Tests of the log's own table: what is written, and no more."""

from dataclasses import replace

from ships import fault

from corrosion.presentation.tables.faults import logged
from corrosion.presentation.tables.table import PAGE
from corrosion.records.dates import as_written


def test_a_row_shows_circuit_conductor_zone_and_dates_as_written() -> None:
    first = fault("A", "2025-01-01", amps=0.5, conductor="a", standing=True)
    open_one = replace(first, fault="B", standing=None, found=as_written("2025-02"))
    tagged = replace(open_one, fault="C", isolated=as_written("2025-02-03"))
    ended = replace(open_one, fault="D", cleared=as_written("2025-03"))
    frame = logged([first, open_one, tagged, ended]).frame(PAGE)
    rows = {row["Fault"]: row for row in frame.to_dict("records")}
    assert {name: row["State"] for name, row in rows.items()} == {
        "A": "standing",
        "B": "no end written",
        "C": "isolated, not cleared",
        "D": "cleared",
    }
    assert frame["Fault"].tolist()[-1] == "A"
    assert rows["A"]["Conductor"] == "a"
    assert rows["C"]["Isolated"] == "2025-02-03"
    assert rows["D"]["Cleared"] == "2025-03"
