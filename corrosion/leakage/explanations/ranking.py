"""Which explanation the readings of a system speak for, ranked by chance."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from corrosion.foundation.assumptions import Assumptions, default_assumptions
from corrosion.foundation.errors import InputError
from corrosion.leakage.explanations.candidates import (
    Candidate,
    Ground,
    Kind,
    candidates,
)
from corrosion.leakage.explanations.cells import picture_of, refined, weighed
from corrosion.leakage.explanations.next_reading import (
    NextReading,
    Posterior,
    best_reading,
    quantiles,
)
from corrosion.leakage.inference.evidence import Evidence
from corrosion.leakage.inference.instruments import Instruments
from corrosion.leakage.neutral_point import conductor_index
from corrosion.records.ship import Reading, System

_FAULTS: Final = {"one fault": 1, "two faults": 2, "fault and failed lamp": 1}
_HOPELESS: Final = 1e-5  # chance beside the best that is not worth a closer look


@dataclass(frozen=True, slots=True, kw_only=True)
class Explanation:
    """What may be wrong."""

    # ``healthy``, ``one fault``, ``two faults``, ``not energised``, ``ghost``, ``failed
    # lamp`` or ``fault and failed lamp``
    kind: Kind
    # on which conductors; of the last the fault's, then the lamp's
    conductors: tuple[str, ...]
    chance: float  # given the readings, among the explanations that are offered [-]
    # p10, p50 and p90 of the resistance of each fault [Ω]
    ohms: tuple[tuple[float, float, float], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Explained:
    """Explanations of some readings, and what to read next."""

    ranked: tuple[Explanation, ...]  # the likeliest first; chances sum to 1
    # what would separate them best; None: nothing would tell more
    then: NextReading | None


def explanations(
    system: System,
    readings: Sequence[Reading],
    *,
    state: Evidence | None = None,
    named: str | None = None,
    assumptions: Assumptions | None = None,
) -> Explained:
    """Return what readings of a system may mean, the likeliest first.

    A conductor is said to be *not energised* only where a reading between it and
    another one was taken, and a *ghost* only where it showed volts to the hull: zero
    volts is not dead.

    ``readings``: what was read in one state of it: volts to the hull or between
    conductors, with any meter, lamps, clamp, insulation test, insulation monitor.
    ``state``: other faults that stood, how it was tied and fed; None: floating, alone.
    ``named``: the conductor that somebody wrote down as the faulty one.

    Raises InputError if nothing was read. Raises LookupFailed if the system has no such
    conductor.
    """
    if not readings:
        msg = f"explanations: nothing was read on {system.name!r}."
        raise InputError(msg)
    around = Evidence(readings=()) if state is None else state
    table = assumptions or default_assumptions()
    fed, tools = around.fed or system, Instruments.of(table)
    ground = Ground(fed, around, table)
    at = None if named is None else conductor_index(fed, named)
    shown = bool(picture_of(readings))
    found: list[Posterior] = []
    for each in candidates(ground, named=at, lamps=shown):
        rough = [weighed(part, readings, tools) for part in each.parts]
        offered = _offered(each, fed, readings, table)
        found.append(Posterior(each, tuple(rough), offered=offered))
    best = max(one.score for one in found)
    found = [
        replace(one, parts=tuple(refined(p, readings, tools) for p in one.parts))
        if one.score > _HOPELESS * best
        else one
        for one in found
    ]
    total = sum(one.score for one in found if one.offered)
    offers = sorted((one for one in found if one.offered), key=lambda one: -one.score)
    meters = (table.value("meter_ohm"), table.value("low_meter_ohm"))
    return Explained(
        ranked=tuple(
            Explanation(
                kind=one.candidate.kind,
                conductors=tuple(fed.conductors[c] for c in one.candidate.conductors),
                chance=one.score / total,
                ohms=_ohms(one),
            )
            for one in offers
        ),
        then=best_reading(fed, found, readings, tools, meters=meters),
    )


def _offered(
    candidate: Candidate,
    system: System,
    readings: Sequence[Reading],
    table: Assumptions,
) -> bool:
    """Return whether an explanation may be named after what was read: see S2."""
    if candidate.kind not in ("not energised", "ghost"):
        return True
    names = {system.conductors[k] for k in candidate.conductors}
    volts = [row for row in readings if row.volts is not None]
    if candidate.kind == "not energised":
        return any(row.to and names & {row.conductor, row.to} for row in volts)
    dead = table.value("dead_reading_v")
    return any(
        row.conductor in names and row.to is None and abs(row.volts or 0.0) > dead
        for row in volts
    )


def _ohms(one: Posterior) -> tuple[tuple[float, float, float], ...]:
    """Return p10, p50 and p90 of the resistance of each fault."""
    part = one.parts[0]
    values = part.values()
    faults = range(1, 1 + _FAULTS.get(one.candidate.kind, 0))
    return tuple(quantiles(values[:, k], part.weight) for k in faults)
