"""The steps of a hunt, what is withheld, and what they are expected to take."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from corrosion.inspection.cautions import NEEDS, Needs
from corrosion.inspection.fault_finding.circuit_tree import HuntCircuit
from corrosion.inspection.fault_finding.permits import ASK, NOBODY, Permits
from corrosion.records.ship import OpenWhen


@dataclass(frozen=True, slots=True, kw_only=True)
class Act:
    """One step of a hunt."""

    act: Literal["look", "clamp", "open", "test"]  # what is done
    needs: Needs  # who it takes to do it
    minutes: float  # what it takes; an opening with one look at the lamps [min]
    # that it shows the fault: that the indication goes with what is opened, that the
    # clamp reads it, that the test finds it. None: a look finds no circuit [-]
    chance: float | None = None
    # circuit, fed_from: to which circuit, and its panel; None: the whole
    # system, the switchboard
    circuit: str | None = None
    fed_from: str | None = None
    # what an open breaker stops beside its own circuit
    also_stops: tuple[str, ...] = ()
    # who must agree: names, `ask` (the engineer of the watch) or `none`
    permission: str = NOBODY
    # how the ship must lie for it; None: nothing is opened
    open_when: OpenWhen | None = None
    panel_first: bool = False  # whether a panel is opened before its branches
    vital: bool = False  # whether somebody's safety hangs on it
    test: str | None = None  # test volts of the circuit, of a test


@dataclass(frozen=True, slots=True, kw_only=True)
class Withheld:
    """A circuit that may hold the fault and is not proposed to be opened."""

    # circuit, why, permission: which, why not, and who would have to agree
    circuit: str
    why: str
    permission: str
    chance: float  # that the fault is on it, not below it [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class Halving:
    """Halving the list instead: which breakers are opened first."""

    first: tuple[str, ...]  # the first half
    permission: str  # who must agree to every one of the list
    expected_minutes: float  # given that the fault is on one that may be opened [min]


@dataclass(frozen=True, slots=True, kw_only=True)
class HuntSheet:
    """The steps of a hunt and what they are expected to take."""

    acts: tuple[Act, ...]  # in order: the look, clamps, opens, tests
    withheld: tuple[Withheld, ...]  # what is not proposed, and why
    # chance that the fault is on a circuit that may be opened [-]
    offered_chance: float
    # expected_minutes, minutes_90: expected, and enough with a chance of 90 %, given
    # that it is; None: nothing may be opened [min]
    expected_minutes: float | None
    minutes_90: float | None
    # expected where the same circuits are opened in the order of the list [min]
    expected_by_list: float | None
    halving: Halving | None  # none: it is not offered
    no_halving: str  # why not; empty where it is offered


def clamp_act(row: HuntCircuit, chance: float, permits: Permits) -> Act:
    """Return the step that clamps a feeder.

    Parameters
    ----------
    row : HuntCircuit
        The feeder.
    chance : float
        That it feeds the fault. [-]
    permits : Permits
        The rules of the system.

    Returns
    -------
    Act
        With the chance that the clamp shows the fault.
    """
    return Act(
        act="clamp",
        circuit=row.circuit,
        fed_from=row.fed_from,
        needs=NEEDS["clamp"],
        minutes=row.clamping,
        chance=chance * permits.assumptions.value("clamp_shows_chance"),
        vital=row.vital,
        permission=ASK,  # nothing is opened, but somebody works at a live board
    )


def open_act(
    row: HuntCircuit, suspects: Sequence[HuntCircuit], permits: Permits, *, first: bool
) -> Act:
    """Return the step that opens a circuit and looks."""
    gone = {row.circuit, *permits.below(row.circuit)}
    return replace(
        _opened(row, permits),
        act="open",
        needs=NEEDS["open"],
        minutes=row.opening + permits.assumptions.value("minutes_to_look"),
        chance=sum(each.chance for each in suspects if each.circuit in gone),
        panel_first=first,
    )


def test_act(row: HuntCircuit, permits: Permits) -> Act:
    """Return the step that tests a circuit that was opened."""
    return replace(_opened(row, permits), test=row.test)


def _opened(row: HuntCircuit, permits: Permits) -> Act:
    """Return the test of a circuit, and what it takes to have it open."""
    return Act(
        act="test",
        circuit=row.circuit,
        fed_from=row.fed_from,
        also_stops=permits.below(row.circuit),
        permission=permits.permission(row.circuit),
        open_when=permits.open_when(row.circuit),
        needs=NEEDS["test"],
        minutes=row.minutes - row.opening,
        chance=row.chance,
        vital=row.vital,
    )
