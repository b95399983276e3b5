"""Which breaker to open next: chance over minutes, and the minutes that it takes."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any, NamedTuple

from corrosion.foundation.errors import InputError
from corrosion.foundation.units import HOUR, MINUTE
from corrosion.inspection.fault_finding.circuit_tree import (
    HuntCircuit,
    branches,
    expected,
    under,
)
from corrosion.inspection.fault_finding.orders import Charge, best_boxes, by_ratio

Row = HuntCircuit | Mapping[str, Any] | tuple[float, float]


class HuntOrder(NamedTuple):
    """An order of opening and what it is expected to take."""

    # names of the circuits; positions from 0 where bare pairs were given
    order: tuple[str | int, ...]
    expected_hours: float  # given that the fault is on one of them [h]


def best_order(circuits: Sequence[Row]) -> HuntOrder:
    r"""Return the order of opening that is expected to find the fault soonest.

    A bench function: it knows chances and minutes, and nothing of what may be opened.
    That is for :func:`corrosion.inspection.fault_finding.steps.hunt_sheet`.

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
    if not named or not sum(row.chance for row in named) > 0.0:
        msg = (
            "hunt: needs at least one circuit with a chance above 0, got "
            f"{len(named)} circuits. Add circuits, or start again with all of them."
        )
        raise InputError(msg)
    tree, charge = branches(named), Charge.of_tests(named)
    order, minutes = by_ratio(named, tree, best_boxes(named, tree, charge), charge)
    bare = not isinstance(circuits[0], HuntCircuit | Mapping)
    names = tuple(place if bare else named[place].circuit for place in order)
    return HuntOrder(names, expected(named, minutes) * MINUTE / HOUR)


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
        What is left, chances summing to one, in the same order, each still fed from
        where it is fed from; empty where every circuit is ruled out (the fault lies
        outside the list, or there are two).

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
    below = under(circuits, circuit)
    return _summing([row for row in circuits if (row.circuit in below) == cleared])


def after_half(
    circuits: Sequence[HuntCircuit], opened: Sequence[str]
) -> tuple[HuntCircuit, ...]:
    """Return the circuits that may still hold the fault after several were opened.

    Parameters
    ----------
    circuits : sequence of HuntCircuit
        Those that might hold it before.
    opened : sequence of str
        What was opened together, and the indication went.

    Returns
    -------
    tuple of HuntCircuit
        As :func:`after_result` returns them.

    Examples
    --------
    >>> row = [HuntCircuit(circuit=n, chance=0.25, minutes=9.0) for n in "ABCD"]
    >>> [(one.circuit, one.chance) for one in after_half(row, "AB")]
    [('A', 0.5), ('B', 0.5)]
    """
    names = [one for one in opened if one in {row.circuit for row in circuits}]
    below = {one for name in names for one in under(circuits, name)}
    return _summing([row for row in circuits if row.circuit in below])


def after_clamp(
    circuits: Sequence[HuntCircuit], circuit: str, *, shown: bool, shows: float
) -> tuple[HuntCircuit, ...]:
    """Return the circuits that may still hold the fault after a feeder was clamped.

    Parameters
    ----------
    circuits : sequence of HuntCircuit
        Those that might hold it before.
    circuit : str
        The one whose feeder was clamped.
    shown : bool
        True where the clamp showed the fault: it is on that circuit or below it. False
        where it showed nothing, which makes these less likely and rules nothing out.
    shows : float
        Chance that a clamp shows a fault that the feeder carries. [-]

    Returns
    -------
    tuple of HuntCircuit
        What is left, chances summing to one, in the same order.

    Raises
    ------
    LookupFailed
        If no such circuit is in the list.
    """
    if shown:
        return after_result(circuits, circuit, cleared=True)
    below = under(circuits, circuit)
    missed = 1.0 - shows
    weights = [missed if row.circuit in below else 1.0 for row in circuits]
    return _summing(
        [
            replace(row, chance=row.chance * weight)
            for row, weight in zip(circuits, weights, strict=True)
        ]
    )


def _summing(left: Sequence[HuntCircuit]) -> tuple[HuntCircuit, ...]:
    """Return circuits with chances that sum to one; even ones where all were zero."""
    total = sum(row.chance for row in left)
    return tuple(
        replace(row, chance=row.chance / total if total > 0.0 else 1.0 / len(left))
        for row in left
    )


def _named(place: int, row: Row) -> HuntCircuit:
    if isinstance(row, HuntCircuit):
        return row
    if isinstance(row, Mapping):
        return HuntCircuit(**row)
    chance, minutes = row
    return HuntCircuit(circuit=str(place), chance=chance, minutes=minutes)
