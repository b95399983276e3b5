"""What stood around each fault when it was read: her berth, and other faults."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from corrosion.foundation.units import HOUR, YEAR
from corrosion.leakage.dated_states import DatedState, berth_at, dated_states
from corrosion.leakage.earthing import Tie, is_earthed, lies_at, median_cable
from corrosion.leakage.inference.evidence import Evidence, Occasion, Perhaps
from corrosion.leakage.wander import Wander
from corrosion.records.measured import Reading
from corrosion.records.ship import Berth, Fault, Readings, Ship, System

_MOST = 6  # hours of one fault that are inferred from: its first and others between
PATH = ("fault path", "feeder")
"""What is clamped where a fault's current is read as it flows in its own branch."""

_SHORE = ("earth lead", "whole cable")
LEAST_SEEN = 0.02  # of a fault's current: a clamp that sees less tells nothing


@dataclass(frozen=True, slots=True, kw_only=True)
class SystemEvidence:
    """What was read of the ground faults of one system."""

    places: list[int]  # positions of the faults in `ship.faults`
    evidence: list[Evidence]  # one a fault; `beside` are positions in this list
    moment: list[float | None]  # when each was first read; None: when it was found [s]
    hours: list[list[tuple[float, Evidence]]]  # from `occasions`
    # of the date on which each was found, from `dated_states`
    parts: list[list[DatedState]]
    wander: Wander  # how resistances move between two hours


def evidence_for_system(
    ship: Ship, system: System, wander: Wander | None = None
) -> SystemEvidence:
    """Return what was read of each fault of a system, and which stood together.

    ``wander``: how resistances move between two hours; None: as her assumptions say.

    Of each fault its first hour, with the other faults that stood then, and what was
    read at other hours.
    """
    places = ship.ground_faults(system.name)
    wander = Wander.of(ship.assumptions) if wander is None else wander
    faults = [ship.faults[k] for k in places]
    parts = [dated_states(ship, fault, system) for fault in faults]
    hours = [
        occasions(ship, fault, system, some)
        for fault, some in zip(faults, parts, strict=True)
    ]
    evidence, moments = [], []
    for fault, ((first, one), *rest) in zip(faults, hours, strict=True):
        beside = [
            (k, wander.between(abs(first - other.found.middle)))
            for k, other in enumerate(faults)
            if other is not fault and _stood(other, first)
        ]
        evidence.append(
            replace(
                one,
                others=(),
                beside=tuple(k for k, _ in beside),
                apart=tuple(apart for _, apart in beside),
                further=tuple(
                    Occasion(at, wander.between(abs(at - first)), each)
                    for at, each in rest
                ),
            )
        )
        moments.append(None if first == fault.found.middle else first)
    return SystemEvidence(
        places=places,
        evidence=evidence,
        moment=moments,
        hours=hours,
        parts=parts,
        wander=wander,
    )


def occasions(
    ship: Ship, fault: Fault, system: System, parts: Sequence[DatedState] | None = None
) -> list[tuple[float, Evidence]]:
    """Return what was read of a fault, hour by hour, each in the state of its hour.

    Parameters
    ----------
    ship, fault, system : Ship, Fault, System
    parts : sequence of DatedState, optional
        Of the date on which it was found; None: worked out here.

    Returns
    -------
    list of (float, Evidence)
        Hour [s] and what was read then, one at least: what stands in the fault's own
        row was read when it was found. Other faults that stood count as they were
        tested, if they were. A current that returns ashore although the supply is not
        earthed says nothing of the network aboard and is left out.
    """
    own = fault.readings
    said = own.amps is not None or own.insulation is not None
    said = said or any(v is not None for v in own.hull_volts) or any(own.picture)
    hours = _hours([row for row in ship.readings if row.fault == fault.fault])
    if len(hours) >= _MOST:  # the first, the last, and some between
        step = (len(hours) - 1) / (_MOST - 2)
        hours = [hours[round(k * step)] for k in range(_MOST - 1)]
    found = []
    for rows in hours:
        moment = rows[0].time.middle
        clamped = next((row.clamped for row in rows if row.amps is not None), None)
        seen = seen_share(ship, system, berth_at(ship, moment), clamped)
        kept_rows = [_as_readings(row, own, system) for row in rows]
        if seen[0] < LEAST_SEEN:
            kept_rows = [replace(each, amps=None) for each in kept_rows]
            seen = 1.0, 0.0
        one = replace(
            _state(ship, fault, system, moment),
            readings=tuple(kept_rows),
            seen=seen[0],
            seen_sd=seen[1],
            monitor=tuple(r.monitor for r in rows if r.monitor is not None),
        )
        found.append((moment, one))
    if said or not found:
        moment = fault.found.middle
        some = dated_states(ship, fault, system) if parts is None else parts
        state = _found_in(some, _state(ship, fault, system, moment))
        kept = own
        if fault.returns == "ashore" and state.tie.at is None:
            kept = replace(own, amps=None)
        found.insert(0, (moment, replace(state, readings=(kept,))))
    return found


