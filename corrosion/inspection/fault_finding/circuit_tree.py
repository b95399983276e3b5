"""The tree switchboard, panels, branches, and what finding a fault in it takes.

Exactly one circuit of the list holds the fault. An order of opening gives every circuit
the minutes after which the fault is found if it is there; the expectation and every
quantile follow from those minutes and the chances.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np

from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.errors import InputError, LookupFailed
from corrosion.foundation.types import Array
from corrosion.records.ship import OpenWhen, TestVolts


@dataclass(frozen=True, slots=True, kw_only=True)
class HuntCircuit:
    """One circuit that may hold the fault.

    Attributes
    ----------
    circuit : str
        Its name.
    chance : float
        Chance that the fault is on it, not below it. [-]
    minutes : float
        To open its breaker and test it, > 0. [min]
    permission : str
        Who must agree before it is opened; empty: the engineer of the watch is asked;
        ``none``: nobody.
    fed_from : str or None
        The panel upstream; None or a name not in the list: the switchboard.
    minutes_to_open, minutes_to_clamp : float or None
        The part of ``minutes`` that opening alone takes; None: the share that the
        basis table gives it. To clamp its feeder; None: basis table. [min]
    vital, guessed : bool
        Whether somebody's safety hangs on it, and whether its name alone says so.
    open_when, spare_of, test : str
        As in circuits.csv: how the ship must lie, what takes over, test volts.

    Raises
    ------
    InputError
        If the chance is negative, or the minutes not positive.
    """

    circuit: str
    chance: float
    minutes: float
    permission: str = ""
    fed_from: str | None = None
    minutes_to_open: float | None = None
    minutes_to_clamp: float | None = None
    vital: bool = False
    guessed: bool = False
    open_when: OpenWhen = "alongside"
    spare_of: str | None = None
    test: TestVolts = "ohmmeter only"

    def __post_init__(self) -> None:
        if not 0.0 <= self.chance < np.inf:
            msg = f"{self.circuit}: chance must be 0 or more, got {self.chance:g}."
            raise InputError(msg)
        if not 0.0 < self.minutes < np.inf:
            msg = f"{self.circuit}: minutes must be > 0 min, got {self.minutes:g} min."
            raise InputError(msg)

    @property
    def opening(self) -> float:
        """Minutes that opening its breaker alone takes, in minutes."""
        if self.minutes_to_open is not None:
            return self.minutes_to_open
        table = default_assumptions()
        opening, testing = map(table.value, ("minutes_to_open", "minutes_to_test"))
        return self.minutes * opening / (opening + testing)

    @property
    def clamping(self) -> float:
        """Minutes that clamping its feeder takes, in minutes."""
        given = self.minutes_to_clamp
        return (
            default_assumptions().value("minutes_to_clamp") if given is None else given
        )


def branches(
    circuits: Sequence[HuntCircuit], opened: Collection[str] = ()
) -> dict[str | None, tuple[int, ...]]:
    """Return the circuits that each panel feeds, by position in the list.

    Parameters
    ----------
    circuits : sequence of HuntCircuit
        The list.
    opened : collection of str, optional
        Panels that were opened: what they feed is looked for below them, one by one.

    Returns
    -------
    dict
        Panel to positions; None: the switchboard.

    Raises
    ------
    InputError
        If a circuit is listed twice, or circuits feed each other in a loop.
    """
    above = {row.circuit: row.fed_from for row in circuits}
    if len(above) != len(circuits):
        names = [row.circuit for row in circuits]
        twice = next(name for name in names if names.count(name) > 1)
        msg = f"circuit {twice!r} is listed twice; give every circuit its own name."
        raise InputError(msg)
    for row in circuits:
        seen = [row.circuit]
        while (panel := above.get(seen[-1])) is not None:
            if panel in seen:
                loop = " fed from ".join([*seen[seen.index(panel) :], panel])
                msg = f"circuits feed each other in a loop: {loop}; mend fed_from."
                raise InputError(msg)
            seen.append(panel)
    tree: dict[str | None, list[int]] = {}
    for place, row in enumerate(circuits):
        above_it = row.fed_from in above and row.fed_from not in opened
        panel = row.fed_from if above_it else None
        tree.setdefault(panel, []).append(place)
    return {panel: tuple(places) for panel, places in tree.items()}


def under(circuits: Sequence[HuntCircuit], circuit: str) -> frozenset[str]:
    """Return a circuit and all that it feeds, by name.

    Raises LookupFailed if no such circuit is in the list.
    """
    names = [row.circuit for row in circuits]
    if circuit not in names:
        raise LookupFailed.among("circuit", circuit, names)
    tree = branches(circuits)
    found, stack = {circuit}, [circuit]
    while stack:
        fed = [circuits[place].circuit for place in tree.get(stack.pop(), ())]
        found.update(fed)
        stack += fed
    return frozenset(found)


def expected(circuits: Sequence[HuntCircuit], found: Array) -> float:
    """Return the expected minutes, given that the fault is in the list.

    Parameters
    ----------
    circuits : sequence of HuntCircuit
        The circuits, with the chance of each.
    found : ndarray, shape (circuits,)
        When the fault is found if it is in each. [min]

    Returns
    -------
    float
        Expected time. [min]
    """
    chance = np.array([row.chance for row in circuits])
    return float(chance @ found / chance.sum())


def quantile(circuits: Sequence[HuntCircuit], found: Array, share: float) -> float:
    """Return the minutes within which the fault is found with a chance.

    Parameters
    ----------
    circuits : sequence of HuntCircuit
        The circuits, with the chance of each.
    found : ndarray, shape (circuits,)
        When the fault is found if it is in each. [min]
    share : float
        The chance, 0 to 1. [-]

    Returns
    -------
    float
        Time within which it is found. [min]
    """
    chance = np.array([row.chance for row in circuits])
    order = np.argsort(found, kind="stable")
    reached = np.cumsum(chance[order]) / chance.sum()
    place = min(int(np.searchsorted(reached, share - 1e-12)), found.size - 1)
    return float(found[order][place])
