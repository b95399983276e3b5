"""Nothing is proposed to be opened without saying who is asked; nobody is put at risk.

Two hundred random systems from a seeded generator, checked by a graph library and by
walking up and down the written tree: another route than the code's.
"""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any, Final, get_args

import networkx as nx  # type: ignore[import-untyped] # it carries no types
import numpy as np
import pytest

from corrosion import read_ship
from corrosion.foundation.errors import InputError
from corrosion.inspection.fault_finding.circuit_tree import HuntCircuit
from corrosion.inspection.fault_finding.permits import (
    VITAL_WORDS,
    Permits,
    names_vital,
    strictest,
)
from corrosion.inspection.fault_finding.probabilities import Seen
from corrosion.inspection.fault_finding.sheet import hunt_circuits, hunt_table
from corrosion.inspection.fault_finding.steps import hunt_sheet
from corrosion.presentation.answers.hunt import hunt_result
from corrosion.presentation.dashboard.huntsheet import hunt_html
from corrosion.presentation.tables.hunt import blocks, permission
from corrosion.presentation.tables.table import PAGE, TERMINAL
from corrosion.presentation.terminal.texts import text_of
from corrosion.records.as_of import end_of_day
from corrosion.records.dates import as_written
from corrosion.records.ship import (
    Circuit,
    Form,
    OpenWhen,
    Ship,
    ShipLies,
    System,
    TestVolts,
    Water,
)

DAY: Final = date(2026, 11, 25)
NOW: Final = end_of_day(DAY)
DATA: Final = Path(__file__).parents[3] / "data"
STATES: Final = get_args(ShipLies)
WHO: Final = ("", "", "none", "none", "chief engineer", "master")
MAY: Final[dict[str, set[str]]] = {
    "under way": {"any time"},
    "alongside": {"any time", "alongside"},
    "dead ship": {"any time", "alongside", "dead ship"},
}


def invented(seed: int) -> Ship:
    """Return a ship with a random tree of circuits, some with a spare."""
    rng = np.random.default_rng(seed)
    count = int(rng.integers(2, 25))
    circuits: list[Circuit] = []
    for k in range(count):
        panel = int(rng.integers(-2, k)) if k else -1
        circuits.append(
            Circuit(
                system="main",
                circuit=f"circuit {k}" if rng.random() < 0.9 else f"fire pump {k}",
                fed_from=circuits[panel].circuit if panel >= 0 else None,
                permission=str(rng.choice(WHO)),
                vital=[None, True, False, False, False][int(rng.integers(5))],
                open_when=_pick(rng, get_args(OpenWhen)),
                test=_pick(rng, get_args(TestVolts)),
                minutes_to_open=float(rng.integers(1, 9)),
            )
        )
    circuits = _paired(circuits, rng)
    return Ship(
        name="Rehearsal",
        form=Form(
            length=50.0, beam=9.0, draught=3.0, block_coefficient=0.6, frame_spacing=0.6
        ),
        water=Water(resistivity=0.25),
        built=as_written("1990"),
        zones=(),
        systems=(System(name="main", kind="ac3", volts=440.0, hertz=60.0),),
        circuits=tuple(circuits),
    )


def _pick(rng: np.random.Generator, words: tuple[Any, ...]) -> Any:
    return words[int(rng.integers(len(words)))]


def _paired(circuits: list[Circuit], rng: np.random.Generator) -> list[Circuit]:
    tree = graph(circuits)
    free = [row.circuit for row in circuits]
    rng.shuffle(free)
    pairs = {}
    while len(free) > 1 and rng.random() < 0.7:
        one, other = free.pop(), free.pop()
        if not nx.has_path(tree, one, other) and not nx.has_path(tree, other, one):
            pairs[one] = other
    return [replace(row, spare_of=pairs.get(row.circuit)) for row in circuits]


def graph(circuits: Any) -> "nx.DiGraph[str]":
    tree: nx.DiGraph[str] = nx.DiGraph()
    tree.add_nodes_from(row.circuit for row in circuits)
    tree.add_edges_from((r.fed_from, r.circuit) for r in circuits if r.fed_from in tree)
    return tree


