"""What the readings of one fault may mean, as an object: the log's and the bench's."""

from collections.abc import Iterator
from typing import Any, Final

from corrosion.foundation.units import DAY
from corrosion.leakage.conditions import occasions
from corrosion.leakage.explanations.ranking import explanations
from corrosion.presentation.explanation_words import named, next_words
from corrosion.records.ship import Fault, Reading, Ship

NOTHING_EXPLAINED: Final[dict[str, Any]] = {"explanations": [], "next_reading": None}
"""Where nothing was read."""


def explained_fault(ship: Ship, fault: Fault) -> dict[str, Any]:
    """Return what the readings of a fault may mean, and what to read next.

    ``ship``: with its berths, its other faults and all of readings.csv. ``fault``: a
    ground fault of one of her systems, in the log or not. Returns ``explanations``, the
    likeliest first (``kind``, ``conductors``, ``chance``, ``words``, ``ohms`` of each
    fault), of what was read within a day of when it was found; empty where nothing was.
    ``next_reading`` (``act``, ``conductor``, ``to``, ``meter_ohm``, ``bits``,
    ``words``; None: nothing would tell more).
    """
    system = ship.system(fault.system or "")
    _, state = occasions(ship, fault, system)[0]
    rows = list(_rows(ship, fault))
    if not rows:
        return dict(NOTHING_EXPLAINED)
    found = explanations(
        system,
        rows,
        state=state,
        named=fault.readings.conductor,
        assumptions=ship.assumptions,
    )
    then = found.then
    return {
        "explanations": [
            {
                "kind": each.kind,
                "conductors": list(each.conductors),
                "chance": each.chance,
                "words": named(
                    each.kind,
                    each.conductors,
                    all_of_them=len(each.conductors) == len(system.conductors),
                ),
                "ohms": [
                    dict(zip(("p10", "p50", "p90"), size, strict=True))
                    for size in each.ohms
                ],
            }
            for each in found.ranked
        ],
        "next_reading": None
        if then is None
        else {
            "act": then.act,
            "conductor": then.conductor,
            "to": then.to,
            "meter_ohm": then.meter,
            "bits": then.bits,
            "words": next_words(then, found.ranked),
        },
    }


def _rows(ship: Ship, fault: Fault) -> Iterator[Reading]:
    """Yield what was read of a fault when it was found, one instrument a row."""
    own, when = fault.readings, fault.found
    names = ship.system(fault.system or "").conductors
    for name, volts in zip(names, own.hull_volts, strict=False):
        if volts is not None:
            yield Reading(time=when, conductor=name, volts=volts, meter=own.meter)
    if own.amps is not None or own.insulation is not None or any(own.lamps):
        yield Reading(
            time=when,
            conductor=own.conductor,
            amps=own.amps,
            current=own.current,
            insulation=own.insulation,
            lamps=own.lamps,
        )
    for row in ship.readings:
        near = abs(row.time.middle - when.middle) <= DAY
        if row.fault == fault.fault and near:
            yield row