def _hours(rows: list[Reading]) -> list[list[Reading]]:
    """Return readings hour by hour, clamps round different things apart."""
    by_hour: dict[float, list[Reading]] = {}
    for row in rows:
        by_hour.setdefault(row.time.middle // HOUR, []).append(row)
    found = []
    for hour in sorted(by_hour):
        kinds: dict[str | None, list[Reading]] = {}
        others = [row for row in by_hour[hour] if row.amps is None]
        for row in by_hour[hour]:
            if row.amps is not None:
                kinds.setdefault(row.clamped, []).append(row)
        first, *rest = list(kinds.values()) or [[]]
        found += [others + first, *rest]
    return found


def seen_share(
    ship: Ship, system: System, berth: Berth, clamped: str | None
) -> tuple[float, float]:
    """Return what part of a fault's current a clamp sees, and its uncertainty.

    What an earthed supply drives returns through the protective conductor and, beside
    it, through water and shore earth. On a floating system it returns aboard, and
    neither the lead nor the whole cable carries any of it.

    Parameters
    ----------
    ship, system, berth : Ship, System, Berth
    clamped : str or None
        What the clamp was held round; None: not written.

    Returns
    -------
    share, sd : float
        Part seen, and its standard uncertainty. [-]
    """
    table = ship.assumptions
    if clamped == "feeder":
        missed = table.value("feeder_return_share")
        return 1.0 - missed, missed
    if clamped not in _SHORE:
        return 1.0, 0.0
    if not is_earthed(system, berth):
        return 0.0, 0.0
    written = berth.shore_earth is not None
    row = table["shore_earth_factor" if written else "shore_earth_ohm"]
    shore = (berth.shore_earth or 1.0) * row.median
    cable = median_cable(berth, table)
    ohms = np.array([shore / row.geometric_sd, shore, shore * row.geometric_sd])
    through_lead = np.zeros(3) if cable is None else ohms / (ohms + cable)
    share = through_lead if clamped == "earth lead" else 1.0 - through_lead
    return float(share[1]), 0.5 * float(abs(share[2] - share[0]))


def _as_readings(row: Reading, own: Readings, system: System) -> Readings:
    """Return one row of readings.csv as readings of its fault."""
    alike = row.current in (None, system.current)
    volts: list[float | None] = [None] * len(system.conductors)
    if row.to is None and alike and row.conductor in system.conductors:
        volts[system.conductors.index(row.conductor)] = row.volts
    conductor = own.conductor
    if conductor is None and (row.amps is not None or row.insulation is not None):
        conductor = row.conductor
    return Readings(
        conductor=conductor,
        amps=row.amps if row.clamped in (*PATH, *_SHORE) else None,
        insulation=row.insulation,
        hull_volts=tuple(volts) if any(v is not None for v in volts) else (),
        current=row.current,
        meter=row.meter,
        lamps=row.lamps,
    )


def _found_in(parts: Sequence[DatedState], state: Evidence) -> Evidence:
    """Return the state in which a fault was found: those that its date leaves."""
    share: dict[tuple[Tie, System | None], float] = {}
    for one in parts:
        key = one.tie, one.fed
        share[key] = share.get(key, 0.0) + max(one.end - one.start, 1.0)
    total = sum(share.values())
    perhaps = tuple(Perhaps(part / total, *key) for key, part in share.items())
    most = max(perhaps, key=lambda one: one.share)
    return replace(
        state, tie=most.tie, fed=most.fed, perhaps=perhaps if len(perhaps) > 1 else ()
    )


def _state(ship: Ship, fault: Fault, system: System, moment: float) -> Evidence:
    """Return the state of a system around a fault at a moment, nothing read yet."""
    tie, fed = lies_at(system, berth_at(ship, moment), ship.assumptions)
    return Evidence(
        readings=(),
        others=tuple(
            (other.readings.conductor, other.readings.insulation)
            for other in ship.faults
            if other.system == system.name
            and other.fault != fault.fault
            and other.readings.conductor is not None
            and other.readings.insulation is not None
            and _stood(other, moment)
        ),
        tie=tie,
        fed=fed,
    )


def _stood(other: Fault, moment: float) -> bool:
    """Return whether another fault certainly stood at a moment.

    One of which nobody wrote that it was cleared is taken to have stood for a year.
    """
    if other.found.latest > moment:
        return False
    if other.ended is not None:
        return other.ended.earliest >= moment
    return other.standing is True or moment - other.found.latest < YEAR
