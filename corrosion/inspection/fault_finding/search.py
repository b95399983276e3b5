"""Which breaker to open next: chance over minutes, and the minutes that it takes."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

from corrosion.foundation.errors import InputError, LookupFailed
from corrosion.foundation.types import Array
from corrosion.foundation.units import HOUR, MINUTE
from corrosion.inspection.fault_finding.circuit_tree import (
    HuntCircuit,
    branches,
    expected,
    quantile,
)
from corrosion.inspection.fault_finding.orders import (
    best_boxes,
    by_halving,
    by_list,
    by_ratio,
)

__all__ = [
    "HuntOrder",
    "HuntSheet",
    "after_result",
    "best_order",
    "hunt_sheet",
]

Row = HuntCircuit | Mapping[str, Any] | tuple[float, float]


class HuntOrder(NamedTuple):
    """An order of opening and what it is expected to take.

    Attributes
    ----------
    order : tuple of str or int
        Names of the circuits; positions from 0 where bare pairs were given.
    expected_hours : float
        Given that the fault is on one of them. [h]
    """

    order: tuple[str | int, ...]
    expected_hours: float


@dataclass(frozen=True, slots=True, kw_only=True)
class HuntSheet:
    """The order of opening with all that stands on the hunt sheet.

    Attributes
    ----------
    order : tuple of HuntCircuit
        The branches of a panel that is opened first follow it; they are opened only
        if the indication went with the panel.
    opened_first : frozenset of str
        The panels that are opened before their branches.
    expected_minutes, minutes_90 : float
        Expected, and enough with a chance of 90 %, given that the fault is in the
        list. [min]
    expected_by_list, expected_halving : float
        Expected in the order of the list, and halving it. [min]
    without_permission : tuple of HuntCircuit
        The order of those circuits that nobody must agree to; panels that need
        permission stay closed and their branches are opened one by one.
    free_chance : float
        Chance that the fault is on one of those. [-]
    """

    order: tuple[HuntCircuit, ...]
    opened_first: frozenset[str]
    expected_minutes: float
    minutes_90: float
    expected_by_list: float
    expected_halving: float
    without_permission: tuple[HuntCircuit, ...]
    free_chance: float


def best_order(circuits: Sequence[Row]) -> HuntOrder:
    r"""Return the order of opening that is expected to find the fault soonest.

    Parameters
    ----------
    circuits : sequence of HuntCircuit, of mappings with its fields, or of pairs
        A pair is (chance, minutes): chance that the fault is on it [-], minutes to
        open and test it [min]. Chances need not sum to one: what is left over lies
        outside the list.

    Returns
    -------
    HuntOrder
        Order and expected hours. Without a tree it is the falling chance over
        minutes, which no other order beats.

    Raises
    ------
    InputError
        If there is no circuit, all chances are zero, a chance is negative, minutes
        are not positive, a name comes twice, or circuits feed each other in a loop.

    Notes
    -----
    .. math:: E = \sum_i p_i \sum_{j \le i} t_j \Big/ \sum_i p_i

    See :mod:`corrosion.inspection.fault_finding.orders` for panels and branches.

    Examples
    --------
    >>> best_order([(0.2, 10.0), (0.5, 10.0), (0.3, 5.0)])
    HuntOrder(order=(2, 1, 0), expected_hours=0.23)
    """
    named = [_named(place, row) for place, row in enumerate(circuits)]
    order, minutes, _ = _laid_out(named)
    bare = not isinstance(circuits[0], HuntCircuit | Mapping)
    names = tuple(place if bare else named[place].circuit for place in order)
    return HuntOrder(names, expected(named, minutes) * MINUTE / HOUR)


def hunt_sheet(circuits: Sequence[HuntCircuit]) -> HuntSheet:
    """Return the best order with all that stands on the hunt sheet.

    Parameters
    ----------
    circuits : sequence of HuntCircuit
        In the order of the log book or of circuits.csv.

    Returns
    -------
    HuntSheet
        The order, what it takes, and what two other orders would take.

    Raises
    ------
    InputError
        As :func:`best_order`.
    """
    order, minutes, boxes = _laid_out(circuits)
    free = [row for row in circuits if not row.permission]
    alone = _laid_out(free)[0] if sum(row.chance for row in free) > 0.0 else []
    return HuntSheet(
        order=tuple(circuits[place] for place in order),
        opened_first=boxes,
        expected_minutes=expected(circuits, minutes),
        minutes_90=quantile(circuits, minutes, 0.9),
        expected_by_list=expected(circuits, by_list(circuits)),
        expected_halving=expected(circuits, by_halving(circuits)),
        without_permission=tuple(free[place] for place in alone),
        free_chance=sum(row.chance for row in free)
        / sum(row.chance for row in circuits),
    )


def after_result(
    circuits: Sequence[HuntCircuit], circuit: str, *, cleared: bool
) -> tuple[HuntCircuit, ...]:
    """Return the circuits that may still hold the fault after one was opened.

    Parameters
    ----------
    circuits : sequence of HuntCircuit
        Those that might hold it before.
    circuit : str
        The one that was opened.
    cleared : bool
        True where the indication went: the fault is on it or below it. False where it
        stayed: the fault is on none of these.

    Returns
    -------
    tuple of HuntCircuit
        What is left, chances summing to one, in the same order; empty where every
        circuit is ruled out (the fault lies outside the list, or there are two).

    Raises
    ------
    LookupFailed
        If no such circuit is in the list.

    Examples
    --------
    >>> pair = [HuntCircuit(circuit=n, chance=0.5, minutes=9.0) for n in ("L1", "L2")]
    >>> [row.circuit for row in after_result(pair, "L1", cleared=False)]
    ['L2']
    """
    if circuit not in [row.circuit for row in circuits]:
        unknown = LookupFailed.among("circuit", circuit, [r.circuit for r in circuits])
        raise unknown
    tree = branches(circuits)
    below, stack = {circuit}, [circuit]
    while stack:
        names = [circuits[place].circuit for place in tree.get(stack.pop(), ())]
        below.update(names)
        stack += names
    left = [row for row in circuits if (row.circuit in below) == cleared]
    total = sum(row.chance for row in left)
    return tuple(
        replace(
            row,
            chance=row.chance / total if total > 0.0 else 1.0 / len(left),
            fed_from=None if row.fed_from == circuit else row.fed_from,
        )
        for row in left
    )


def _named(place: int, row: Row) -> HuntCircuit:
    if isinstance(row, HuntCircuit):
        return row
    if isinstance(row, Mapping):
        return HuntCircuit(**row)
    chance, minutes = row
    return HuntCircuit(circuit=str(place), chance=chance, minutes=minutes)


def _laid_out(
    circuits: Sequence[HuntCircuit],
) -> tuple[list[int], Array, frozenset[str]]:
    """Return the order, the minutes to find each, and the panels opened first."""
    if not circuits or not sum(row.chance for row in circuits) > 0.0:
        msg = (
            "hunt: needs at least one circuit with a chance above 0, got "
            f"{len(circuits)} circuits. Add circuits, or start again with all of them."
        )
        raise InputError(msg)
    tree = branches(circuits)
    boxes = best_boxes(circuits, tree)
    return *by_ratio(circuits, tree, boxes), boxes
