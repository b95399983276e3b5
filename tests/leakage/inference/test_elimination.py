"""Tests of leakage.inference.elimination against the whole product."""

import numpy as np
import pytest

from corrosion.foundation.types import Array
from corrosion.leakage.inference.elimination import Factor, eliminate, scopes

SCOPES = [(0,), (1,), (2, 0), (3, 1, 0), (3, 2), (1, 0)]
SIZES = (3, 2, 4, 5)
NODES = 6


def _tables(rng: np.random.Generator) -> list[Factor]:
    return [
        Factor(scope, rng.random((NODES, *(SIZES[fault] for fault in scope))))
        for scope in SCOPES
    ]


def _whole(tables: list[Factor]) -> Array:
    """Return the product of all tables, shape (nodes, *sizes)."""
    letters = "abcd"
    inputs = ",".join("n" + "".join(letters[k] for k in t.scope) for t in tables)
    found: Array = np.einsum(f"{inputs}->nabcd", *(t.chance for t in tables))
    return found


def test_the_evidence_is_the_sum_of_the_product() -> None:
    tables = _tables(np.random.default_rng(1))
    _, evidence = eliminate(tables, len(SIZES))
    whole = _whole(tables).reshape(NODES, -1).sum(axis=1)
    assert evidence == pytest.approx(np.log(whole), rel=1e-12)


def test_each_fault_given_the_earlier_ones_makes_up_the_whole() -> None:
    tables = _tables(np.random.default_rng(2))
    given, _ = eliminate(tables, len(SIZES))
    product = np.ones((NODES, *SIZES))
    for table in given:
        chance = table.chance / table.chance.sum(axis=1, keepdims=True)
        letters = "n" + "".join("abcd"[k] for k in table.scope)
        product = np.einsum(f"nabcd,{letters}->nabcd", product, chance)
    whole = _whole(tables)
    whole = whole / whole.reshape(NODES, -1).sum(axis=1).reshape(-1, 1, 1, 1, 1)
    assert product == pytest.approx(whole, rel=1e-12)
    assert [table.scope[0] for table in given] == [0, 1, 2, 3]
    assert all(other < table.scope[0] for table in given for other in table.scope[1:])


def test_many_children_of_one_fault_do_not_underflow() -> None:
    rng = np.random.default_rng(3)
    tables = [Factor((0,), np.full((1, 3), 1.0 / 3.0))]
    tables += [Factor((k, 0), 1e-30 * rng.random((1, 2, 3))) for k in range(1, 41)]
    given, evidence = eliminate(tables, 41)
    logs = np.log([table.chance.sum(axis=1)[0] for table in tables[1:]])
    expected = np.log(np.exp(logs.sum(axis=0) + 2700.0).sum() / 3.0) - 2700.0
    assert evidence[0] == pytest.approx(expected, rel=1e-12)
    assert given[0].chance.max() == 1.0


def test_scopes_are_those_of_the_tables() -> None:
    given, _ = eliminate(_tables(np.random.default_rng(4)), len(SIZES))
    assert scopes(SCOPES, len(SIZES)) == [table.scope for table in given]
    assert scopes([(2, 0), (2, 1)], 3) == [(0,), (1, 0), (2, 0, 1)]
