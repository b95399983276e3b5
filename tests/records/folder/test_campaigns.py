"""Gaugings that cannot be right are named as what they likely are, with their place."""

from pathlib import Path

import pytest
from records.folders import sound, write_rows

from corrosion.foundation.errors import RecordError
from corrosion.records import read_ship

PREPARED = {"surface": "prepared"}
BEFORE = (("Z1", "9.1"), ("Z2", "10.1"), ("R1", "11.2"))


def doubts(folder: Path, now: tuple[str, ...], date: str = "2022-05") -> list[str]:
    """Return the doubts about gaugings.csv where the same plates are read again."""
    sound(folder)
    rows = [
        {"zone": zone, "date": "2012-05", "thickness_mm": mm, **PREPARED}
        for zone, mm in BEFORE
    ]
    rows += [
        {"zone": zone, "date": date, "thickness_mm": mm, **PREPARED}
        for (zone, _), mm in zip(BEFORE, now, strict=True)
    ]
    write_rows(folder, "gaugings", tuple(rows))
    said = [str(doubt) for doubt in read_ship(folder).doubts]
    return [words for words in said if words.startswith("gaugings.csv")]


def test_plates_that_got_thinner_are_no_doubt(tmp_path: Path) -> None:
    assert doubts(tmp_path, ("8.9", "9.8", "11.0")) == []


def test_an_unwritten_surface_is_asked_for_once(tmp_path: Path) -> None:
    sound(tmp_path)
    rows = [
        {"zone": zone, "date": "2012-05", "thickness_mm": mm, "surface": surface}
        for (zone, mm), surface in zip(BEFORE, ("prepared", "", ""), strict=True)
    ]
    write_rows(tmp_path, "gaugings", tuple(rows))
    (said,) = [str(d) for d in read_ship(tmp_path).doubts if "surface" in str(d)]
    assert said.startswith("gaugings.csv:3: surface: it is blank in 2 of 3 rows")
    assert "write prepared where the plate was made bright" in said


def test_a_campaign_that_reads_all_thicker_alike_is_one_doubt(tmp_path: Path) -> None:
    (words,) = doubts(tmp_path, ("9.6", "10.5", "11.7"))
    assert words.startswith(
        "gaugings.csv:5: thickness_mm: 3 of 3 plates are thicker in 2022-05 than when "
        "they were gauged before, by 0.5 mm alike; plates do not grow: was paint or "
        "scale under the probe"
    )


def test_a_single_plate_that_grew_is_named_itself(tmp_path: Path) -> None:
    (words,) = doubts(tmp_path, ("8.9", "11.2", "11.0"))
    assert words.startswith(
        "gaugings.csv:6: thickness_mm: 'Z2' was 10.1 mm and is 11.2 mm; plates do not "
        "grow; was it another zone or unit"
    )


def test_inches_are_named_where_a_whole_campaign_is_in_them(tmp_path: Path) -> None:
    said = doubts(tmp_path, ("0.354", "0.386", "0.433"))
    assert [words.split(":")[1] for words in said] == ["5", "6", "7"]
    assert all("was it inches?" in words for words in said)


def test_a_gauging_before_she_was_built_stops_the_work(tmp_path: Path) -> None:
    with pytest.raises(RecordError, match="before she was built") as problems:
        doubts(tmp_path, ("9.0", "10.0", "11.0"), date="1959")
    words = [str(problem) for problem in problems.value.problems]
    assert words[0].startswith(
        "gaugings.csv:5: date: 1959, before she was built (1960)"
    )
    assert len(words) == 3


def test_a_gauging_beside_a_renewal_of_its_plate_is_a_doubt(tmp_path: Path) -> None:
    sound(tmp_path)
    row = {"zone": "Z1", "thickness_mm": "9.9", **PREPARED}
    rows = tuple({"date": day, **row} for day in ("2015-05", "2018-05"))
    write_rows(tmp_path, "gaugings", rows)
    work = {"date": "2018-05-12", "zone": "Z1", "work": "renewed", "percent": "100"}
    write_rows(tmp_path, "works", (work,))
    (said,) = [str(d) for d in read_ship(tmp_path).doubts if "renewed in" in str(d)]
    assert said.startswith(
        "gaugings.csv:3: date: 'Z1' was gauged in 2018-05 and renewed in 2018-05-12"
    )
    assert "write day and hour of both" in said