def sheets() -> Iterator[tuple[Ship, str, ShipLies, Seen]]:
    """Yield what is hunted: both demos and 200 invented ships, in every state."""
    for name in ("grey-plover", "saltmarsh"):
        ship = read_ship(DATA / name)
        for system in ship.systems:
            for lies in STATES:
                yield ship, system.name, lies, Seen()
    for seed in range(200):
        ship = invented(seed)
        rng = np.random.default_rng(seed)
        names = [row.circuit for row in ship.circuits]
        opened = tuple(rng.choice(names, size=1)) if rng.random() < 0.3 else ()
        yield ship, "main", STATES[seed % 3], Seen(stayed=tuple(map(str, opened)))


def written(permission: str) -> tuple[int, str]:
    """Return how strict a cell is: 2 a name, 1 ask, 0 the owner's word."""
    word = permission.strip().casefold()
    return (0, "") if word == "none" else (1, "") if word == "" else (2, word)


def check(ship: Ship, system: str, lies: ShipLies, seen: Seen) -> int:
    circuits = {row.circuit: row for row in ship.circuits if row.system == system}
    tree = graph(circuits.values())
    vital = {
        n: names_vital(n) if r.vital is None else r.vital for n, r in circuits.items()
    }
    dead = {x for n in seen.stayed for x in (n, *nx.descendants(tree, n))}
    if dead == circuits.keys():
        with pytest.raises(InputError, match="rules out every circuit"):
            hunt_table(ship, system, lies=lies, as_of=NOW, seen=seen)
        return 0
    sheet = hunt_table(ship, system, lies=lies, as_of=NOW, seen=seen)
    rows = [row for row in sheet["order"] if row["act"] in ("open", "test")]
    for row in rows:
        name = row["circuit"]
        stopped = {name, *nx.descendants(tree, name)}
        assert set(row["also_stops"]) == stopped - {name}
        ranks = {written(circuits[n].permission) for n in stopped}
        strict = max(rank for rank, _ in ranks)
        if strict == 2:
            said = row["permission"].casefold().split(", ")
            assert set(said) == {word for rank, word in ranks if rank == 2}
        else:
            assert row["permission"] == ("ask" if strict else "none")
        if row["act"] == "test":
            assert row["test"] == circuits[name].test != "never"
            continue
        assert {circuits[n].open_when for n in stopped} <= MAY[lies]
        assert not any(vital[n] for n in stopped)
        assert len({written(circuits[n].permission) for n in stopped - {name}}) <= 1
        for n in stopped:
            spare = circuits[n].spare_of
            assert spare not in stopped
            assert spare not in dead
        for n, other in circuits.items():
            assert not (other.spare_of in stopped and n in dead)
    halves = sheet["halving"]
    assert (halves is None) == (sheet["expected_minutes_halving"] is None)
    if halves is not None:
        first = {x for n in halves["first"] for x in (n, *nx.descendants(tree, n))}
        assert {circuits[n].open_when for n in first} <= {"any time", "dead ship"}
        assert not any(vital[n] for n in first)
        assert not any(circuits[n].spare_of in first for n in first)
    return len(rows)


def test_no_row_opens_what_must_be_asked_without_saying_so() -> None:
    proposed = [check(*each) for each in sheets()]
    assert len(proposed) == 3 * 5 + 200
    assert sum(count > 0 for count in proposed) > 100


