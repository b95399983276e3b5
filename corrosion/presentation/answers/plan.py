"""Which zones to gauge with the hours at hand, as an object."""

from collections.abc import Collection, Mapping
from dataclasses import asdict, dataclass
from functools import cached_property
from typing import Any

import numpy as np

from corrosion.foundation.json_values import json_value
from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.foundation.units import MM
from corrosion.inspection.cautions import NEEDS
from corrosion.inspection.planning.days import by_days
from corrosion.inspection.planning.joint import further_hours, joint_plan, worth_alone
from corrosion.inspection.planning.plan import Candidates, left_out
from corrosion.inspection.planning.value import Prospect, readings_for
from corrosion.presentation.answers.bridge import last_gauging
from corrosion.presentation.answers.dangers import gauging_cautions, heading
from corrosion.presentation.answers.kept_answer import kept_answer
from corrosion.results import Estimate

_SHOWN = 5  # zones left out, by name
_ENOUGH = 0.01  # chance to change a renewal below which nobody gauges again
_SETTLED = 0.1  # below which a renewal is decided without


@dataclass(frozen=True, kw_only=True)
class Gaugeable:
    """Zones that can be gauged: a zone with a hole is none, it is a danger."""

    places: IntArray  # their positions on the ship's zone axis
    known: Prospect  # what is known of them before
    readings: IntArray  # how many readings tell most [-]
    chance_now: Array  # to be below a limit at the date of the estimate, (zones,) [-]
    chance_ahead: Array  # the same at the docking, (zones,) [-]

    @cached_property
    def alone(self) -> Array:
        """Worth of gauging each and no other, shape (zones,) [-]."""
        return worth_alone(self.known)

    @cached_property
    def changes(self) -> Array:
        """Chance that gauging a zone alone changes what is done to it, (zones,) [-]."""
        return self._changes()

    @cached_property
    def renewals(self) -> Array:
        """Chance that it changes whether the zone is renewed, shape (zones,) [-]."""
        return self._changes(renewals=True)

    def _changes(self, *, renewals: bool = False) -> Array:
        every, known = range(len(self.places)), self.known
        told = (known.changes([k], of=[k], renewals=renewals)[k] for k in every)
        return np.array(list(told))

    @cached_property
    def settled(self) -> BoolArray:
        """Whether a zone is renewed whatever a gauging alone would say, (zones,)."""
        return (self.chance_ahead > self.known.renewal) & (self.renewals < _SETTLED)


def gaugeable(result: Estimate) -> Gaugeable:
    """Return the zones that can be gauged, and what gauging them would tell.

    A gauging tells the least margin of today to within its own error, what its spots
    and its campaign differ by, and, where a pit decides, what a least reading misses.

    See Also
    --------
    corrosion.inspection.planning.value.Prospect : the reckoning.
    """
    holed = {danger.zone for danger in result.dangers}
    zones, outlook = result.ship.zones, result.outlook
    places = np.array([k for k, z in enumerate(zones) if z.zone not in holed], np.int64)
    limit = np.array([zone.limit for zone in zones])
    pit_limit = np.array([zone.pit_limit for zone in zones])
    # A zone fails by its mean or under its deepest pit, so the lesser margin counts,
    # sample by sample. A gauging sees that of today; what is decided is that ahead.
    now, ahead = (
        np.minimum(left - limit, under_pit - pit_limit)[:, places]
        for left, under_pit in (
            (outlook.left, outlook.under_pit),
            (outlook.left_ahead, outlook.under_pit_ahead),
        )
    )
    own = result.ship.assumptions
    readings = readings_for(result.inputs.hull.body.area, assumptions=own)[places]
    # Of the mean of so many readings: their own scatter falls with their number; what
    # the spots and the campaign (its calibration, its surface) are off by does not.
    # Where a pit decides, the least reading may have missed it.
    variance = own.value("gauging_sd_mm") ** 2 / readings
    variance += own.value("gauging_spot_mm") ** 2
    variance += own.value("gauging_bias_prepared_mm") ** 2
    variance += np.where(outlook.pitted[places], own.value("model_sd_mm") ** 2, 0.0)
    at = int(np.searchsorted(result.history.moments, result.inputs.time_grid.as_of))
    return Gaugeable(
        places=places,
        known=Prospect(
            margin=ahead,
            signal=now,
            sd=np.sqrt(variance) * MM,
            consequence=np.array([zones[k].consequence for k in places]),
            renewal=own.value("renewal_chance"),
            again=own.value("gauge_again_chance"),
        ),
        readings=readings,
        chance_now=outlook.chance[at, places],
        chance_ahead=outlook.chance_ahead[places],
    )


