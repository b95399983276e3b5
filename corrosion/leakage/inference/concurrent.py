"""Which faults of a system were read while others stood, and must be inferred together.

A reading depends on every fault that is connected while it is taken; only the
insulation test of one branch does not. Faults that hang together in this way form a
company.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from corrosion.foundation import assumptions
from corrosion.leakage.inference.evidence import Evidence

__all__ = ["FaultGroup", "GroupMember", "fault_groups", "independent_faults"]

_MOST = 3  # so many that stood beside are inferred with a fault, of lowest resistance


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupMember:
    """One fault of a company.

    Attributes
    ----------
    column : int
        Position of the fault among all faults of the system.
    evidence : Evidence
        What was read of it.
    beside : tuple of int
        Positions in the company of the faults that stood when it was read.
    """

    column: int
    evidence: Evidence
    beside: tuple[int, ...]

    @property
    def own(self) -> Evidence:
        """What of the evidence depends on this fault alone."""
        if not self.beside:
            return self.evidence
        return replace(
            self.evidence,
            readings=tuple(
                replace(each, amps=None, hull_volts=(), lamps=())
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


def fault_groups(evidence: Sequence[Evidence]) -> list[FaultGroup]:
    """Return the faults that must be inferred together.

    Parameters
    ----------
    evidence : sequence of Evidence
        What was read of each fault of one system; ``beside`` says what stood then.

    Returns
    -------
    list of FaultGroup
        Each of two faults or more. Of many faults that stood beside one, the three
        of lowest resistance, as far as it was tested, are inferred with it. The
        others are taken as they were tested.
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
                        evidence=_with_rest(evidence, column, linked[column]),
                        beside=tuple(sorted(place[k] for k in linked[column])),
                    )
                    for column in order
                )
            )
    return found


def _links(evidence: Sequence[Evidence]) -> list[tuple[int, ...]]:
    """Return for each fault those that its readings depend on besides itself."""
    return [
        tuple(sorted(each.beside, key=lambda k: _tested(evidence[k]))[:_MOST])
        if any(
            r.amps is not None
            or any(r.picture)
            or any(v is not None for v in r.hull_volts)
            for r in each.readings
        )
        else ()
        for each in evidence
    ]


def _tested(evidence: Evidence) -> float:
    """Return the resistance of a fault as far as it was tested [Ω]."""
    tests = [r.insulation for r in evidence.readings if r.insulation is not None]
    return min(tests, default=assumptions.value("fault_ohm"))


def _with_rest(
    evidence: Sequence[Evidence], column: int, linked: tuple[int, ...]
) -> Evidence:
    """Return evidence with the faults beside it that are taken as they were tested."""
    rest = [evidence[k] for k in evidence[column].beside if k not in linked]
    points = tuple(
        (each.conductor, _tested(each)) for each in rest if each.conductor is not None
    )
    own = evidence[column]
    return replace(own, others=own.others + points, beside=())


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
