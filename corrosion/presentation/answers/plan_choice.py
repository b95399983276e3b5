"""What a set of zones to gauge, chosen by hand, takes and is expected to find."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np

from corrosion.estimate import Estimate
from corrosion.foundation.units import MM
from corrosion.inspection.planning.value import readings_for
from corrosion.presentation.answers.bridge import ZoneCard, zone_cards
from corrosion.presentation.answers.plan import gauging_plan, gauging_values

__all__ = ["Choice", "PlanRow", "best_zones", "plan_rows", "weigh"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanRow:
    """One zone that could be gauged.

    Attributes
    ----------
    card : ZoneCard
        What a card tells of it.
    value : float
        Worth of gauging it, in chance below limit times consequence. [-]
    chance_now : float
        Chance to be below a limit at the date of the estimate. [-]
    readings : int
        Readings that tell most.
    thin_mm : float
        p10 of what is left under the deepest pit. [mm]
    """

    card: ZoneCard
    value: float
    chance_now: float
    readings: int
    thin_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """What a chosen set comes to.

    Attributes
    ----------
    rows : tuple of PlanRow
        What is chosen, the most an hour first.
    hours : float
        What it takes. [h]
    deficits : float
        Zones below a limit today that it is expected to find. [-]
    risk_left : float
        Share of the ship's chance times consequence that lies in other zones. [-]
    """

    rows: tuple[PlanRow, ...]
    hours: float
    deficits: float
    risk_left: float


def plan_rows(result: Estimate) -> list[PlanRow]:
    """Return every zone that can be gauged, the most valuable an hour first."""
    ship, outlook = result.ship, result.outlook
    values = gauging_values(result)
    readings = readings_for(result.inputs.hull.body.area, assumptions=ship.assumptions)
    now = int(np.searchsorted(result.history.moments, result.inputs.time_grid.as_of))
    thin = np.quantile(outlook.under_pit / MM, 0.1, axis=0)
    cards = {card.zone: card for card in zone_cards(result)}
    rows = [
        PlanRow(
            card=cards[zone.zone],
            value=float(values[z]),
            chance_now=float(outlook.chance[now, z]),
            readings=int(readings[z]),
            thin_mm=float(thin[z]),
        )
        for z, zone in enumerate(ship.zones)
    ]
    return sorted(rows, key=lambda row: -row.value / row.card.hours)


def best_zones(
    result: Estimate, *, hours: float, access: Collection[str]
) -> tuple[str, ...]:
    """Return the ids of the best set within some hours, as ``corrosion plan`` does.

    Raises
    ------
    InputError
        If no zone can be gauged in those hours and ways.
    """
    return tuple(gauging_plan(result, hours=hours, access=access)["zones"])


def weigh(rows: Sequence[PlanRow], chosen: Collection[str]) -> Choice:
    """Return what a chosen set takes, is expected to find, and leaves out."""
    some = tuple(row for row in rows if row.card.zone in chosen)
    risk = sum(row.card.row["priority"] for row in rows)
    taken = sum(row.card.row["priority"] for row in some)
    return Choice(
        rows=some,
        hours=sum(row.card.hours for row in some),
        deficits=sum(row.chance_now for row in some),
        risk_left=1.0 - taken / risk if risk > 0.0 else 0.0,
    )
