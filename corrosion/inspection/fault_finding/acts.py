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
    """One step of a hunt.

    ``act``: what is done.
    ``circuit``, ``fed_from``: to which circuit, and its panel; None: the whole system,
    the switchboard.
    ``also_stops``: what an open breaker stops beside its own circuit.
    ``permission``: who must agree: names, ``ask`` (the engineer of the watch) or
    ``none``.
    ``open_when``: how the ship must lie for it; None: nothing is opened.
    ``needs``: who it takes to do it.
    ``minutes``: what it takes; an opening with one look at the lamps [min].
    ``chance``: that it shows the fault: that the indication goes with what is opened,
    that the clamp reads it, that the test finds it. None: a look finds no circuit [-].
    ``panel_first``: whether a panel is opened before its branches.
    ``vital``: whether somebody's safety hangs on it.
    ``test``: test volts of the circuit, of a test.
    """

    act: Literal["look", "clamp", "open", "test"]
    needs: Needs
    minutes: float
    chance: float | None = None
    circuit: str | None = None
    fed_from: str | None = None
    also_stops: tuple[str, ...] = ()
    permission: str = NOBODY
    open_when: OpenWhen | None = None
    panel_first: bool = False
    vital: bool = False
    test: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Withheld:
    """A circuit that may hold the fault and is not proposed to be opened.

    ``circuit``, ``why``, ``permission``: which, why not, and who would have to agree.
    ``chance``: that the fault is on it, not below it [-].
    """

    circuit: str
    why: str
    permission: str
    chance: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Halving:
    """Halving the list instead: which breakers are opened first."""

    first: tuple[str, ...]  # the first half
    permission: str  # who must agree to every one of the list
    expected_minutes: float  # given that the fault is on one that may be opened [min]


@dataclass(frozen=True, slots=True, kw_only=True)
class HuntSheet:
    """The steps of a hunt and what they are expected to take.

    ``acts``: in order: the look, clamps, opens, tests.
    ``withheld``: what is not proposed, and why.
    ``offered_chance``: chance that the fault is on a circuit that may be opened [-].
    ``expected_minutes``, ``minutes_90``: expected, and enough with a chance of 90 %,
    given that it is; None: nothing may be opened [min].
    ``expected_by_list``: expected where the same circuits are opened in the order of
    the list [min].
    ``halving``: None: it is not offered.
    ``no_halving``: why not; empty where it is offered.
    """

    acts: tuple[Act, ...]
    withheld: tuple[Withheld, ...]
    offered_chance: float
    expected_minutes: float | None
    minutes_90: float | None
    expected_by_list: float | None
    halving: Halving | None
    no_halving: str


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
