"""The steps of a hunt: look, clamp, open, test, and only what may be done as she lies.

What opens nothing comes first; of each kind, what tells most a minute. Opens come last,
and of them only those to which the rules of
:mod:`corrosion.inspection.fault_finding.permits` do not object.
"""

from collections.abc import Collection, Sequence
from dataclasses import replace

import numpy as np

from corrosion.foundation.statistics import entropy
from corrosion.foundation.types import Array
from corrosion.inspection.cautions import NEEDS
from corrosion.inspection.fault_finding.acts import (
    Act,
    Halving,
    HuntSheet,
    Withheld,
    clamp_act,
    open_act,
    test_act,
)
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
from corrosion.inspection.fault_finding.permits import Permits

_NOTHING = 1e-12  # information of rounding alone


def hunt_sheet(
    suspects: Sequence[HuntCircuit],
    permits: Permits,
    *,
    clamped: Collection[str] = (),
    gone: str | None = None,
) -> HuntSheet:
    """Return the steps of a hunt.

    Parameters
    ----------
    suspects : sequence of HuntCircuit
        What may still hold the fault, in the order of circuits.csv.
    permits : Permits
        The rules, over all circuits of the system.
    clamped : collection of str, optional
        Feeders that were clamped already, whatever they showed.
    gone : str, optional
        The circuit with which the indication went: it is tested, or the search goes on
        below it.

    Returns
    -------
    HuntSheet
        What to do in which order, and what must not be done.

    Notes
    -----
    Minutes are those of looks and tests, each charged what it takes: an opening is the
    opening and one look; only the circuit with which the indication went is tested. A
    clamp shows the fault with the chance of the basis table (``clamp_shows_chance``);
    where none shows it, all that may be opened is opened as if nobody had clamped.
    """
    objections = {row.circuit: permits.objection(row.circuit) for row in suspects}
    done = permits.opened | ({gone} if gone is not None else frozenset())
    objections |= dict.fromkeys(done & objections.keys(), "done")
    offered = [row for row in suspects if not objections[row.circuit]]
    feeders = _feeders(suspects, permits, done | frozenset(clamped))
    looking = permits.assumptions.value("minutes_to_look")
    acts = [Act(act="look", needs=NEEDS["look"], minutes=looking)]
    acts += [clamp_act(row, chance, permits) for row, chance in feeders]
    chance = sum(row.chance for row in offered)
    order, boxes, expect = _opening(offered, permits, feeders)
    acts += [
        open_act(row, suspects, permits, first=row.circuit in boxes) for row in order
    ]
    opened = [row for row in suspects if row.circuit in done]
    acts += [test_act(row, permits) for row in (*opened, *order) if row.test != "never"]
    halving, why = _halved(offered, permits)
    return HuntSheet(
        acts=tuple(acts),
        withheld=tuple(
            Withheld(
                circuit=row.circuit,
                why=objections[row.circuit],
                permission=permits.permission(row.circuit),
                chance=row.chance,
            )
            for row in suspects
            if objections[row.circuit] and row.circuit not in done
        ),
        offered_chance=chance,
        expected_minutes=None if expect is None else looking + expect[0],
        minutes_90=None if expect is None else looking + expect[1],
        expected_by_list=None
        if expect is None
        else looking + expected(offered, by_list(Charge.of_looks(offered, looking))),
        halving=halving,
        no_halving=why,
    )


def _feeders(
    suspects: Sequence[HuntCircuit], permits: Permits, passed: frozenset[str]
) -> list[tuple[HuntCircuit, float]]:
    """Return the feeders to clamp with the chance that the fault is fed by each.

    In falling information a minute: what a reading that may be missed tells of a fault
    that is there or not.
    """
    shows = permits.assumptions.value("clamp_shows_chance")
    rated = []
    for place in branches(suspects, passed).get(None, ()):
        row = suspects[place]
        if row.circuit in passed:
            continue
        fed = {row.circuit, *permits.below(row.circuit)}
        chance = min(sum(each.chance for each in suspects if each.circuit in fed), 1.0)
        told = _yes_or_no(shows * chance) - chance * _yes_or_no(shows)
        if told > _NOTHING:
            rated.append((told / max(row.clamping, _NOTHING), row, chance))
    rated.sort(key=lambda each: -each[0])
    return [(row, chance) for _, row, chance in rated]


