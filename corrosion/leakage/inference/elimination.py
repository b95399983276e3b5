"""Faults that depend on one another, summed out one at a time.

The result is exact, and no table is larger than what stood together. Every table has
the nodes of the healthy system on its first axis and one axis for each fault that it
depends on. The last fault is summed out of the product of the tables that name it,
which leaves a table on the earlier ones [1]_; the first fault is then drawn from its
table, the next given the first, and so on.

References
----------
.. [1] S. L. Lauritzen, D. J. Spiegelhalter, "Local computations with probabilities on
   graphical structures", J. R. Stat. Soc. B 50(2), 1988, 157-224 (from memory).
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from corrosion.foundation.types import Array


@dataclass(frozen=True, slots=True)
class Factor:
    """Chance of some faults together, up to a factor."""

    scope: tuple[int, ...]  # which faults, an axis each after the first
    # shape (nodes, cells, ...): of each node and each cell of each fault [-]
    chance: Array


def scopes(named: Sequence[tuple[int, ...]], count: int) -> list[tuple[int, ...]]:
    """Return what each fault's table will depend on when all are summed out.

    One a fault: the fault itself, then earlier ones, ascending.

    Examples
    --------
    >>> scopes([(1, 0), (2, 1), (3, 0)], 4)
    [(0,), (1, 0), (2, 1), (3, 0)]
    """
    left = list(named)
    found = []
    for fault in reversed(range(count)):
        mine = [scope for scope in left if fault in scope]
        rest = sorted({other for scope in mine for other in scope} - {fault})
        found.append((fault, *rest))
        left = [scope for scope in left if fault not in scope] + [tuple(rest)]
    return found[::-1]


def eliminate(tables: Sequence[Factor], count: int) -> tuple[list[Factor], Array]:
    """Return each fault given the earlier ones, and the evidence of all.

    Parameters
    ----------
    tables : sequence of Factor
        Their product is the chance of all faults together; every fault is named.
    count : int
        Number of faults.

    Returns
    -------
    given : list of Factor
        One a fault: its own axis comes first, then those of earlier faults.
    evidence : ndarray, shape (nodes,)
        Logarithm of the sum of the product. [-]
    """
    left = list(tables)
    evidence = np.zeros(len(tables[0].chance))
    given = []
    for scope in reversed(scopes([table.scope for table in tables], count)):
        fault, *rest = scope
        mine = [table for table in left if fault in table.scope]
        left = [table for table in left if fault not in table.scope]
        # All that still depends on this fault: the product of the tables that name it.
        product = np.ones(1)
        for table in mine:
            product = product * _onto(scope, table)
        # A product of many likelihoods underflows; only ratios matter within a node, so
        # that each node's table is scaled to 1 and the scale kept in the logarithm.
        top = np.maximum(product.reshape(len(evidence), -1).max(axis=1), _LEAST)
        product = product / top.reshape(-1, *(1,) * len(scope))
        evidence += np.log(top)
        # Summed over this fault it speaks of the earlier ones alone, and takes the
        # place of the tables that went in: the chain rule read backwards.
        given.append(Factor(scope, product))
        left.append(Factor(tuple(rest), product.sum(axis=1)))
    for table in left:
        evidence += np.log(np.maximum(table.chance, _LEAST))
    return given[::-1], evidence


_LEAST = float(np.finfo(np.float64).tiny)


def _onto(scope: tuple[int, ...], table: Factor) -> Array:
    """Return a table with its axes in the order of a scope, length 1 where absent."""
    order = [table.scope.index(fault) + 1 for fault in scope if fault in table.scope]
    chance = table.chance.transpose(0, *order)
    sizes = iter(chance.shape[1:])
    each = [next(sizes) if fault in table.scope else 1 for fault in scope]
    return chance.reshape(len(chance), *each)