@pytest.mark.parametrize("name", ["grey-plover", "saltmarsh"])
def test_terminal_paper_and_page_say_whom_to_ask_in_the_same_row(name: str) -> None:
    ship = read_ship(DATA / name)
    for system in ship.systems:
        for lies in STATES:
            answer = hunt_result(ship, system.name, lies=lies, as_of=DAY, samples=64)
            lines = [x.strip() for x in text_of("hunt", answer, 400).splitlines()]
            narrow = text_of("hunt", answer, 80)
            page = hunt_html(answer).split("<tr>")
            tables = [block.table for block in blocks(answer)]
            for surface in (PAGE, TERMINAL):
                rows = [c for table in tables for c in table.cells(surface)]
                assert len(rows) == len(answer["order"])
            for place, row in enumerate(answer["order"], start=1):
                if row["act"] == "look":
                    continue
                asked = permission(row["permission"])
                assert asked in [cell.text for cell in rows[place - 1]]
                (line,) = [x for x in lines if x.startswith(f"{place} ")]
                assert asked in line
                (cells,) = [x for x in page if x.startswith(f"<td>{place}</td>")]
                assert f"<td>{asked}</td>" in cells
            left_out = [x for x in narrow.splitlines() if x.startswith("(left out")]
            assert not any("Ask first" in x for x in left_out)


def test_the_strictest_is_that_of_a_graph_library() -> None:
    for seed in range(200):
        ship = invented(seed)
        circuits, _ = hunt_circuits(ship, "main", as_of=NOW)
        rules, tree = Permits.of(circuits, "alongside"), graph(ship.circuits)
        order: list[OpenWhen] = ["any time", "alongside", "dead ship", "never"]
        for row in ship.circuits:
            below = nx.descendants(tree, row.circuit)
            assert set(rules.below(row.circuit)) == below
            stopped = [r for r in ship.circuits if r.circuit in {row.circuit, *below}]
            worst = max(order.index(r.open_when) for r in stopped)
            assert rules.open_when(row.circuit) == order[worst]
            rank = max(written(r.permission)[0] for r in stopped)
            found = rules.permission(row.circuit)
            assert rank == {"none": 0, "ask": 1}.get(found, 2)


def test_the_pumps_that_began_the_old_hunt_are_not_proposed() -> None:
    ship = read_ship(DATA / "saltmarsh")
    table = hunt_table(ship, "main", lies="alongside", as_of=NOW)
    opens = [row for row in table["order"] if row["act"] == "open"]
    assert not {"pump panel A", "pump panel B", "fire pump 1"} & {
        row["circuit"] for row in opens
    }
    why = {row["circuit"]: row["why"] for row in table["withheld"]}
    assert why["pump panel B"] == "it stops what is vital: fire pump 2"
    asked = {row["circuit"]: row["permission"] for row in table["withheld"]}
    assert asked["pump panel B"] == "chief engineer"
    assert "pump panel B" not in table["without_permission"]


def test_a_vital_circuit_is_opened_alone_once_it_is_agreed_and_never_by_a_spare() -> (
    None
):
    ship = read_ship(DATA / "saltmarsh")
    agreed = Seen(agreed=frozenset({"fire pump 1", "fire pump 2"}))
    table = hunt_table(ship, "main", lies="alongside", as_of=NOW, seen=agreed)
    (row,) = [
        r for r in table["order"] if (r["act"], r["circuit"]) == ("open", "fire pump 1")
    ]
    assert (row["vital"], row["permission"], row["also_stops"]) == (
        True,
        "chief engineer",
        [],
    )
    opened = Seen(agreed=agreed.agreed, stayed=("fire pump 2",))
    table = hunt_table(ship, "main", lies="alongside", as_of=NOW, seen=opened)
    why = {row["circuit"]: row["why"] for row in table["withheld"]}
    assert (
        why["fire pump 1"]
        == "fire pump 2, the other of its pair, is open: close it first"
    )
    assert [row["circuit"] for row in table["open"]] == ["fire pump 2"]
    closed = Seen(
        agreed=agreed.agreed,
        stayed=("fire pump 2",),
        closed=frozenset({"fire pump 2"}),
    )
    table = hunt_table(ship, "main", lies="alongside", as_of=NOW, seen=closed)
    assert table["open"] == []
    assert "fire pump 1" not in {row["circuit"] for row in table["withheld"]}
    way = hunt_table(ship, "main", lies="under way", as_of=NOW, seen=closed)
    assert "fire pump 1" in {row["circuit"] for row in way["withheld"]}


