"""Doubts about works, and what the estimate makes of what was written."""

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from records.written import write_ship
from ships import ZONES, ship

import corrosion
from corrosion import RecordError, read_ship
from corrosion.inspection.dangers import holes
from corrosion.records.dates import as_written
from corrosion.records.measured import Gauging
from corrosion.records.ship import Work, Zone

BRONZE = replace(
    ZONES[4], metal="nickel-aluminium bronze", bare=None, bare_seen=None, painted=None
)


def doubts(folder: Path, *works: Work, last: Zone = ZONES[4]) -> list[str]:
    zones = (*ZONES[:4], last, ZONES[5])
    write_ship(ship(zones=zones, systems=(), works=works), folder)
    return [str(one) for one in read_ship(folder).doubts]


def work(kind: str, on: str = "2015-06-01", zone: str = "FP", **more: float) -> Work:
    return Work(date=as_written(on), zone=zone, work=kind, **more)  # type: ignore[arg-type]  # words of a folder


@pytest.mark.parametrize(
    ("one", "last", "words"),
    [
        (
            work("renewed", thickness=0.006),
            ZONES[4],
            "works.csv:2: thickness_mm: 6 mm is under the limit of 7 mm",
        ),
        (
            work("painted", zone="RUD"),
            BRONZE,
            "works.csv:2: work: RUD was painted, and it is of nickel-aluminium bronze",
        ),
        (
            work("pits filled"),
            replace(BRONZE, painted=as_written("2015-05")),
            "zones.csv:6: painted: RUD was painted, and it is of nickel-aluminium",
        ),
    ],
)
def test_works_that_cannot_be_meant_are_doubts(
    one: Work, last: Zone, words: str, tmp_path: Path
) -> None:
    assert any(words in text for text in doubts(tmp_path, one, last=last))
    sound = work("renewed", thickness=0.010)
    quiet = doubts(tmp_path / "sound", sound)
    assert not any("works.csv" in text for text in quiet)


def test_works_before_she_was_built_are_refused(tmp_path: Path) -> None:
    with pytest.raises(RecordError, match=r"works.csv:2: date: .*before she was built"):
        doubts(tmp_path, work("painted", on="1990-06-01"))


def test_paint_on_bronze_counts_as_bare_whoever_wrote_it(tmp_path: Path) -> None:
    kilograms = []
    for name, last, works in (
        ("blank", BRONZE, ()),
        ("all bare", replace(BRONZE, bare=1.0, bare_seen=as_written("2015-05")), ()),
        ("painted", replace(BRONZE, painted=as_written("2015-05")), ()),
        ("by works", BRONZE, (work("painted", zone="RUD"),)),
    ):
        doubts(tmp_path / name, *works, last=last)
        found = corrosion.estimate(
            read_ship(tmp_path / name), samples=32, as_of=date(2026, 1, 1)
        )
        kilograms.append(found.to_json()["totals"]["own_metals_kg"]["mean"])
    assert kilograms[0] > 0.0
    assert kilograms == pytest.approx([kilograms[0]] * 4, rel=1e-3)


def test_nought_millimetres_is_a_hole_and_reads(tmp_path: Path) -> None:
    holed = Gauging(zone="FP", date=as_written("2024-05-01"), thickness=0.0)
    write_ship(ship(systems=(), gaugings=(holed,)), tmp_path)
    one = read_ship(tmp_path)
    assert [row.zone for row in holes(one)] == ["FP"]
    found = corrosion.estimate(one, samples=32, as_of=date(2026, 1, 1)).to_json()
    assert len(found["zones"]) == len(ZONES)
