from pathlib import Path
from typing import Any

import pytest

from corrosion.foundation.errors import InputError, LookupFailed
from corrosion.foundation.units import YEAR
from corrosion.inspection.fault_finding.probabilities import Seen, chances
from corrosion.inspection.fault_finding.sheet import (
    CAUTIONS,
    hunt_circuits,
    hunt_table,
    suspects,
)
from corrosion.records.dates import When
from corrosion.records.kinds import Source
from corrosion.records.ship import (
    Circuit,
    Fault,
    Form,
    Readings,
    Ship,
    System,
    Water,
)

NOW = 50.0 * YEAR
MAIN = System(name="main", kind="ac3", volts=440.0, hertz=60.0)


def when(years_ago: float) -> When:
    moment = NOW - years_ago * YEAR
    return When(text="", earliest=moment, latest=moment)


def fault(
    circuit: str,
    years_ago: float = 0.0,
    *,
    readings: Readings | None = None,
    system: str = "main",
    source: Source = "ground fault",
) -> Fault:
    return Fault(
        fault=circuit,
        system=system,
        circuit=circuit,
        found=when(years_ago),
        current="ac",
        source=source,
        readings=Readings() if readings is None else readings,
    )


def test_dirichlet_mean_of_a_weak_prior() -> None:
    log = [fault("A"), fault("A"), fault("B")]
    found = chances(MAIN, ["A", "B", "C", "D"], log, as_of=NOW)
    # Two faults spread over four circuits: half a fault each.
    assert found.chance == pytest.approx([2.5 / 5, 1.5 / 5, 0.5 / 5, 0.5 / 5])
    assert found.without_history == ("C", "D")
    assert "2 of 4 circuits have no history" in found.note


def test_an_old_fault_counts_half_after_the_half_life() -> None:
    found = chances(MAIN, ["A", "B"], [fault("A", 5.0), fault("B", 10.0)], as_of=NOW)
    assert found.history == pytest.approx([0.5, 0.25])


def test_the_conductor_seen_raises_circuits_that_leaked_on_it() -> None:
    log = [
        fault("A", readings=Readings(conductor="a")),
        fault("B", readings=Readings(lamps=("bright", "out", "bright"))),
        fault("C"),
    ]
    even = chances(MAIN, ["A", "B", "C"], log, as_of=NOW).chance
    found = chances(MAIN, ["A", "B", "C"], log, as_of=NOW, seen=Seen(conductor="a"))
    likely = [(1 + 1 / 3) / 2, (1 / 3) / 2, (1 / 3 + 1 / 3) / 2]
    total = sum(likely)
    assert even == pytest.approx([1 / 3] * 3)
    assert found.chance == pytest.approx([part / total for part in likely])


def test_recent_work_is_suspect() -> None:
    seen = Seen(worked_on=frozenset({"B"}))
    found = chances(MAIN, ["A", "B"], [], as_of=NOW, seen=seen)
    assert found.chance == pytest.approx([0.25, 0.75])
    assert "prior only" in found.note


def test_counts_only_what_speaks_of_this_hunt() -> None:
    log = [
        fault("A", system="other"),
        fault("A", source="welding"),
        fault("A", years_ago=-1.0),
        fault("Z"),
    ]
    found = chances(MAIN, ["A", "B"], log, as_of=NOW)
    assert found.chance == pytest.approx([0.5, 0.5])
    assert found.without_history == ("A", "B")


def ship(circuits: tuple[Circuit, ...] = (), faults: tuple[Fault, ...] = ()) -> Ship:
    return Ship(
        name="Rehearsal",
        form=Form(
            length=50.0, beam=9.0, draught=3.0, block_coefficient=0.6, frame_spacing=0.6
        ),
        water=Water(resistivity=0.25),
        built=when(40.0),
        zones=(),
        systems=(MAIN,),
        circuits=circuits,
        faults=faults,
        folder=Path(),
    )


def test_table_holds_written_and_logged_circuits() -> None:
    written = (
        Circuit(system="main", circuit="P1", minutes_to_open=4.0, permission="bridge"),
        Circuit(system="main", circuit="L1", fed_from="P1", minutes_to_test=10.0),
        Circuit(system="other", circuit="X"),
    )
    her = ship(written, (fault("L1"), fault("L7")))
    circuits, _ = hunt_circuits(her, "main", as_of=NOW)
    assert [(row.circuit, row.minutes) for row in circuits] == [
        ("P1", 10.0),
        ("L1", 13.0),
        ("L7", 9.0),
    ]
    table = hunt_table(her, "main", lies="alongside", as_of=NOW)
    opens = [row for row in table["order"] if row["act"] == "open"]
    assert {row["circuit"]: row["permission"] for row in opens} == {
        "P1": "bridge",
        "L1": "ask",
        "L7": "ask",
    }
    assert {row["circuit"]: row["fed_from"] for row in opens}["L1"] == "P1"
    assert table["without_permission"] == []
    assert "Ask bridge before opening: P1." in table["notes"]
    assert table["cautions"] == CAUTIONS
    assert [row["act"] for row in table["order"]] == sorted(
        (row["act"] for row in table["order"]),
        key=["look", "clamp", "open", "test"].index,
    )


def test_what_was_opened_leaves_the_rest() -> None:
    rows = [("P1", None), ("L1", "P1"), ("L2", "P1"), ("G", None), ("H", None)]
    her = ship(
        tuple(Circuit(system="main", circuit=c, fed_from=p) for c, p in rows),
        (fault("L1"), fault("G"), fault("G")),
    )

    def left(**told: Any) -> dict[str, float]:
        seen = Seen(**told)
        circuits, _ = hunt_circuits(her, "main", as_of=NOW, seen=seen)
        found = suspects(circuits, seen, shows=0.7)
        return {row.circuit: row.chance for row in found}

    whole = left()
    stayed = left(stayed=("P1",))  # with the panel its branches are ruled out
    assert [*stayed] == ["G", "H"]
    assert stayed["G"] / stayed["H"] == pytest.approx(whole["G"] / whole["H"])
    assert sum(stayed.values()) == pytest.approx(1.0)
    assert left(stayed=("P1", "L1")) == stayed
    assert [*left(stayed=("L1",), gone="P1")] == ["P1", "L2"]
    table = hunt_table(
        her, "main", lies="alongside", as_of=NOW, seen=Seen(stayed=("G",))
    )
    assert "G" not in [row["circuit"] for row in table["order"]]
    with pytest.raises(InputError, match="rules out every circuit"):
        left(stayed=("P1", "G", "H"))
    with pytest.raises(InputError, match="rules out every circuit"):
        left(stayed=("P1",), gone="L2")
    with pytest.raises(LookupFailed, match="no circuit 'Q'"):
        left(stayed=("Q",))
    with pytest.raises(LookupFailed, match="no circuit 'Q'"):
        left(gone="Q")


def test_names_what_is_impossible() -> None:
    with pytest.raises(InputError, match="system 'main' has no circuit in"):
        hunt_table(ship(), "main", lies="alongside", as_of=NOW)
    with pytest.raises(LookupFailed, match="no system 'mian'; did you mean 'main'"):
        hunt_table(ship(), "mian", lies="alongside", as_of=NOW)
    with pytest.raises(LookupFailed, match=r"no conductor '\+'; known: a, b, c"):
        chances(MAIN, ["A"], [], as_of=NOW, seen=Seen(conductor="+"))
    with pytest.raises(LookupFailed, match="no circuit 'B'"):
        chances(MAIN, ["A"], [], as_of=NOW, seen=Seen(worked_on=frozenset({"B"})))