def test_minutes_are_those_of_looks_and_tests_by_hand() -> None:
    rows = [
        HuntCircuit(circuit=n, chance=c, minutes=9.0, minutes_to_open=3.0, **ANY)
        for n, c in (("A", 0.5), ("B", 0.3), ("C", 0.2))
    ]
    sheet = hunt_sheet(rows, Permits.of(rows, "under way"), clamped=("A", "B", "C"))
    # A look, then an opening with a look (4 min) each, and the test (6 min) of one.
    by_hand = 1.0 + 0.5 * (4 + 6) + 0.3 * (8 + 6) + 0.2 * (12 + 6)
    assert sheet.expected_minutes == pytest.approx(by_hand)
    assert sheet.expected_by_list == pytest.approx(by_hand)
    assert [(a.act, a.minutes) for a in sheet.acts] == [
        ("look", 1.0),
        *[("open", 4.0)] * 3,
        *[("test", 6.0)] * 3,
    ]
    # Halving opens A and B (6 + 1), then A (3 + 1); C is left after the first look.
    assert sheet.halving is not None
    halved = 1.0 + 0.8 * (7 + 4 + 6) + 0.2 * (7 + 6)
    assert sheet.halving.expected_minutes == pytest.approx(halved)
    # With clamps of 2 min that show 7 faults in 10, the likelier first.
    sheet = hunt_sheet(rows, Permits.of(rows, "under way"))
    clamps = [a for a in sheet.acts if a.act == "clamp"]
    assert [(a.circuit, a.minutes) for a in clamps] == [
        ("A", 2.0),
        ("B", 2.0),
        ("C", 2.0),
    ]
    assert [a.chance for a in clamps] == pytest.approx([0.35, 0.21, 0.14])
    shown = 0.5 * (2 + 10) + 0.3 * (4 + 10) + 0.2 * (6 + 10)
    blind = 6.0 + by_hand - 1.0
    assert sheet.expected_minutes == pytest.approx(1.0 + 0.7 * shown + 0.3 * blind)


ANY: Final[Any] = {"permission": "none", "open_when": "any time"}


def test_branches_below_an_opened_panel_keep_what_feeds_them() -> None:
    ship = read_ship(DATA / "saltmarsh")
    seen = Seen(gone="saloon panel")
    table = hunt_table(ship, "hotel", lies="alongside", as_of=NOW, seen=seen)
    fed = {row["circuit"]: row["fed_from"] for row in table["order"] if row["circuit"]}
    assert fed == {
        "saloon panel": None,
        "galley": "saloon panel",
        "saloon heating": "saloon panel",
    }
    assert [row["circuit"] for row in table["open"]] == ["saloon panel"]
    assert table["open"][0]["also_stops"] == ["galley", "saloon heating"]


def test_the_first_row_gives_the_chance_that_the_indication_goes() -> None:
    ship = read_ship(DATA / "grey-plover")
    table = hunt_table(ship, "ship service", lies="alongside", as_of=NOW)
    row = next(r for r in table["order"] if r["act"] == "open")
    chance = {r["circuit"]: r["chance"] for r in table["order"] if r["act"] == "open"}
    below = sum(chance[name] for name in row["also_stops"])
    assert row["circuit"] == "deck panel"
    assert below < row["chance"] < below + 0.05


def test_names_that_hold_a_printed_word_are_guessed_and_the_sheet_says_so() -> None:
    assert names_vital("Steering gear 2")
    assert names_vital("car deck FANS")
    assert not names_vital("galley")
    ship = read_ship(DATA / "grey-plover")
    table = hunt_table(ship, "legacy direct current", lies="dead ship", as_of=NOW)
    (note,) = [note for note in table["notes"] if note.startswith("Guessed")]
    assert "rudder indicator" in note
    assert all(word in note for word in VITAL_WORDS)


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ([], "ask"),
        (["none"], "none"),
        (["", "none"], "ask"),
        ([" None ", "Ask"], "ask"),
        (["none", "Bridge", "", "bridge", "master"], "Bridge, master"),
    ],
)
def test_named_goes_over_ask_over_none(written: list[str], expected: str) -> None:
    assert strictest(written) == expected
