"""Orders of opening breakers: as listed, by halving, by chance over minutes.

Each gives every circuit the minutes after which the fault is found if it is there.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain, combinations
from typing import Final

import numpy as np

from corrosion.foundation.types import Array
from corrosion.inspection.fault_finding.circuit_tree import HuntCircuit, expected

_FEW: Final = 5  # panels that are tried in every combination


@dataclass(frozen=True, slots=True)
class Charge:
    """What each circuit of a list costs."""

    vain: Array  # (N,) minutes spent on it wherever the fault is [min]
    proof: Array  # (N,) minutes more where the fault is on it [min]

    @classmethod
    def of_looks(cls, circuits: Sequence[HuntCircuit], look: float) -> "Charge":
        """Each is opened and looked at [min]; the one that it is, is tested."""
        opening = np.array([row.opening for row in circuits], np.float64)
        whole = np.array([row.minutes for row in circuits], np.float64)
        return cls(opening + look, whole - opening)

    @classmethod
    def of_tests(cls, circuits: Sequence[HuntCircuit]) -> "Charge":
        """Each is opened and tested."""
        whole = np.array([row.minutes for row in circuits], np.float64)
        return cls(whole, np.zeros_like(whole))


def by_list(charge: Charge) -> Array:
    """Return the minutes to find each, opening one at a time as listed."""
    return np.cumsum(charge.vain) + charge.proof


def halves(circuits: Sequence[HuntCircuit]) -> list[tuple[HuntCircuit, ...]]:
    """Return every set of breakers that halving may open together.

    Parameters
    ----------
    circuits : sequence of HuntCircuit
        The list, branches before the panel that feeds them: what is opened together
        then stops nothing of the other half.
    """
    cuts = _cuts(len(circuits))
    return [tuple(circuits[start:middle]) for start, middle, _ in cuts]


def _cuts(count: int) -> Iterator[tuple[int, int, int]]:
    """Yield start, middle and stop of a list, of its halves, and of theirs."""
    stack = [(0, count)]
    while stack:
        start, stop = stack.pop()
        if stop - start > 1:
            middle = (start + stop + 1) // 2
            yield start, middle, stop
            stack += [(start, middle), (middle, stop)]


def by_halving(circuits: Sequence[HuntCircuit], look: float) -> Array:
    """Return the minutes to find each by halving.

    The breakers of the first half of the list are opened and the lamps looked at; then
    half of the half that holds the fault is opened (or closed again, at the same
    minutes), until one is left, which is tested.

    Parameters
    ----------
    circuits : sequence of HuntCircuit
        The list.
    look : float
        One look at the lamps. [min]

    Returns
    -------
    ndarray, shape (N,)
        Minutes until the fault is found if it is on that circuit. [min]
    """
    opening: Array = np.array([row.opening for row in circuits])
    found: Array = np.array([row.minutes for row in circuits]) - opening
    if len(circuits) == 1:
        return found + opening + look
    for start, middle, stop in _cuts(len(circuits)):
        found[start:stop] += opening[start:middle].sum() + look
    return found


def by_ratio(
    circuits: Sequence[HuntCircuit],
    tree: Mapping[str | None, tuple[int, ...]],
    boxes: Collection[str],
    charge: Charge,
) -> tuple[list[int], Array]:
    """Return the order by chance over minutes, some panels opened as a box.

    Parameters
    ----------
    circuits : sequence of HuntCircuit
        The list.
    tree : mapping
        From :func:`branches`.
    boxes : collection of str
        Panels that are opened before any of their branches. If the indication stays,
        all below is sound at the price of one opening; if it goes, the branches are
        opened in turn, and the panel itself is left where all of them are sound. The
        branches of other panels are opened one by one among the rest.
    charge : Charge
        What each costs.

    Returns
    -------
    order : list of int
        Positions in the list, a box's branches right after it.
    found : ndarray, shape (N,)
        Minutes until the fault is found if it is on that circuit. [min]

    Notes
    -----
    A block costs its minutes in vain where the fault is elsewhere. Exchanging two
    neighbours shows that falling chance over minutes in vain is the best order of the
    blocks of one level [1]_.

    References
    ----------
    .. [1] W. E. Smith, "Various optimizers for single-stage production", Naval Research
       Logistics Quarterly 3, 1956, 59-66 (from memory).
    """
    found = np.zeros(len(circuits))
    vain = charge.vain.tolist()

    def level(places: Iterable[int]) -> tuple[list[int], float, float]:
        """Lay out one level; return its order, chance and minutes if all in vain."""
        blocks = []
        for place in places:
            row = circuits[place]
            below = tree.get(row.circuit, ())
            if below and row.circuit in boxes:
                inside, chance, minutes = level(_spread(below, circuits, tree, boxes))
                found[inside] += vain[place]
                found[place] = vain[place] + minutes + charge.proof[place]
                blocks.append(([place, *inside], row.chance + chance, vain[place]))
            else:
                found[place] = vain[place] + charge.proof[place]
                blocks.append(([place], row.chance, vain[place]))
        blocks.sort(key=lambda block: -block[1] / block[2])
        spent, order = 0.0, []
        for members, _, minutes in blocks:
            found[members] += spent
            spent += minutes
            order += members
        return order, sum(block[1] for block in blocks), spent

    order, _, _ = level(_spread(tree.get(None, ()), circuits, tree, boxes))
    return order, found


def _spread(
    places: Iterable[int],
    circuits: Sequence[HuntCircuit],
    tree: Mapping[str | None, tuple[int, ...]],
    boxes: Collection[str],
) -> list[int]:
    """Return a level's circuits, with the branches of panels that are no box."""
    spread: list[int] = []
    stack = list(places)[::-1]
    while stack:
        place = stack.pop()
        spread.append(place)
        name = circuits[place].circuit
        if name not in boxes:
            stack += tree.get(name, ())[::-1]
    return spread


def best_boxes(
    circuits: Sequence[HuntCircuit],
    tree: Mapping[str | None, tuple[int, ...]],
    charge: Charge,
) -> frozenset[str]:
    """Return the panels that are better opened before their branches.

    A few panels are tried in every combination. Of many, each is tried both ways and
    the quicker kept until no single change helps, starting from none and from all:
    never slower than opening every branch directly.

    Parameters
    ----------
    circuits : sequence of HuntCircuit
        The list.
    tree : mapping
        From :func:`branches`.
    charge : Charge
        What each circuit costs.
    """

    def minutes(boxes: frozenset[str]) -> float:
        return expected(circuits, by_ratio(circuits, tree, boxes, charge)[1])

    panels = [row.circuit for row in circuits if row.circuit in tree]
    if len(panels) <= _FEW:
        counts = range(len(panels) + 1)
        every = chain.from_iterable(combinations(panels, count) for count in counts)
        return min(map(frozenset, every), key=minutes)
    ends = []
    for boxes in (frozenset[str](), frozenset(panels)):
        better, before = boxes, None
        while better != before:
            before = better
            for panel in panels:
                better = min(better, better ^ {panel}, key=minutes)
        ends.append(better)
    return min(ends, key=minutes)
