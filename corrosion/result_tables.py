"""Samples summed up in users' units: a row a zone, a row a fault, sums of the ship."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

from corrosion.foundation.statistics import summarise
from corrosion.foundation.types import Array, IntArray
from corrosion.foundation.units import HOUR, MM, PERCENT, YEAR
from corrosion.history.inputs import ModelInputs
from corrosion.history.loss import EATERS, LossHistory, naive_loss
from corrosion.hull.anode_groups import anode_groups
from corrosion.inspection.outlook import Outlook
from corrosion.inspection.ranking import leading, leading_cause
from corrosion.records.dates import day_of

if TYPE_CHECKING:
    import pandas as pd

_CENTURY = 100.0 * YEAR
_LIKELY = 0.5  # a direct component is told as there if it is so more likely than not

ACCOUNTS = (
    "stray_kg",
    "faults_kg",
    "couple_kg",
    "own_metals_kg",
    "spared_kg",
    "natural_kg",
    "natural_sea_kg",
    "natural_inside_kg",
    "protection_spared_kg",
    "unexplained_kg",
    "lost_kg",
)
"""Accounts of mass of zones and ship; all but the spared ones are losses."""


@dataclass(frozen=True, eq=False)
class ResultTable:
    """A table of results, of which a data frame is made where one is asked for."""

    columns: Mapping[str, Any]  # arrays of values by name, all of one length

    @cached_property
    def frame(self) -> "pd.DataFrame":
        """The same as a data frame, in which text that is not known stays None."""
        import pandas as pd  # noqa: PLC0415 - slow, and nothing printed needs it

        return pd.DataFrame(
            {
                name: pd.Series(values, dtype=object)
                if values.dtype == object
                else values
                for name, values in self.columns.items()
            }
        )

    @cached_property
    def rows(self) -> list[dict[str, Any]]:
        """Its rows, each by the names of the columns; not to be written to."""
        cells = zip(*(v.tolist() for v in self.columns.values()), strict=True)
        return [dict(zip(self.columns, row, strict=True)) for row in cells]


def _table(columns: Mapping[str, Any], order: IntArray | None = None) -> ResultTable:
    """Return a table of columns, its rows in some order."""
    kept = {}
    for name, values in columns.items():
        words = any(isinstance(each, str) for each in values)
        whole = np.asarray(values, dtype=object if words else None)
        kept[name] = whole if order is None else whole[order]
    return ResultTable(kept)


def _columns(quantities: Mapping[str, Array]) -> dict[str, Array]:
    return {
        f"{name}_{statistic}": column
        for name, values in quantities.items()
        for statistic, column in summarise(values).items()
    }


def zone_table(
    inputs: ModelInputs, history: LossHistory, outlook: Outlook
) -> ResultTable:
    """Return one row a zone, the most urgent first."""
    ship, now = inputs.ship, np.searchsorted(history.moments, inputs.time_grid.as_of)
    _, ceiling = naive_loss(inputs, history)
    accounts = {name: getattr(history, name) for name in ACCOUNTS}
    spot, taken = history.spot, history.taken_spot
    statistics = _columns(
        {
            **accounts,
            "ceiling_kg": ceiling,
            "bare_loss_mm": spot / MM,
            "stray_mm": taken / MM,
            "deepest_mm": outlook.deepest / MM,
            "left_mm": outlook.left / MM,
            "left_under_pit_mm": outlook.under_pit / MM,
            "peak_ac_density": history.peak,
        }
    )
    worst = leading(history.charged)
    means = {name: kg.mean(axis=0) for name, kg in accounts.items()}
    columns = {
        "zone": [z.zone for z in ship.zones],
        "name": [z.name for z in ship.zones],
        "rank": 1 + np.argsort(outlook.order),
        "priority": outlook.priority,
        "chance_below_limit": outlook.chance_ahead,
        "chance_error": outlook.chance_error,
        "chance_in_first": outlook.in_first,
        "inspect_by": [_due(moment) for moment in outlook.inspect_by],
        "leading_fault": [None if k < 0 else ship.faults[k].fault for k in worst],
        "leading_cause": leading_cause(
            means,
            inputs.kg_per_metre,
            spot=spot.mean(axis=0),
            taken=taken.mean(axis=0),
            pitted=outlook.pitted,
        ),
        "substantial_chance": outlook.substantial,
        "side": [z.side for z in ship.zones],
        "frame_from": [z.frame_from for z in ship.zones],
        "frame_to": [z.frame_to for z in ship.zones],
        "top_m": [z.top for z in ship.zones],
        "bottom_m": [z.bottom for z in ship.zones],
        "exposure": [z.exposure for z in ship.zones],
        "metal": [z.metal for z in ship.zones],
        "access": [z.access for z in ship.zones],
        "consequence": [z.consequence for z in ship.zones],
        "gauge_hours": [z.gauge_hours for z in ship.zones],
        "area_m2": inputs.hull.body.area,
        "bare_share": history.bare[:, now].mean(axis=0),
        "built_mm": [z.built / MM for z in ship.zones],
        "limit_mm": [z.limit / MM for z in ship.zones],
        "pit_limit_mm": [z.pit_limit / MM for z in ship.zones],
        **statistics,
    }
    return _table(columns, outlook.order)


def fault_table(inputs: ModelInputs, history: LossHistory) -> ResultTable:
    """Return one row a fault, in file order."""
    faults = inputs.ship.faults
    ceiling, _ = naive_loss(inputs, history)
    seconds, charge, direct = history.seconds, history.charge, history.direct_charge
    size = np.abs(direct)
    ac, dc = _over(charge - size, seconds), _over(direct, seconds)
    share = _over(history.water_charge, charge)
    statistics = _columns(
        {
            "hours": seconds / HOUR,
            "resistance_ohm": inputs.faults.resistance,
            "amps": np.maximum(ac, np.abs(dc)),
            "amps_ac": ac,
            "amps_dc": dc,
            "water_share": np.minimum(share, 1.0),
            "charge_ah": charge / HOUR,
            "charge_ah_ac": (charge - size) / HOUR,
            "charge_ah_dc": size / HOUR,
            "kg": history.fault_kg,
            "spared_kg": history.fault_spared_kg,
            "ceiling_kg": ceiling,
        }
    )
    spans = inputs.faults.spans
    end = np.minimum(spans.ended, inputs.time_grid.as_of)
    return _table(
        {
            "fault": [f.fault for f in faults],
            "zone": [f.zone for f in faults],
            "system": [f.system for f in faults],
            "circuit": [f.circuit for f in faults],
            "conductor": [f.readings.conductor for f in faults],
            "source": [f.source for f in faults],
            "current": _currents(inputs),
            "standing": np.median(spans.ended, axis=0) > inputs.time_grid.as_of,
            "last_good": [f.last_good.text if f.last_good else None for f in faults],
            "found": [f.found.text for f in faults],
            "cleared": [f.cleared.text if f.cleared else None for f in faults],
            "start": _days(np.median(spans.began, axis=0)),
            "found_at": _days(np.median(spans.found, axis=0)),
            "end": _days(np.median(end, axis=0)),
            "remark": [f.remark for f in faults],
            **statistics,
        }
    )


def _currents(inputs: ModelInputs) -> list[str]:
    """Return the kind of each fault's current: ``ac``, ``dc`` or ``both``.

    Both where a direct component was read, or is likelier than not.
    """
    driven = (inputs.faults.direct_volts != 0.0).mean(axis=0) > _LIKELY
    kinds = {system.name: system.current for system in inputs.ship.systems}
    return [
        "both"
        if direct
        else kinds.get(fault.system or "", fault.current)
        if fault.source == "ground fault"
        else fault.current
        for fault, direct in zip(inputs.ship.faults, driven, strict=True)
    ]


def _over(top: Array, bottom: Array, otherwise: float = 0.0) -> Array:
    """Return a ratio; something else where nothing stands below."""
    out = np.full_like(top, otherwise)
    return np.divide(top, bottom, out=out, where=bottom > 0.0)


def _due(moment: float) -> str | None:
    return None if math.isnan(moment) else day_of(moment).isoformat()


def _days(moments: Array) -> Array:
    return np.floor(moments).astype("datetime64[s]")


def totals(inputs: ModelInputs, history: LossHistory) -> dict[str, dict[str, float]]:
    """Return sums over the ship, each with mean, p10, p50 and p90."""
    ceiling, _ = naive_loss(inputs, history)
    charge = history.charge.sum(axis=1)
    direct = np.abs(history.direct_charge).sum(axis=1)
    water = history.water_charge.sum(axis=1)
    samples = {
        **{name: getattr(history, name).sum(axis=1) for name in ACCOUNTS},
        "ceiling_kg": ceiling.sum(axis=1),
        "charge_ah": charge / HOUR,
        "charge_ah_ac": (charge - direct) / HOUR,
        "charge_ah_dc": direct / HOUR,
        "water_share": np.minimum(_over(water, charge), 1.0),
    }
    return {name: _stat(values) for name, values in samples.items()}


def anode_rows(inputs: ModelInputs, history: LossHistory) -> list[dict[str, Any]]:
    """Return one row a group of anodes: what it does at the date of the estimate.

    Returns ``amps`` that leave it, ``mv`` of the steel about it, ``left_percent`` of
    its net mass, ``gone_by`` at this current (None: not within a century), charge
    ``eaten_ah`` and ``relieved_ah`` by whom since it was last renewed.
    """
    groups = anode_groups(inputs.ship, inputs.hull)
    order = sorted(groups, key=lambda one: one.size is None)  # as the history has them
    found = []
    for k, one in enumerate(order):
        row: dict[str, Any] = {
            "anode": one.anode.anode,
            "zone": one.anode.zone,
            "metal": one.anode.metal,
            "count": one.anode.count,
            "amps": _stat(history.anode_amps[:, k]),
            "mv": _stat(history.anode_volts[:, k] * 1e3),
            "left_percent": None,
            "gone_by": None,
            "eaten_ah": {},
            "relieved_ah": {},
        }
        if one.size is not None:
            charge = history.anode_eaten[:, k] / HOUR
            row["left_percent"] = _stat(history.anode_left[:, k] / PERCENT)
            row["gone_by"] = _gone(inputs, history, k)
            for at, eater in enumerate(EATERS):
                row["eaten_ah"][eater] = _stat(np.maximum(charge[:, at], 0.0))
                row["relieved_ah"][eater] = _stat(np.maximum(-charge[:, at], 0.0))
        found.append(row)
    places = [one.anode.anode for one in groups]
    return sorted(found, key=lambda row: places.index(row["anode"]))


def _stat(values: Array) -> dict[str, float]:
    return {name: float(value) for name, value in summarise(values).items()}


def _gone(inputs: ModelInputs, history: LossHistory, k: int) -> str | None:
    """Return when half of the samples have used a group up at its current."""
    ahead = _over(history.anode_usable[:, k], history.anode_amps[:, k], np.inf)
    seconds = float(np.median(ahead))
    if seconds > _CENTURY:
        return None
    return day_of(inputs.time_grid.as_of + seconds).isoformat()
