from itertools import combinations, permutations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corrosion.foundation.errors import InputError, LookupFailed
from corrosion.inspection.fault_finding.circuit_tree import (
    HuntCircuit,
    branches,
    expected,
    quantile,
)
from corrosion.inspection.fault_finding.orders import (
    Charge,
    best_boxes,
    by_halving,
    by_list,
    by_ratio,
    halves,
)
from corrosion.inspection.fault_finding.search import (
    after_clamp,
    after_result,
    best_order,
)

LOOK = 1.0

pairs = st.lists(
    st.tuples(st.floats(0.01, 1.0), st.floats(0.5, 60.0)), min_size=1, max_size=6
)


def circuit(name: str, chance: float, minutes: float, **more: str) -> HuntCircuit:
    return HuntCircuit(circuit=name, chance=chance, minutes=minutes, **more)  # type: ignore[arg-type] # texts only


TREE = (
    circuit("lone", 0.1, 9.0),
    circuit("P", 0.02, 6.0),
    circuit("P1", 0.2, 12.0, fed_from="P"),
    circuit("P2", 0.2, 15.0, fed_from="P", permission="bridge"),
    circuit("P3", 0.1, 12.0, fed_from="P"),
    circuit("Q", 0.03, 30.0, permission="chief engineer"),
    circuit("Q1", 0.3, 5.0, fed_from="Q"),
    circuit("S", 0.01, 3.0, fed_from="P"),
    circuit("S1", 0.02, 9.0, fed_from="S"),
    circuit("S2", 0.02, 9.0, fed_from="S"),
)


@settings(deadline=None, max_examples=40)
@given(rows=pairs)
def test_no_other_order_is_quicker(rows: list[tuple[float, float]]) -> None:
    order, hours = best_order(rows)
    assert sorted(int(place) for place in order) == list(range(len(rows)))
    total = sum(chance for chance, _ in rows)
    quickest = min(
        sum(
            rows[place][0] / total * sum(rows[before][1] for before in turn[: i + 1])
            for i, place in enumerate(turn)
        )
        for turn in permutations(range(len(rows)))
    )
    assert hours * 60.0 == pytest.approx(quickest)


def test_seven_circuits_by_hand_count() -> None:
    rng = np.random.default_rng(8)
    chance, minutes = rng.random(7), rng.uniform(2.0, 20.0, 7)
    turns = np.array(list(permutations(range(7))))
    spent = np.cumsum(minutes[turns], axis=1)
    quickest = (chance[turns] * spent).sum(axis=1).min() / chance.sum()
    order, hours = best_order(list(zip(chance, minutes, strict=True)))
    assert hours * 60.0 == pytest.approx(quickest)
    assert (np.diff((chance / minutes)[list(map(int, order))]) <= 0.0).all()


def walk(boxes: set[str], order: list[str], at: str) -> float:
    """Open breakers one after another as the sheet says; return minutes to find."""
    above = {row.circuit: row.fed_from for row in TREE}
    minutes = {row.circuit: row.minutes for row in TREE}

    def feeds(panel: str, name: str | None) -> bool:
        return name is not None and (name == panel or feeds(panel, above[name]))

    suspects, spent = set(order), 0.0
    for name in order:
        if name not in suspects:
            continue
        spent += minutes[name]
        if name in boxes:
            below = {other for other in order if feeds(name, other)}
            suspects = suspects & below if at in below else suspects - below
        elif name == at:
            return spent
        else:
            suspects.discard(name)
        if suspects == {at} and at in boxes:
            return spent
    raise AssertionError(at)


@pytest.mark.parametrize("boxes", [set(), {"P"}, {"P", "S"}, {"S", "Q"}, set("PSQ")])
def test_minutes_are_those_of_walking_the_sheet(boxes: set[str]) -> None:
    charge = Charge.of_tests(TREE)
    order, found = by_ratio(TREE, branches(TREE), boxes, charge)
    names = [TREE[place].circuit for place in order]
    assert sorted(order) == list(range(len(TREE)))
    for place, row in enumerate(TREE):
        assert found[place] == pytest.approx(walk(boxes, names, row.circuit))


@settings(deadline=None, max_examples=30)
@given(seed=st.integers(0, 2**32 - 1))
def test_panels_opened_first_are_chosen_as_well_as_by_trying_all(seed: int) -> None:
    rng = np.random.default_rng(seed)
    rows = [circuit(f"P{i}", 0.01, float(rng.uniform(3, 20))) for i in range(3)]
    rows += [
        circuit(
            f"L{i}",
            float(rng.random()),
            float(rng.uniform(3, 20)),
            fed_from=f"P{i % 3}",
        )
        for i in range(9)
    ]
    tree = branches(rows)
    charge = Charge.of_looks(rows, LOOK)
    every = [
        expected(rows, by_ratio(rows, tree, set(some), charge)[1])
        for count in range(4)
        for some in combinations(("P0", "P1", "P2"), count)
    ]
    best = best_boxes(rows, tree, charge)
    chosen = expected(rows, by_ratio(rows, tree, best, charge)[1])
    assert chosen <= every[0] + 1e-9
    assert chosen == pytest.approx(min(every))