def _yes_or_no(chance: float) -> float:
    """Return what a yes or no tells, in bits."""
    return entropy(np.clip(np.array([chance, 1.0 - chance]), 0.0, 1.0))


def _opening(
    offered: Sequence[HuntCircuit],
    permits: Permits,
    feeders: Sequence[tuple[HuntCircuit, float]],
) -> tuple[list[HuntCircuit], frozenset[str], tuple[float, float] | None]:
    """Return the order of opening, the panels opened first, expected and 90 %."""
    if not sum(row.chance for row in offered) > 0.0:
        return [], frozenset(), None
    tree = branches(offered, permits.opened)
    charge = Charge.of_looks(offered, permits.assumptions.value("minutes_to_look"))
    boxes = best_boxes(offered, tree, charge)
    order, found = by_ratio(offered, tree, boxes, charge)
    shows = permits.assumptions.value("clamp_shows_chance")
    guided, spent = found.copy(), 0.0
    seen = np.zeros(len(offered))
    for feeder, _ in feeders:
        spent += feeder.clamping
        fed = {feeder.circuit, *permits.below(feeder.circuit)}
        mine = [k for k, row in enumerate(offered) if row.circuit in fed]
        if mine:
            guided[mine] = spent + _within([offered[k] for k in mine], permits, boxes)
            seen[mine] = shows
    found = found + spent
    both = [
        replace(row, chance=row.chance * weight)
        for weights in (seen, 1.0 - seen)
        for row, weight in zip(offered, weights.tolist(), strict=True)
    ]
    minutes = np.concatenate([guided, found])
    return (
        [offered[place] for place in order],
        boxes,
        (expected(both, minutes), quantile(both, minutes, 0.9)),
    )


def _within(
    rows: Sequence[HuntCircuit], permits: Permits, boxes: frozenset[str]
) -> Array:
    """Return the minutes to find each below a feeder that the clamp has shown."""
    tree = branches(rows, permits.opened)
    charge = Charge.of_looks(rows, permits.assumptions.value("minutes_to_look"))
    _, found = by_ratio(rows, tree, boxes, charge)
    return found


def _halved(
    offered: Sequence[HuntCircuit], permits: Permits
) -> tuple[Halving | None, str]:
    """Return halving where every breaker of every half may be opened with the rest."""
    if not sum(row.chance for row in offered) > 0.0 or len(offered) < 2:
        return None, "fewer than two circuits may be opened"
    rows = _branches_first(offered, permits)
    for half in halves(rows):
        if why := permits.many([row.circuit for row in half]):
            return None, why
    look = permits.assumptions.value("minutes_to_look")
    minutes = look + expected(rows, by_halving(rows, look))
    first = rows[: (len(rows) + 1) // 2]
    who = permits.permission(first[0].circuit)
    return Halving(
        first=tuple(row.circuit for row in first),
        permission=who,
        expected_minutes=minutes,
    ), ""


def _branches_first(rows: Sequence[HuntCircuit], permits: Permits) -> list[HuntCircuit]:
    """Return circuits in the list's order, but each panel after all that it feeds."""
    tree = branches(rows, permits.opened)
    placed: list[HuntCircuit] = []
    stack = [(place, False) for place in tree.get(None, ())[::-1]]
    while stack:
        place, done = stack.pop()
        fed = tree.get(rows[place].circuit, ())
        if done or not fed:
            placed.append(rows[place])
        else:
            stack += [(place, True), *((k, False) for k in fed[::-1])]
    return placed
