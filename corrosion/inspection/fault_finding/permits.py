"""Who is asked, and what may be opened at all: the rules by which nobody is hurt.

Judgement and common practice; they defer to the ship's own permits, to local codes and
to the licensed electrician in charge.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Final

from corrosion.foundation.assumptions import Assumptions, default_assumptions
from corrosion.inspection.fault_finding.circuit_tree import HuntCircuit, branches
from corrosion.records.ship import OpenWhen, ShipLies

ASK: Final = "ask"
"""The engineer of the watch is asked: what a blank permission means."""

NOBODY: Final = "none"
"""The owner's word that nobody need be asked."""

VITAL_WORDS: Final = (
    *("steering", "rudder", "fire", "bilge", "sprinkler", "navigation", "alarm"),
    *("emergency", "radio", "fan", "ventilat", "lift", "boat", "davit", "ramp"),
    "gangway",
)
"""A circuit whose name holds one of these counts as vital where nothing is written."""

_ALLOWS: Final[Mapping[OpenWhen, frozenset[ShipLies]]] = {
    "any time": frozenset({"under way", "alongside", "dead ship"}),
    "alongside": frozenset({"alongside", "dead ship"}),
    "dead ship": frozenset({"dead ship"}),
    "never": frozenset(),
}
_STRICTNESS: Final[Sequence[OpenWhen]] = tuple(_ALLOWS)
_MANY: Final = frozenset({"any time", "dead ship"})


def names_vital(circuit: str) -> bool:
    """Return whether a circuit's name says that somebody's safety hangs on it."""
    return any(word in circuit.casefold() for word in VITAL_WORDS)


def strictest(permissions: Iterable[str]) -> str:
    """Return the permission that covers all: every name, over *ask*, over *none*.

    Parameters
    ----------
    permissions : iterable of str
        As written in circuits.csv: who; blank: ask; ``none``: nobody.

    Returns
    -------
    str
        The names, each once; else ``ask``; else ``none``.

    Examples
    --------
    >>> strictest(["none", "", "master", "Master", "chief engineer"])
    'master, chief engineer'
    >>> strictest(["none", ""]), strictest(["none"])
    ('ask', 'none')
    """
    written = {
        words.strip().casefold(): words.strip() for words in [*permissions][::-1]
    }
    asks = {"", ASK} & written.keys()
    names = [words for key, words in written.items() if key not in ("", ASK, NOBODY)]
    if names:
        return ", ".join(names[::-1])
    return ASK if asks or not written else NOBODY


@dataclass(frozen=True, slots=True)
class Permits:
    """What may be opened of one system, as the ship lies and with what is open."""

    circuits: Mapping[str, HuntCircuit]  # all circuits of the system, ruled out or not
    # what each panel feeds; None: the switchboard
    tree: Mapping[str | None, tuple[str, ...]]
    lies: ShipLies  # how the ship lies
    opened: frozenset[str]  # circuits that are open now
    # vital circuits for which whoever must agree has agreed, with what
    # takes over running
    agreed: frozenset[str]
    # minutes for a look, and the chance that a clamp shows a fault
    assumptions: Assumptions

    @classmethod
    def of(
        cls,
        circuits: Sequence[HuntCircuit],
        lies: ShipLies,
        *,
        opened: Collection[str] = (),
        agreed: Collection[str] = (),
        assumptions: Assumptions | None = None,
    ) -> "Permits":
        """Return the rules of a system.

        Raises
        ------
        InputError
            If a circuit is listed twice, or circuits feed each other in a loop.
        """
        return cls(
            {row.circuit: row for row in circuits},
            {
                panel: tuple(circuits[place].circuit for place in places)
                for panel, places in branches(circuits).items()
            },
            lies,
            frozenset(opened),
            frozenset(agreed),
            default_assumptions() if assumptions is None else assumptions,
        )

    def below(self, circuit: str) -> tuple[str, ...]:
        """Return all that also stops where a circuit is opened, in the list's order."""
        found: set[str] = set()
        stack = [circuit]
        while stack:
            fed = self.tree.get(stack.pop(), ())
            found.update(fed)
            stack += fed
        return tuple(name for name in self.circuits if name in found)

    def permission(self, circuit: str) -> str:
        """Return the strictest permission of a circuit and of all below it."""
        return strictest(row.permission for row in self._stopped(circuit))

    def open_when(self, circuit: str) -> OpenWhen:
        """Return the strictest of a circuit and of all below it."""
        each = [_STRICTNESS.index(row.open_when) for row in self._stopped(circuit)]
        return _STRICTNESS[max(each)]

    def objection(self, circuit: str) -> str:
        """Return why a circuit may not be opened in one step; empty: it may."""
        return next(self._objections(circuit), "")

    def _objections(self, circuit: str) -> Iterator[str]:
        if circuit in self.opened:
            yield "it is open already"
        when = self.open_when(circuit)
        if self.lies not in _ALLOWS[when]:
            yield f"{'never' if when == 'never' else f'only {when}'}, by circuits.csv"
        yield from self._vital(circuit)
        fed = self.below(circuit)
        if len({strictest([self.circuits[name].permission]) for name in fed}) > 1:
            who = self.permission(circuit)
            yield f"its branches differ in whom to ask ({who}): one by one"
        yield from self._pairs(circuit)

    def _vital(self, circuit: str) -> Iterator[str]:
        vital = [row.circuit for row in self._stopped(circuit) if row.vital]
        if vital == [circuit] and not self.below(circuit):
            if circuit not in self.agreed:
                yield "vital: only on its own, agreed, with what takes over running"
        elif vital:
            yield f"it stops what is vital: {', '.join(vital)}"

    def _pairs(self, circuit: str) -> Iterator[str]:
        names = {circuit, *self.below(circuit)}
        dead = self._dead()
        for row in self.circuits.values():
            pair = {row.circuit, row.spare_of}
            if pair <= names:
                yield f"it stops both {row.circuit} and its spare {row.spare_of}"
            elif row.spare_of is not None and pair & names and (pair - names) & dead:
                [other] = pair - names
                yield f"{other}, the other of its pair, is open: close it first"

    def many(self, circuits: Sequence[str]) -> str:
        """Return why breakers may not be opened together; empty: they may."""
        rows = [row for name in circuits for row in self._stopped(name)]
        strict = [row.circuit for row in rows if row.open_when not in _MANY]
        if strict:
            return (
                f"{', '.join(dict.fromkeys(strict))} not marked any time or dead ship"
            )
        if any(row.vital for row in rows):
            return "a vital circuit among them"
        if len({strictest([row.permission]) for row in rows}) > 1:
            return "they differ in whom to ask"
        pairs = combinations({row.circuit: row for row in rows}.values(), 2)
        if any(a.spare_of == b.circuit or b.spare_of == a.circuit for a, b in pairs):
            return "both of a pair among them"
        return ""

    def _stopped(self, circuit: str) -> list[HuntCircuit]:
        return [self.circuits[name] for name in (circuit, *self.below(circuit))]

    def _dead(self) -> frozenset[str]:
        """Return what is open, and what stops with it."""
        known = self.opened & self.circuits.keys()
        fed = (name for opened in known for name in self.below(opened))
        return known | frozenset(fed)
