"""A hunt from its rows: what is known, what stands open, the one thing to do now."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import networkx as nx  # type: ignore[import-untyped]
import pytest
from ships import AC, fault, ship

from corrosion.foundation.errors import InputError
from corrosion.inspection.fault_finding.permits import ASK, NOBODY
from corrosion.inspection.fault_finding.progress import Progress, progress_of
from corrosion.presentation.answers.hunt import progress_in, resumed_hunt
from corrosion.records.dates import as_written
from corrosion.records.kinds import HuntAct
from corrosion.records.ship import Circuit, Hunt, HuntStep, Ship

Row = tuple[HuntAct, str | None, str] | tuple[HuntAct, str | None, str, str]
BEGAN: Row = ("began", AC.name, "alongside")
TREE = (
    Circuit(system=AC.name, circuit="P", permission="none", open_when="any time"),
    Circuit(system=AC.name, circuit="P1", fed_from="P", permission="none", test="500"),
    Circuit(system=AC.name, circuit="P2", fed_from="P", permission="none"),
    Circuit(system=AC.name, circuit="Q", permission="master"),
    Circuit(system=AC.name, circuit="fire pump", vital=True, permission="chief"),
)
ONE = ship(
    circuits=TREE, faults=(fault("F", "2020-01-01", conductor="a", insulation=500.0),)
)


def hunted(*rows: Row) -> Ship:
    return replace(ONE, hunts=(Hunt(hunt="F", steps=tuple(_steps(rows))),))


def _steps(rows: Sequence[Row]) -> Sequence[HuntStep]:
    made = []
    for k, (act, circuit, result, *remark) in enumerate((BEGAN, *rows)):
        number = float(result) / 1e3 if act == "clamped" else None
        made.append(
            HuntStep(
                time=as_written(f"2020-01-01 10:{k:02d}"),
                act=act,
                circuit=circuit,
                result=result,
                number=float(result) if act == "tested" else number,
                remark="".join(remark),
            )
        )
    return made


def known(*rows: Row) -> Progress:
    return progress_of(hunted(*rows).hunts[0], shows_from=0.02)


def after(*rows: Row, agreed: Sequence[str] = ()) -> tuple[str, str | None]:
    answer = resumed(*rows, agreed=agreed)
    return answer["next"]["act"], answer["next"]["circuit"]


def resumed(*rows: Row, agreed: Sequence[str] = ()) -> dict[str, Any]:
    ship = hunted(*rows)
    progress = progress_in(ship, "f", agreed=agreed)
    return resumed_hunt(ship, progress, samples=16)


LOOKED: Row = ("looked", None, "stayed")


def test_it_looks_then_clamps_then_opens_one_and_closes_it() -> None:
    assert after() == ("look", None)
    assert after(LOOKED)[0] == "clamp"
    silent: list[Row] = [("clamped", row.circuit, "2", "shows nothing") for row in TREE]
    act, first = after(LOOKED, *silent)
    assert (act, first) in (("open", "P"), ("open", "Q"))
    assert after(LOOKED, *silent, ("opened", "P", "stayed")) == ("close", "P")
    assert after(LOOKED, *silent, ("opened", "P", "stayed"), ("closed", "P", "")) == (
        "open",
        "Q",
    )


def test_what_stands_open_is_closed_before_anything_else() -> None:
    """P went: it is closed to look below it; P1 went and holds it: tested, tagged."""
    went: Row = ("opened", "P", "went")
    assert after(LOOKED, went) == ("close", "P")
    below: tuple[Row, ...] = (LOOKED, went, ("closed", "P", ""))
    act, name = after(*below, ("clamped", "P1", "1", "shows nothing"))
    assert (act, name) in (("clamp", "P2"), ("open", "P2"), ("open", "P1"))
    found: tuple[Row, ...] = (*below, ("opened", "P1", "went"))
    assert after(*found) == ("test", "P1")
    assert after(*found, ("tested", "P1", "480")) == ("end", "P1")
    assert after(*found, ("skipped", "P1", "tested")) == ("end", "P1")
    isolated = resumed(*found, ("isolated", "P1", ""))
    assert isolated["next"]["words"].endswith("the fault on P1 was isolated.")
    assert [row["circuit"] for row in isolated["open"]] == ["P1"]  # on top, still
    assert after(*found, ("cleared", "P1", "")) == ("close", "P1")
    shut: Row = ("closed", "P1", "")
    assert after(*found, ("cleared", "P1", ""), shut) == ("end", "P1")


def test_what_is_skipped_comes_back_where_it_is_done() -> None:
    first = after(LOOKED)
    skipped: Row = ("skipped", first[1], "clamped")
    assert after(LOOKED, skipped) != first
    done: Row = ("clamped", first[1], "900")
    assert known(LOOKED, skipped, done).skipped == frozenset()
    assert known(LOOKED, skipped, done).seen.shown == first[1]


def test_a_clamp_is_what_was_written_of_it_or_its_milliamperes() -> None:
    rows: list[Row] = [
        ("clamped", "P", "21"),
        ("clamped", "Q", "900", "shows nothing; a long feeder"),
        ("clamped", "P1", "3", "shows it, faintly"),
        ("clamped", "P2", "19"),
    ]
    seen = known(*rows).seen
    assert seen.silent == ("Q", "P2")
    assert seen.shown == "P1"  # the last that shows it lies deepest


def test_every_circuit_ruled_out_is_said_with_what_stands_open() -> None:
    every: list[Row] = [("opened", row.circuit, "stayed") for row in TREE]
    with pytest.raises(InputError, match="STILL OPEN: P, P1, P2, Q, fire pump"):
        resumed(LOOKED, *every)


def test_a_vital_circuit_waits_for_its_word_each_time() -> None:
    others: list[Row] = [
        row
        for name in ("P", "Q")
        for row in (("opened", name, "stayed"), ("closed", name, ""))
    ]
    clamped: Row = ("clamped", "fire pump", "2", "shows nothing")
    assert after(LOOKED, clamped, *others) == ("none", None)
    assert after(LOOKED, clamped, *others, agreed=["fire pump"]) == (
        "open",
        "fire pump",
    )


def test_no_step_opens_what_nobody_agreed_to_without_saying_so() -> None:
    """Whatever stayed: each next opening carries the strictest of all below it."""
    tree = nx.DiGraph((row.fed_from or "", row.circuit) for row in TREE)
    words = {row.circuit: row.permission or ASK for row in TREE}
    rows: list[Row] = [LOOKED]
    for _ in range(40):
        answer = resumed(*rows)
        step = answer["next"]
        if step["act"] in ("none", "end"):
            break
        name = step["circuit"]
        if step["act"] == "open":
            (act,) = [
                row
                for row in answer["order"]
                if row["act"] == "open" and row["circuit"] == name
            ]
            below = {words[n] for n in nx.descendants(tree, name) | {name}}
            asked = below - {NOBODY}
            assert all(who in act["permission"] for who in asked)
            assert set(act["also_stops"]) == nx.descendants(tree, name)
        result = {"clamp": "1", "open": "stayed", "close": ""}[step["act"]]
        done: HuntAct = {"clamp": "clamped", "open": "opened"}.get(  # type: ignore[assignment]
            step["act"], "closed"
        )
        rows.append((done, name, result))
    assert step["act"] == "none"
    assert [row["circuit"] for row in answer["open"]] == []


def test_what_was_opened_together_is_judged_by_the_look_after_it() -> None:
    both: list[Row] = [("opened", "P", "together"), ("opened", "Q", "went")]
    here = known(LOOKED, *both)
    assert here.seen.among == (("P", "Q"),)
    assert here.seen.gone is None
    assert set(here.seen.opened) == {"P", "Q"}  # and both stand open
    answer = resumed(LOOKED, *both)
    assert {row["circuit"] for row in answer["left"]} == {"P", "P1", "P2", "Q"}
    assert answer["next"]["act"] == "close"
    closed: list[Row] = [*both, ("closed", "P", ""), ("closed", "Q", "")]
    assert known(LOOKED, *closed).seen.opened == ()
    assert after(LOOKED, *closed, ("opened", "Q", "stayed")) == ("close", "Q")
    left = resumed(LOOKED, *closed, ("opened", "Q", "stayed"))["left"]
    assert {row["circuit"] for row in left} == {"P", "P1", "P2"}


def test_a_half_with_which_it_stayed_is_ruled_out_and_one_not_looked_at_is_not() -> (
    None
):
    stayed = known(LOOKED, ("opened", "P", "together"), ("opened", "Q", "stayed"))
    assert set(stayed.seen.stayed) == {"P", "Q"}
    begun = known(LOOKED, ("opened", "P", "together"))
    assert (begun.seen.stayed, begun.seen.among) == ((), ())
    assert begun.seen.opened == ("P",)  # power went before anybody looked
    assert after(LOOKED, ("opened", "P", "together")) == ("close", "P")
