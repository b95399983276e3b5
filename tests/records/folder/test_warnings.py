"""What is doubtful is told, with its place, and does not stop the work."""

from pathlib import Path

import pytest
from records.folders import sound, with_cells, with_text

from corrosion.records import read_ship
from corrosion.records.folder.doubt_list import worst_first


def test_the_sound_folder_has_no_doubt(tmp_path: Path) -> None:
    # F2 has no zone, but cable shares say where to look.
    assert read_ship(sound(tmp_path)).doubts == ()


@pytest.mark.parametrize(
    ("place", "cells", "begins"),
    [
        (
            "zones:2",
            {"bare_percent": "0.05"},
            "zones.csv:2: bare_percent: 0.05 % is not usual here; write per",
        ),
        (
            "zones:4",
            {"bond_ohm": "200"},
            "zones.csv:4: bond_ohm: 200 Ω is not usual here; write ohms; was it mΩ",
        ),
        (
            "zones:2",
            {"cable_share": "0.2"},
            "zones.csv: cable_share: the shares sum to",
        ),
        (
            "zones:3",
            {"frame_from": "40"},
            "zones.csv:3: zone: 'Z2' covers plating of 'Z",
        ),
        (
            "faults:2",
            {"amps": "400"},
            "faults.csv:2: amps: 400 A is much for the hull of an",
        ),
        (
            "faults:2",
            {"circuit": "galey"},
            "faults.csv:2: circuit: there is no circuit 'galey'",
        ),
        (
            "faults:4",
            {"cleared": "2021-04-30"},
            "faults.csv:4: cleared: 2021-04-30 lies bef",
        ),
        (
            "faults:3",
            {"last_good": "1995"},
            "faults.csv:3: found: 1994 lies before last_good",
        ),
        ("faults:3", {"found": "2190"}, "faults.csv:3: found: 2190 is still to come"),
        (
            "gaugings:2",
            {"thickness_mm": "10.4"},
            "gaugings.csv:2: thickness_mm: 10.4 mm",
        ),
        (
            "gaugings:2",
            {"zone": "Z2", "frame": ""},
            "zones.csv:2: zone: 'Z1' was never gauged",
        ),
        ("gaugings:2", {"date": "2190"}, "gaugings.csv:2: date: 2190 is still to come"),
        (
            "berths:3",
            {"from": "2005"},
            "berths.csv:3: from: it begins 2005, and line 2 ends 2003",
        ),
        (
            "berths:3",
            {"earth_cable_ohm": "150"},
            "berths.csv:3: earth_cable_ohm: 150 Ω",
        ),
        (
            "circuits:3",
            {"fed_from": "panl"},
            "circuits.csv:3: fed_from: there is no circuit 'pa",
        ),
    ],
)
def test_one_doubt(
    tmp_path: Path, place: str, cells: dict[str, str], begins: str
) -> None:
    with_cells(sound(tmp_path), place, cells)
    doubts = [str(doubt) for doubt in read_ship(tmp_path).doubts]
    assert len(doubts) == 1, doubts
    assert doubts[0].startswith(begins)
    assert "; " in doubts[0]


@pytest.mark.parametrize(
    ("old", "new", "begins"),
    [
        (
            "next_docking = 2030-05-01",
            "",
            "ship.toml:1: ship.next_docking: it is blank; write",
        ),
        (
            "2030-05-01",
            "2020-05-01",
            "ship.toml:8: ship.next_docking: 2020-05-01 has pas",
        ),
        ("400e3", "400", "ship.toml:21: system.insulation_ohm: 400 Ω"),
    ],
)
def test_one_doubt_of_the_ship_file(
    tmp_path: Path, old: str, new: str, begins: str
) -> None:
    with_text(sound(tmp_path), "ship.toml", old, new)
    doubts = [str(doubt) for doubt in read_ship(tmp_path).doubts]
    assert len(doubts) == 1, doubts
    assert doubts[0].startswith(begins)


