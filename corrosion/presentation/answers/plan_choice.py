"""What a set of zones to gauge, chosen by hand, takes and is expected to find."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np

from corrosion.inspection.planning.days import Day, by_days
from corrosion.inspection.planning.plan import Candidates, Plan
from corrosion.inspection.planning.value import Prospect
from corrosion.presentation.answers.bridge import ZoneCard, zone_cards
from corrosion.presentation.answers.dangers import gauging_cautions
from corrosion.presentation.answers.plan import Gaugeable, gaugeable
from corrosion.results import Estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanRow:
    """One zone that could be gauged."""

    card: ZoneCard  # what a card tells of it
    value: float  # of gauging it alone, in chance below limit times consequence [-]
    chance_now: float  # chance to be below a limit at the date of the estimate [-]
    readings: int  # readings that tell most
    cautions: tuple[str, ...]  # what can hurt whoever gauges it
    number: int  # its place among the zones that can be gauged
    settled: bool  # whether it is renewed whatever a gauging would say


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """What a chosen set comes to."""

    rows: tuple[PlanRow, ...]  # what is chosen, the most an hour first
    hours: float  # what it takes [h]
    deficits: float  # zones below a limit today that it is expected to find [-]
    # zones, gauged or not, of which it is expected to change what is done: dealt with
    # at once, renewed at the docking, gauged again, left [-]
    decisions: float
    risk_left: float  # share of the ship's chance times consequence in other zones [-]


def plan_rows(result: Estimate, could: Gaugeable) -> list[PlanRow]:
    """Return every zone that can be gauged, the most valuable an hour first.

    A zone with a hole is none: it is a danger, not a gauging.
    """
    cautions = gauging_cautions(result)
    cards = {card.zone: card for card in zone_cards(result)}
    names = [result.ship.zones[k].zone for k in could.places]
    rows = [
        PlanRow(
            card=cards[zone],
            value=float(could.alone[k]),
            chance_now=float(could.chance_now[k]),
            readings=int(could.readings[k]),
            cautions=tuple(cautions[zone]),
            number=k,
            settled=bool(could.settled[k]),
        )
        for k, zone in enumerate(names)
    ]
    return sorted(rows, key=lambda row: -row.value / row.card.hours)


def weighed(result: Estimate) -> tuple[Gaugeable, list[PlanRow]]:
    """Return the zones that can be gauged, and their rows."""
    could = gaugeable(result)
    return could, plan_rows(result, could)


def weigh(known: Prospect, rows: Sequence[PlanRow], chosen: Collection[str]) -> Choice:
    """Return what a chosen set takes, is expected to find and change, and leaves out.

    ``known``: of the zones that can be gauged, as :func:`gaugeable` returns it.
    """
    some = tuple(row for row in rows if row.card.zone in chosen)
    risk = sum(row.card.row["priority"] for row in rows)
    taken = sum(row.card.row["priority"] for row in some)
    return Choice(
        rows=some,
        hours=sum(row.card.hours for row in some),
        deficits=sum(row.chance_now for row in some),
        decisions=float(known.changes([row.number for row in some]).sum()),
        risk_left=1.0 - taken / risk if risk > 0.0 else 0.0,
    )


def plan_days(choice: Choice, *, day_hours: float) -> list[tuple[Day, list[PlanRow]]]:
    """Return a chosen set laid out over working days, a way in at a time.

    A zone that takes longer than a day stands on the first of its days alone.
    """
    rows = {row.card.zone: row for row in choice.rows}
    if not rows:
        return []
    candidates = Candidates(
        zones=tuple(rows),
        value=np.array([row.value for row in rows.values()]),
        hours=np.array([row.card.hours for row in rows.values()]),
        access=tuple(row.card.access for row in rows.values()),
    )
    plan = Plan(
        zones=tuple(rows),
        chosen=np.arange(len(rows)),
        value=float(candidates.value.sum()),
        hours_used=choice.hours,
        gap=0.0,
    )
    days = by_days(candidates, plan, day_hours=day_hours)
    return [
        (day, fresh)
        for day in days
        if (fresh := [rows.pop(zone) for zone in day.zones if zone in rows])
    ]
