"""Which faults of a system were read while others stood, and must be inferred together.

A reading depends on every fault that is connected while it is taken; only the
insulation test of one branch does not. Faults that hang together in this way form a
group.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from corrosion.leakage.inference.evidence import Evidence, is_direct
from corrosion.leakage.inference.instruments import Instruments
from corrosion.records.ship import System

_MOST = 3  # so many that stood beside are inferred with a fault, of lowest resistance
_FEW, _CROWD = 8, 40  # hanging together: up to so many as said; with one; with none


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupMember:
    """One fault of a group."""

    column: int  # position of the fault among all faults of the system
    system: System  # of which system it is
    evidence: Evidence  # what was read of it
    # positions in the group of the faults that stood when it was read
    beside: tuple[int, ...]

    @property
    def own(self) -> Evidence:
        """What of the evidence depends on this fault alone."""
        if not self.beside:
            return self.evidence
        return replace(
            self.evidence,
            readings=tuple(
                each
                if is_direct(self.system, each)
                else replace(each, amps=None, hull_volts=(), lamps=())
                for each in self.evidence.readings
            ),
        )


FaultGroup = tuple[GroupMember, ...]
"""Faults that are inferred together, each after those that stood when it was read."""


def independent_faults(evidence: Sequence[Evidence]) -> list[int]:
    """Return the positions of the faults that can be inferred each for itself."""
    linked = _links(evidence)
    named = {other for links in linked for other in links}
    return [k for k, links in enumerate(linked) if not links and k not in named]


def fault_groups(
    system: System, evidence: Sequence[Evidence], tools: Instruments
) -> list[FaultGroup]:
    """Return the faults that must be inferred together.

    Each of two faults or more. Of many faults that stood beside one, the three of
    lowest resistance, as far as it was tested, are inferred with it, fewer where many
    hang together (see `crowded`). The others are taken as they were tested.

    ``evidence``: what was read of each of its faults; ``beside`` says what stood then.
    ``tools``: give the resistance at which a fault counts that was not tested.
    """
    linked = _links(evidence)
    found = []
    for members in _connected(linked):
        if len(members) > 1:
            order = _in_order(members, linked)
            place = {column: k for k, column in enumerate(order)}
            found.append(
                tuple(
                    GroupMember(
                        column=column,
                        system=system,
                        evidence=_with_rest(evidence, column, linked[column], tools),
                        beside=tuple(sorted(place[k] for k in linked[column])),
                    )
                    for column in order
                )
            )
    return found


def inferred_apart(
    evidence: Sequence[Evidence], tools: Instruments
) -> list[tuple[int, Evidence]]:
    """Return each independent fault, those beside it taken as they were tested."""
    return [
        (k, _with_rest(evidence, k, (), tools)) for k in independent_faults(evidence)
    ]


def crowded(evidence: Sequence[Evidence]) -> int:
    """Return how many faults hang together that are too many to be inferred so."""
    sets = _connected(_nearest(evidence, _MOST))
    return max((len(one) for one in sets if len(one) > _FEW), default=0)


def _links(evidence: Sequence[Evidence]) -> list[tuple[int, ...]]:
    """Return for each fault those that its readings depend on besides itself.

    The work for one fault grows as the power of the number inferred beside it: where
    many hang together each is inferred with the one of lowest resistance, and in a
    crowd with none.
    """
    linked = _nearest(evidence, _MOST)
    for members in _connected(linked):
        if len(members) > _FEW:
            kept = 1 if len(members) <= _CROWD else 0
            for k in members:
                linked[k] = linked[k][:kept]
    return linked


def _nearest(evidence: Sequence[Evidence], most: int) -> list[tuple[int, ...]]:
    return [
        tuple(sorted(each.beside, key=lambda k: _tested(evidence[k], np.inf))[:most])
        if each.depends_on_others
        else ()
        for each in evidence
    ]


def _tested(evidence: Evidence, untested: float) -> float:
    """Return the resistance of a fault as far as it was tested [Ω]."""
    tests = [r.insulation for r in evidence.readings if r.insulation is not None]
    return min(tests, default=untested)


def _with_rest(
    evidence: Sequence[Evidence],
    column: int,
    linked: tuple[int, ...],
    tools: Instruments,
) -> Evidence:
    """Return evidence with the faults beside it that are taken as they were tested."""
    own = evidence[column]
    rest = [evidence[k] for k in own.beside if k not in linked]
    points = tuple(
        (each.conductor, _tested(each, tools.prior.median))
        for each in rest
        if each.conductor is not None
    )
    apart = dict(zip(own.beside, own.apart or (0.0,) * len(own.beside), strict=True))
    return replace(
        own,
        others=own.others + points,
        beside=(),
        apart=tuple(apart[k] for k in sorted(linked)),
    )


def _connected(linked: Sequence[tuple[int, ...]]) -> list[list[int]]:
    """Return the columns in sets that hang together, each set ascending."""
    label = list(range(len(linked)))
    for column, links in enumerate(linked):
        for other in links:
            old, new = label[other], label[column]
            label = [new if each == old else each for each in label]
    return [
        [k for k, each in enumerate(label) if each == one] for one in sorted(set(label))
    ]


def _in_order(members: list[int], linked: Sequence[tuple[int, ...]]) -> list[int]:
    """Return members, each after those that stood when it was read, where possible."""
    order: list[int] = []
    left = list(members)
    while left:
        ready = [k for k in left if not set(linked[k]) & set(left)] or left[:1]
        order += ready
        left = [k for k in left if k not in ready]
    return order
