"""Which zones to gauge with the hours at hand, as an object."""

from collections.abc import Collection, Mapping
from dataclasses import asdict
from typing import Any

import numpy as np

from corrosion.estimate import Estimate
from corrosion.foundation.json_values import json_value
from corrosion.foundation.types import Array
from corrosion.foundation.units import MM
from corrosion.inspection.cautions import NEEDS
from corrosion.inspection.planning.days import by_days
from corrosion.inspection.planning.plan import (
    Candidates,
    best_plan,
    further_hours,
    left_out,
)
from corrosion.inspection.planning.value import gauging_value, readings_for
from corrosion.presentation.answers.dangers import dangers_of, gauging_cautions

__all__ = ["gauging_plan", "gauging_values"]

_SHOWN = 5  # zones left out, by name


def gauging_values(result: Estimate) -> Array:
    """Return what one gauging of each zone today is worth, in ship order.

    Returns
    -------
    ndarray, shape (zones,)
        By how much the reading is expected to lessen the risk of leaving or renewing
        the zone wrongly, in units of chance below limit times consequence. It tells
        the margin at the horizon to within its own uncertainty and what the margin
        still loses until then. [-]

    See Also
    --------
    corrosion.inspection.planning.value.gauging_value : the reckoning.
    """
    rows, outlook = result.ship.zones, result.outlook
    limit = np.array([zone.limit for zone in rows])
    pit_limit = np.array([zone.pit_limit for zone in rows])
    now, ahead = (
        np.minimum(left - limit, under_pit - pit_limit)
        for left, under_pit in (
            (outlook.left, outlook.under_pit),
            (outlook.left_ahead, outlook.under_pit_ahead),
        )
    )
    to_come = (now - ahead).std(axis=0)
    own = result.ship.assumptions
    readings = readings_for(result.inputs.hull.body.area, assumptions=own)
    reading = own.value("gauging_sd_mm") * MM / np.sqrt(readings)
    return gauging_value(
        ahead,
        limit=0.0,
        consequence=np.array([zone.consequence for zone in rows]),
        sd=np.hypot(reading, to_come),
        assumptions=own,
    )


def gauging_plan(
    result: Estimate,
    *,
    hours: float,
    access: Collection[str],
    access_hours: Mapping[str, float] | None = None,
) -> dict[str, Any]:
    """Return the best set of zones to gauge within some hours.

    Parameters
    ----------
    result : Estimate
        The estimate.
    hours : float
        Hours at hand. [h]
    access : collection of str
        Kinds of access that can be had: ``inside``, ``diver``, ``dock``.
    access_hours : mapping of str to float, optional
        Hours of one kind, where they are fewer. [h]

    Returns
    -------
    dict
        The JSON object of ``corrosion plan``.

    Raises
    ------
    InputError
        If no zone can be gauged in those hours and ways.
    """
    given = result.ship.assumptions
    holed = {danger.zone for danger in result.dangers}
    value = gauging_values(result)
    readings = readings_for(result.inputs.hull.body.area, assumptions=given)
    day_hours = given.value("working_day_hours")
    whole = np.array([zone.zone not in holed for zone in result.ship.zones])
    rows = [zone for zone in result.ship.zones if zone.zone not in holed]
    value, readings = value[whole], readings[whole]
    candidates = Candidates(
        zones=tuple(zone.zone for zone in rows),
        value=value,
        hours=np.array([zone.gauge_hours for zone in rows]),
        access=tuple(zone.access for zone in rows),
    )
    own = dict(access_hours or {})
    plan = best_plan(candidates, hours=hours, allowed=access, access_hours=own)
    more = further_hours(candidates, hours=hours, allowed=access, access_hours=own)
    rest = left_out(candidates, plan, result.outlook.priority[whole])
    chance = result.outlook.chance_ahead[whole]
    cautions = gauging_cautions(result)
    price = result.ship.prices.crew_hour
    cost = {} if price is None else {"cost": plan.hours_used * price}
    return {
        "ship": result.ship.name,
        "as_of": result.as_of.isoformat(),
        "samples": result.samples,
        "seed": result.seed,
        "dangers": dangers_of(result),
        "hours": hours,
        "access": sorted(access),
        "access_hours": own,
        "zones": list(plan.zones),
        "value": plan.value,
        "hours_used": plan.hours_used,
        "proven_best": plan.gap == 0.0,
        "rows": [
            {
                "zone": rows[k].zone,
                "name": rows[k].name,
                "access": rows[k].access,
                "hours": rows[k].gauge_hours,
                "readings": json_value(readings[k]),
                "value": json_value(value[k]),
                "chance_below_limit": json_value(chance[k]),
                "needs": NEEDS[rows[k].access],
                "cautions": cautions[rows[k].zone],
            }
            for k in plan.chosen
        ],
        "days": [asdict(day) for day in by_days(candidates, plan, day_hours=day_hours)],
        "further": [{"hours": h, "value": v, "gain": gain} for h, v, gain in more],
        "left_out": {
            "zones": list(rest.zones[:_SHOWN]),
            "share_of_risk": rest.share,
        },
        **cost,
    }