def test_list_order_and_halving_by_hand() -> None:
    rows = [
        HuntCircuit(circuit=str(i), chance=0.2, minutes=9.0, minutes_to_open=3.0)
        for i in range(5)
    ]
    assert by_list(Charge.of_tests(rows)).tolist() == [9.0, 18.0, 27.0, 36.0, 45.0]
    # An opening and a look each, 4 min; the one where the indication went, 6 min more.
    looked = by_list(Charge.of_looks(rows, LOOK)).tolist()
    assert looked == [10.0, 14.0, 18.0, 22.0, 26.0]
    # 3 open + look, then 2 of 3 + look, then 1 of 2 + look; then the test alone.
    first = (3 * 3.0 + 1.0) + (2 * 3.0 + 1.0) + (3.0 + 1.0) + 6.0
    third, last = (9.0 + 1.0) + (6.0 + 1.0) + 6.0, (9.0 + 1.0) + (3.0 + 1.0) + 6.0
    assert by_halving(rows, LOOK).tolist() == [first, first, third, last, last]
    assert by_halving(rows[:1], LOOK).tolist() == [10.0]
    names = [[row.circuit for row in half] for half in halves(rows)]
    assert sorted(names) == [["0"], ["0", "1"], ["0", "1", "2"], ["3"]]


def test_nine_in_ten_are_found_within() -> None:
    rows = [circuit(str(i), 0.1, 1.0) for i in range(10)]
    assert quantile(rows, by_list(Charge.of_tests(rows)), 0.9) == 9.0
    assert quantile(rows, by_list(Charge.of_tests(rows)), 1.0) == 10.0


def test_results_are_ticked_off() -> None:
    stayed = after_result(TREE, "P", cleared=False)
    assert [row.circuit for row in stayed] == ["lone", "Q", "Q1"]
    assert sum(row.chance for row in stayed) == pytest.approx(1.0)
    assert stayed[0].chance == pytest.approx(0.1 / 0.43)
    gone = after_result(TREE, "P", cleared=True)
    assert [row.circuit for row in gone] == ["P", "P1", "P2", "P3", "S", "S1", "S2"]
    assert [row.fed_from for row in gone] == [None, "P", "P", "P", "P", "S", "S"]
    last = after_result(gone[:2], "P1", cleared=True)
    assert [row.chance for row in last] == [1.0]
    assert after_result(last, "P1", cleared=False) == ()


def test_mappings_and_named_circuits_give_names() -> None:
    rows: list[HuntCircuit | dict[str, object]] = [
        {"circuit": "A", "chance": 0.1, "minutes": 9.0},
        circuit("B", 0.9, 9.0),
    ]
    assert best_order(rows).order == ("B", "A")
    assert best_order(rows).expected_hours == pytest.approx((0.9 * 9 + 0.1 * 18) / 60)


def test_a_clamp_that_shows_nothing_rules_nothing_out() -> None:
    silent = after_clamp(TREE, "P", shown=False, shows=0.7)
    assert [row.circuit for row in silent] == [row.circuit for row in TREE]
    chance = {row.circuit: row.chance for row in silent}
    assert sum(chance.values()) == pytest.approx(1.0)
    # P1 had 0.2 of 1.0 and keeps 0.3 of it; "lone" keeps 0.1; the rest likewise.
    assert chance["P1"] / chance["lone"] == pytest.approx(0.2 * 0.3 / 0.1)
    shown = after_clamp(TREE, "Q", shown=True, shows=0.7)
    assert [row.circuit for row in shown] == ["Q", "Q1"]


def test_names_what_is_impossible() -> None:
    loop = [circuit("A", 1.0, 9.0, fed_from="B"), circuit("B", 1.0, 9.0, fed_from="A")]
    with pytest.raises(
        InputError, match="loop: A fed from B fed from A; mend fed_from"
    ):
        best_order(loop)
    with pytest.raises(InputError, match="circuit 'A' is listed twice"):
        best_order([circuit("A", 1.0, 9.0), circuit("A", 1.0, 9.0)])
    with pytest.raises(InputError, match="with a chance above 0, got 0 circuits"):
        best_order([])
    with pytest.raises(InputError, match="with a chance above 0, got 1 circuits"):
        best_order([(0.0, 9.0)])
    with pytest.raises(InputError, match=r"A: chance must be 0 or more, got -0\.1"):
        circuit("A", -0.1, 9.0)
    with pytest.raises(InputError, match="A: minutes must be > 0 min, got nan min"):
        circuit("A", 0.1, float("nan"))
    with pytest.raises(LookupFailed, match="no circuit 'lane'; did you mean 'lone'"):
        after_result(TREE, "lane", cleared=True)
