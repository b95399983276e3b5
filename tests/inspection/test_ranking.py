from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.errors import InputError
from corrosion.inspection.ranking import (
    chance_in_first,
    leading,
    leading_cause,
    order,
    tolerance,
)

TABLE = default_assumptions()
NATURALS = st.integers(0, 2**32 - 1)


def test_small_ships_have_fewer_first_places() -> None:
    # a third of the zones at most: one of four, five of fifteen and of twenty
    for zones, places in ((4, 1), (15, 5), (20, 5), (1, 1)):
        chance = chance_in_first(np.random.default_rng(1).random((50, zones)))
        assert chance.sum() == pytest.approx(places)


def test_no_order_finds_more_of_the_worst_than_that_of_the_chances() -> None:
    # every choice of two of five zones, counted against the worst two of each sample
    rng = np.random.default_rng(2)
    margin = rng.normal([0.0, 0.3, 0.5, 1.0, 0.2], [0.1, 1.0, 0.5, 3.0, 0.2], (400, 5))
    worst = np.argsort(margin, axis=1)[:, :2]
    found = {
        pair: np.isin(worst, pair).sum(axis=1).mean()
        for pair in combinations(range(5), 2)
    }
    chosen = order(chance_in_first(margin, 2), margin.mean(axis=0))[:2]
    assert found[tuple(sorted(chosen.tolist()))] == max(found.values())


@settings(deadline=None, max_examples=30)
@given(seed=NATURALS, first=st.integers(1, 12))
def test_chances_sum_to_the_places_and_follow_a_permutation(
    seed: int, first: int
) -> None:
    rng = np.random.default_rng(seed)
    scores = rng.integers(0, 4, (40, 9)).astype(float)  # many ties
    chance = chance_in_first(scores, first)
    assert chance.sum() == pytest.approx(min(first, 9))
    assert ((chance >= 0.0) & (chance <= 1.0)).all()
    turn = rng.permutation(9)
    assert chance_in_first(scores[:, turn], first) == pytest.approx(chance[turn])


def test_counts_membership_by_hand() -> None:
    margins = -np.array([[4.0, 3, 2, 1], [1.0, 4, 2, 3], [9.0, 1, 1, 0]])
    assert chance_in_first(margins, 2) == pytest.approx(
        [2 / 3, (2 + 0.5) / 3, 0.5 / 3, 1 / 3]
    )


def test_order_breaks_ties_by_the_margin_then_keeps_the_file() -> None:
    assert order([1, 2, 1, 1], [2e-3, 9e-3, 1e-3, 2e-3]).tolist() == [1, 2, 0, 3]
    assert order([np.nan, 0.1], [1.0, 0.0]).tolist() == [1, 0]


def test_unknown_margins_come_last() -> None:
    assert chance_in_first(np.array([[np.nan, 1.0, 2.0]]), 2).tolist() == [0, 1, 1]


def test_leading_fault_and_cause() -> None:
    assert leading(np.array([[1.0, 0.0], [2.0, 0.0], [0.5, 0.0]])).tolist() == [1, -1]
    assert leading(np.zeros((0, 3))).tolist() == [-1, -1, -1]


@pytest.mark.parametrize(
    ("spot", "taken", "kg", "pitted", "cause"),
    [
        (3.0, 2.0, (0.9, 2.0, 1.0, 0.0, 0.5, 0.0), True, "faults"),
        (3.0, 2.0, (0.9, 1.0, 2.0, 0.0, 0.5, 0.0), True, "shore couple"),
        (3.0, 2.0, (0.9, 0.5, 0.1, 2.0, 0.5, 0.0), True, "own metals"),
        (3.0, 1.0, (0.9, 2.0, 1.0, 0.0, 0.5, 0.0), True, "natural"),
        (3.0, 1.0, (0.9, 2.0, 1.0, 0.0, 0.5, 0.0), False, "faults"),
        (9.0, 1.0, (0.9, 2.0, 1.0, 0.0, 2.5, 0.0), False, "inside"),
        (2.0, 1.0, (1.0, 1.0, 0.0, 0.0, 0.0, 0.0), False, "natural"),
        (4.0, 1.0, (0.9, 1.0, 0.0, 0.0, 0.5, 2.0), False, "unexplained"),
        (4.0, 1.0, (0.9, 1.0, 0.0, 0.0, 0.5, 2.0), True, "unexplained"),
    ],
)
def test_leading_cause_is_that_of_the_depth_that_decides(
    spot: float, taken: float, kg: tuple[float, ...], *, pitted: bool, cause: str
) -> None:
    first = ("natural_sea_kg", "faults_kg", "couple_kg", "own_metals_kg")
    names = (*first, "natural_inside_kg", "unexplained_kg")
    accounts = {name: np.array([x]) for name, x in zip(names, kg, strict=True)}
    accounts |= {"protection_spared_kg": np.zeros(1), "spared_kg": np.zeros(1)}
    found = leading_cause(
        accounts,
        np.ones(1),
        spot=np.array([spot]),
        taken=np.array([taken]),
        pitted=np.array([pitted]),
    )
    assert found == (cause,)


def test_a_graver_consequence_is_tolerated_less() -> None:
    assert (np.diff(tolerance([1, 2, 3, 4, 5], assumptions=TABLE)) < 0.0).all()


def test_names_what_is_impossible() -> None:
    with pytest.raises(InputError, match="consequence must be 1, 2, 3, 4 or 5, got 6"):
        tolerance([3, 6], assumptions=TABLE)
    with pytest.raises(InputError, match="first must be 1 zone or more, got 0"):
        chance_in_first(np.ones((2, 2)), 0)
