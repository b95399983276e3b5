"""What circuits.csv says of who is asked, what is vital and what takes over."""

from pathlib import Path

import pytest
from records.folders import sound, with_cells, write_rows

from corrosion import RecordError, read_ship
from corrosion.records.ship import Circuit

Cells = dict[str, str]


def rows(*changes: Cells) -> tuple[Cells, ...]:
    """Return a panel with two branches and two lone pumps, changed row by row."""
    blank = dict.fromkeys(
        ("fed_from", "permission", "vital", "open_when", "spare_of", "test"), ""
    )
    names = ("panel", "galley", "lights", "pump 1", "pump 2")
    fed = {"galley": "panel", "lights": "panel"}
    return tuple(
        {"system": "service", "circuit": name, **blank, "fed_from": fed.get(name, "")}
        | (changes[k] if k < len(changes) else {})
        for k, name in enumerate(names)
    )


def problems(folder: Path) -> list[str]:
    with pytest.raises(RecordError, match="csv") as caught:
        read_ship(folder)
    return [str(problem) for problem in caught.value.problems]


def test_blanks_ask_lie_alongside_and_bear_an_ohmmeter_only(tmp_path: Path) -> None:
    folder = sound(tmp_path)
    write_rows(folder, "circuits", rows({"vital": "NO", "open_when": "Any time"}))
    panel, galley, *_ = read_ship(folder).circuits
    assert (panel.vital, panel.open_when) == (False, "any time")
    assert galley == Circuit(system="service", circuit="galley", fed_from="panel")
    assert (galley.permission, galley.vital, galley.test) == ("", None, "ohmmeter only")
    assert (galley.open_when, galley.spare_of) == ("alongside", None)


@pytest.mark.parametrize(
    ("cells", "says"),
    [
        (
            {"open_when": "along side"},
            "circuits.csv:2: open_when: 'along side'; one of any time, alongside, dead "
            "ship, never; did you mean 'alongside'?",
        ),
        (
            {"test": "1000"},
            "circuits.csv:2: test: '1000'; one of 500, 250, ohmmeter only, never",
        ),
        ({"vital": "perhaps"}, "circuits.csv:2: vital: 'perhaps'; one of yes, no"),
        (
            {"spare_of": "panel"},
            "circuits.csv:2: spare_of: 'panel', a spare of itself; the other circuit",
        ),
        (
            {"spare_of": "pump 3"},
            "circuits.csv:2: spare_of: no circuit 'pump 3'; did you mean 'pump",
        ),
        (
            {"spare_of": "galley"},
            "circuits.csv:2: spare_of: 'galley', though one of the two feeds the other",
        ),
        (
            {"fed_from": "galley"},
            "circuits.csv:2: fed_from: a loop: panel - galley - panel; a chain that",
        ),
    ],
)
def test_what_cannot_be_is_told_with_its_place_and_a_way_out(
    tmp_path: Path, cells: Cells, says: str
) -> None:
    folder = sound(tmp_path)
    write_rows(folder, "circuits", rows(cells))
    (said,) = problems(folder)
    assert said.startswith(says)


def test_pairs_that_contradict_are_both_told(tmp_path: Path) -> None:
    folder = sound(tmp_path)
    chain: tuple[Cells, ...] = (
        {},
        {},
        {"spare_of": "pump 1"},
        {"spare_of": "pump 2"},
        {},
    )
    write_rows(folder, "circuits", rows(*chain))
    (said,) = problems(folder)
    assert said.startswith(
        "circuits.csv:4: spare_of: 'pump 1', whose own spare_of on line 5 is 'pump 2'"
    )
    both: tuple[Cells, ...] = (
        {},
        {},
        {},
        {"spare_of": "pump 2"},
        {"spare_of": "pump 1"},
    )
    write_rows(folder, "circuits", rows(*both))
    assert [row.spare_of for row in read_ship(folder).circuits][3:] == [
        "pump 2",
        "pump 1",
    ]


def test_a_folder_of_the_first_edition_says_once_what_blank_now_means(
    tmp_path: Path,
) -> None:
    folder = sound(tmp_path)
    old = ({"system": "service", "circuit": n, "permission": ""} for n in ("a", "b"))
    write_rows(folder, "circuits", tuple(old))
    said = [str(doubt) for doubt in read_ship(folder).doubts if "perm" in str(doubt)]
    assert len(said) == 1
    assert "blank in 2 rows: the engineer of the watch is asked" in said[0]
    write_rows(folder, "circuits", rows({"vital": "no"}))
    assert "engineer of the watch" not in str(read_ship(folder).doubts)


@pytest.mark.parametrize(
    ("cell", "ohms", "none"),
    [
        ("none", None, True),
        ("None", None, True),
        ("", None, False),
        ("0.4", 0.4, False),
    ],
)
def test_a_protective_conductor_is_none_or_ohms_or_not_known(
    tmp_path: Path, cell: str, ohms: float | None, none: bool
) -> None:
    folder = sound(tmp_path)
    with_cells(folder, "berths:3", {"earth_cable_ohm": cell})
    ship = read_ship(folder)
    assert (ship.berths[1].earth_cable, ship.berths[1].earth_none) == (ohms, none)
    doubted = "not known, and a danger while faults stand" in str(ship.doubts)
    assert doubted == (cell == "")


def test_another_word_for_no_conductor_is_refused(tmp_path: Path) -> None:
    folder = sound(tmp_path)
    with_cells(folder, "berths:3", {"earth_cable_ohm": "no"})
    assert problems(folder) == [
        "berths.csv:3: earth_cable_ohm: 'no'; a number above 0 Ω, or none; leave it "
        "blank where it is not known"
    ] or problems(folder) == [
        "berths.csv:3: earth_cable_ohm: 'no'; a number above 0 Ω, or none"
    ]


def test_a_failed_lamp_is_kept_and_the_set_says_nothing(tmp_path: Path) -> None:
    folder = sound(tmp_path)
    with_cells(folder, "faults:2", {"lamp_b": "failed"})
    ship = read_ship(folder)
    readings = ship.faults[0].readings
    assert readings.lamps == ("bright", "failed", "bright")
    assert readings.picture == ()
    assert "faults.csv:2: lamp_b: it failed: the set shows nothing" in str(
        [str(doubt) for doubt in ship.doubts]
    )


def test_isolated_stands_between_found_and_cleared(tmp_path: Path) -> None:
    folder = sound(tmp_path)
    with_cells(
        folder,
        "faults:2",
        {"isolated": "2024-03-03 09:00", "isolated_by": "2nd", "cleared": ""},
    )
    fault = read_ship(folder).faults[0]
    assert fault.cleared is None
    assert fault.ended == fault.isolated
    assert not fault.stands
    with_cells(folder, "faults:2", {"isolated": "2023-03-03 09:00"})
    (said,) = problems(folder)
    assert said.startswith("faults.csv:2: isolated: 2023-03-03 09:00 lies before found")
