"""Chance of each circuit to hold the fault, from the log and the lamps."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np

from corrosion.foundation.assumptions import Assumptions, default_assumptions
from corrosion.foundation.errors import InputError, LookupFailed
from corrosion.foundation.types import Array
from corrosion.foundation.units import YEAR
from corrosion.records.ship import Fault, System


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What is known of the fault that is hunted."""

    conductor: str | None = None  # the conductor whose lamp is out; None: not known
    worked_on: frozenset[str] = frozenset()  # circuits on which work was done lately
    # circuits that were opened while the indication stayed, in order
    stayed: tuple[str, ...] = ()
    gone: str | None = None  # circuit with whose opening it went
    # of these, the ones that were closed again; the others stand open
    closed: frozenset[str] = frozenset()
    silent: tuple[str, ...] = ()  # circuits whose feeder was clamped and showed nothing
    shown: str | None = None  # circuit on whose feeder the clamp showed the fault
    # vital circuits for which whoever must agree has agreed, with what
    # takes over running
    agreed: frozenset[str] = frozenset()
    held: tuple[str, ...] = ()  # circuits that stand open beside these
    # sets of circuits that were opened together and with which it went: the fault is on
    # one of each set
    among: tuple[tuple[str, ...], ...] = ()

    @property
    def opened(self) -> tuple[str, ...]:
        """What stands open, in the order in which it was opened."""
        went = () if self.gone is None else (self.gone,)
        each = dict.fromkeys((*self.stayed, *went))
        still = (name for name in each if name not in self.closed)
        return tuple(dict.fromkeys((*self.held, *still)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Chances:
    """Chance of each circuit, and what it rests on."""

    circuits: tuple[str, ...]  # names, as given
    chance: Array  # shape (N,): sums to one [-]
    # shape (N,): faults in the log on each, older ones counting less [-]
    history: Array
    # circuits with no fault in the log: all such are as likely as one another
    without_history: tuple[str, ...]
    note: str  # one sentence on what the chances rest on


def chances(
    system: System,
    circuits: Sequence[str],
    faults: Sequence[Fault],
    *,
    as_of: float,
    seen: Seen | None = None,
    assumptions: Assumptions | None = None,
) -> Chances:
    r"""Return the chance of each circuit to hold the fault that is hunted.

    Parameters
    ----------
    system : System
        The system whose lamps show the fault.
    circuits : sequence of str
        The circuits that may hold it.
    faults : sequence of Fault
        The log; only ground faults of that system that name one of the circuits, found
        by ``as_of``, are counted.
    as_of : float
        The present, from 1970-01-01 00:00. [s]
    seen : Seen, optional
        The conductor on the lamps and recent work; None: nothing is known.
    assumptions : Assumptions, optional
        The ship's own; None: the table's.

    Returns
    -------
    Chances
        A chance for each circuit, and what it rests on.

    Raises
    ------
    InputError
        If there is no circuit.
    LookupFailed
        If the system has no such conductor, or the list no such circuit worked on.

    Notes
    -----
    Dirichlet prior of ``hunt_prior_faults`` spread evenly over N circuits; a fault of
    the log counts half after ``hunt_half_life_years``. Where a conductor is seen, the
    share of each circuit's faults that were on it enters, drawn towards even:

    .. math:: p_i \propto \Bigl(n_i + \frac{\alpha}{N}\Bigr)
              \frac{n_{i,c} + 1/m}{n_i + 1} \, w_i

    with m conductors and w = ``hunt_recent_work_factor`` for circuits worked on.
    """
    known = Seen() if seen is None else seen
    stated = default_assumptions() if assumptions is None else assumptions
    position = {name: place for place, name in enumerate(circuits)}
    _check(system, circuits, known)
    history, on_conductor = np.zeros(len(circuits)), np.zeros(len(circuits))
    half_life = stated.value("hunt_half_life_years") * YEAR
    for fault in faults:
        later = fault.found.earliest > as_of
        if later or not _counts(fault, system, position):
            continue
        age = max(as_of - fault.found.middle, 0.0)
        place = position[str(fault.circuit)]
        weight = 0.5 ** (age / half_life)
        history[place] += weight
        if known.conductor is not None:
            alike = _on(fault, system, known.conductor)
            on_conductor[place] += weight * alike
    weight = history + stated.value("hunt_prior_faults") / len(circuits)
    if known.conductor is not None:
        weight *= (on_conductor + 1.0 / len(system.conductors)) / (history + 1.0)
    lately = np.isin(np.array(circuits), list(known.worked_on))
    weight = np.where(lately, weight * stated.value("hunt_recent_work_factor"), weight)
    bare = tuple(name for name in circuits if history[position[name]] == 0.0)
    return Chances(
        circuits=tuple(circuits),
        chance=np.asarray(weight / weight.sum()),
        history=history,
        without_history=bare,
        note=_note(system, circuits, bare),
    )


def _check(system: System, circuits: Sequence[str], seen: Seen) -> None:
    if not circuits:
        msg = (
            f"chances: system {system.name!r} has no circuit in circuits.csv and none "
            "in the log; write its circuits into circuits.csv."
        )
        raise InputError(msg)
    if seen.conductor is not None and seen.conductor not in system.conductors:
        unknown = LookupFailed.among("conductor", seen.conductor, system.conductors)
        raise unknown
    one = [name for name in (seen.gone, seen.shown) if name is not None]
    sets = (seen.worked_on, seen.closed, seen.agreed)
    for name in (*seen.stayed, *seen.silent, *one, *sorted(frozenset().union(*sets))):
        if name not in circuits:
            unknown = LookupFailed.among("circuit", name, circuits)
            raise unknown


def _counts(fault: Fault, system: System, circuits: Collection[str]) -> bool:
    return (
        fault.source == "ground fault"
        and fault.system == system.name
        and fault.circuit in circuits
    )


def _on(fault: Fault, system: System, conductor: str) -> float:
    """Return 1 or 0 where the fault's conductor is known, the even share if not."""
    written = fault.readings.conductor
    if written is None and fault.readings.picture.count("out") == 1:
        written = system.conductors[fault.readings.picture.index("out")]
    if written is None:
        return 1.0 / len(system.conductors)
    return float(written == conductor)


def _note(system: System, circuits: Sequence[str], bare: Sequence[str]) -> str:
    if len(bare) == len(circuits):
        return (
            f"The log of {system.name!r} holds no fault on these circuits: prior only, "
            "the same chance for every circuit but those worked on lately."
        )
    return (
        f"Chances from the log of {system.name!r}; {len(bare)} of {len(circuits)} "
        "circuits have no history, and count as equally likely."
    )