def gauging_plan(
    result: Estimate,
    *,
    hours: float,
    access: Collection[str],
    access_hours: Mapping[str, float] | None = None,
    could: Gaugeable | None = None,
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
    could : Gaugeable, optional
        Of this estimate, where it is at hand already.

    Returns
    -------
    dict
        The JSON object of ``corrosion plan``.

    Raises
    ------
    InputError
        If no zone can be gauged in those hours and ways.
    """
    own = dict(access_hours or {})
    found = kept_answer(
        result,
        ("plan", hours, sorted(access), own),
        lambda: _planned(result, hours, access, own, could or gaugeable(result)),
    )
    return {**heading(result), **found}


def _planned(
    result: Estimate,
    hours: float,
    access: Collection[str],
    own: dict[str, float],
    could: Gaugeable,
) -> dict[str, Any]:
    day_hours = result.ship.assumptions.value("working_day_hours")
    rows = [result.ship.zones[k] for k in could.places]
    candidates = Candidates(
        zones=tuple(zone.zone for zone in rows),
        value=could.alone,
        hours=np.array([zone.gauge_hours for zone in rows]),
        access=tuple(zone.access for zone in rows),
    )
    known = could.known
    plan = joint_plan(known, candidates, hours=hours, allowed=access, access_hours=own)
    more = further_hours(
        known, candidates, plan, hours=hours, allowed=access, access_hours=own
    )
    rest = left_out(candidates, plan, result.outlook.priority[could.places])
    last = [last_gauging(result.ship, row.zone) for row in rows]
    # Told enough: gauged once, and unlikely that more would change what is done.
    again = [k for k, one in enumerate(last) if one is not None]
    cautions = gauging_cautions(result)
    price = result.ship.prices.crew_hour
    cost = {} if price is None else {"cost": plan.hours_used * price}
    return {
        "hours": hours,
        "access": sorted(access),
        "access_hours": own,
        "zones": list(plan.zones),
        "value": plan.value,
        "hours_used": plan.hours_used,
        "proven_best": plan.gap == 0.0,
        "deficits": json_value(could.chance_now[plan.chosen].sum()),
        "decisions": json_value(known.changes(plan.chosen.tolist()).sum()),
        "rows": [
            {
                "zone": rows[k].zone,
                "name": rows[k].name,
                "access": rows[k].access,
                "hours": rows[k].gauge_hours,
                "readings": json_value(could.readings[k]),
                "value": json_value(could.alone[k]),
                "chance_below_limit": json_value(could.chance_ahead[k]),
                "chance_now": json_value(could.chance_now[k]),
                "decision_changes": json_value(could.changes[k]),
                "last_gauged": None if (one := last[k]) is None else one.date.text,
                "needs": NEEDS[rows[k].access],
                "cautions": cautions[rows[k].zone],
            }
            for k in plan.chosen
        ],
        "days": [asdict(day) for day in by_days(candidates, plan, day_hours=day_hours)],
        "further": [{"hours": h, "value": v, "gain": gain} for h, v, gain in more],
        "left_out": {"zones": list(rest.zones[:_SHOWN]), "share_of_risk": rest.share},
        "told_enough": [rows[k].zone for k in again if could.renewals[k] < _ENOUGH],
        "settled": [
            row.zone
            for k, row in enumerate(rows)
            if could.settled[k] and row.zone not in plan.zones
        ],
        **cost,
    }