def test_a_fault_with_neither_zone_nor_cable_shares(tmp_path: Path) -> None:
    sound(tmp_path)
    for line in (2, 3, 4):
        with_cells(tmp_path, f"zones:{line}", {"cable_share": ""})
    with_cells(tmp_path, "faults:2", {"zone": ""})  # its circuit has a row, no zone
    doubts = [str(doubt) for doubt in read_ship(tmp_path).doubts]
    assert [doubt.split(":")[1] for doubt in doubts] == ["2", "3"]
    assert all(
        "zone: it is blank, and no zone has a cable_share" in doubt for doubt in doubts
    )
    with_cells(tmp_path, "circuits:3", {"zone": "Z2"})
    assert len(read_ship(tmp_path).doubts) == 1


@pytest.mark.parametrize(
    "cells",
    [
        {"side": "starboard"},
        {"exposure": "bilge"},
        {"frame_from": "49"},  # a trifle
        {"bond_ohm": "0.1", "bonded_to": "Z1"},
    ],
)
def test_zones_side_by_side_are_not_doubted(
    tmp_path: Path, cells: dict[str, str]
) -> None:
    with_cells(sound(tmp_path), "zones:3", {"frame_from": "40", **cells})
    assert read_ship(tmp_path).doubts == ()


@pytest.mark.parametrize(
    ("found", "cleared", "doubts"),
    [
        ("2024-06-03 14:20", "2024-06-03", 0),  # some moment of the same day
        ("2024-06-03", "2024-06-02", 1),  # the day before
        ("2024-06", "2023", 1),  # months before, but the year is wide
        ("2024", "2024-01-01", 0),
    ],
)
def test_order_is_doubted_within_the_widths(
    tmp_path: Path, found: str, cleared: str, doubts: int
) -> None:
    cells = {"found": found, "cleared": cleared, "last_good": ""}
    with_cells(sound(tmp_path), "faults:2", cells)
    assert len(read_ship(tmp_path).doubts) == doubts


def test_files_that_are_not_read_are_named(tmp_path: Path) -> None:
    (sound(tmp_path) / "gaugings.csv").rename(tmp_path / "gauging.csv")
    doubts = "\n".join(map(str, read_ship(tmp_path).doubts))
    assert "gauging.csv: no file of a ship folder" in doubts
    assert "did you mean 'gaugings.csv'?" in doubts


@pytest.mark.parametrize(
    ("place", "cells"),
    [
        ("gaugings:2", {"thickness_mm": "10.29"}),  # below 3 % above built
        ("zones:2", {"bottom_m": "4.4"}),  # 10 % below the keel
        ("zones:4", {"frame_to": "110"}),  # 10 % of her length aft
        ("zones:2", {"bare_percent": "1.01"}),
        ("zones:2", {"cable_share": "0.481"}),
        ("faults:2", {"hull_v_a": "484"}),  # 1.1 times 440 V
        ("faults:2", {"amps": "6.4"}),
        ("zones:2", {"limit_mm": "9.7", "pit_limit_mm": "9.7"}),
    ],
)
def test_the_edge_is_still_allowed(
    tmp_path: Path, place: str, cells: dict[str, str]
) -> None:
    with_cells(sound(tmp_path), place, cells)
    assert read_ship(tmp_path).doubts == ()


def test_a_campaign_in_another_unit_is_one_doubt_that_names_it(tmp_path: Path) -> None:
    folder = sound(tmp_path)
    rows = [
        f"Z{1 + k % 2},{day},0.{33 + k},mean"
        for day in ("2021-06-03", "2022-05-02")
        for k in range(5)
    ]
    text = "\n".join(["zone,date,thickness_mm,kind", *rows, ""])
    (folder / "gaugings.csv").write_text(text, encoding="utf-8")
    said = [str(one) for one in read_ship(folder).doubts if "as built" in one.found]
    assert len(said) == 2
    assert (
        "5 gaugings of 2021-06 (lines 2, 3, 4, 5, 6) are alike, the first:" in said[0]
    )
    assert "5 gaugings of 2022-05" in said[1]


def test_sentences_are_put_worst_first_and_many_alike_as_one() -> None:
    alike = [f"fault F{n} was found long ago" for n in range(9)]
    assert worst_first([(1, ["b"]), (2, alike), (3, ["c", "c"]), (1, ["a"])]) == (
        "c",
        "9 are alike, the first: fault F0 was found long ago",
        "b",
        "a",
    )
