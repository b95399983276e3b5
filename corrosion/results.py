"""Tables out: samples summed up, a row a zone, a row a fault, in the users' units."""

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any

import numpy as np

from corrosion.foundation.statistics import summarise
from corrosion.foundation.types import Array
from corrosion.foundation.units import HOUR, MM
from corrosion.history.inputs import Books, Case, ceilings
from corrosion.inspection.calibration.calibrate import Lesson
from corrosion.inspection.outlook import Outlook
from corrosion.inspection.ranking import leading, leading_cause
from corrosion.inspection.sensitivity import to_measure
from corrosion.records.dates import day_of

if TYPE_CHECKING:
    import pandas as pd

    from corrosion.estimate import Estimate

__all__ = [
    "STATISTICS",
    "as_json",
    "fault_table",
    "nested",
    "plain",
    "totals",
    "zone_table",
]

STATISTICS = ("mean", "p10", "p50", "p90")
"""Suffixes of a summed-up quantity's columns, in order."""


def _columns(quantities: Mapping[str, Array]) -> dict[str, Array]:
    return {
        f"{name}_{statistic}": column
        for name, values in quantities.items()
        for statistic, column in summarise(values).items()
    }


def zone_table(
    case: Case, books: Books, lesson: Lesson, outlook: Outlook
) -> "pd.DataFrame":
    """Return one row a zone, in order of priority."""
    import pandas as pd  # noqa: PLC0415 - importing corrosion stays light

    ship, clock = case.ship, case.clock
    _, ceiling = ceilings(case, books)
    pick = lesson.pick
    stray, natural = pick(books.stray_kg), pick(books.natural_kg)
    couple = pick(books.couple_kg)
    statistics = _columns(
        {
            "stray_kg": stray,
            "natural_kg": natural,
            "couple_kg": couple,
            "ceiling_kg": ceiling,
            "bare_loss_mm": pick(books.natural_spot + books.stray_spot) / MM,
            "stray_mm": pick(books.stray_spot) / MM,
            "deepest_mm": outlook.deepest / MM,
            "left_mm": outlook.left / MM,
            "left_under_pit_mm": outlook.under_pit / MM,
            "peak_ac_density": pick(books.peak),
        }
    )
    worst = leading(books.charged)
    couples, strays = couple.mean(axis=0), stray.mean(axis=0)
    table = pd.DataFrame(
        {
            "zone": [z.zone for z in ship.zones],
            "name": [z.name for z in ship.zones],
            "priority": outlook.priority,
            "chance_below_limit": outlook.chance_ahead,
            "chance_in_first": outlook.in_first,
            "inspect_by": _texts(map(_due, outlook.inspect_by)),
            "leading_fault": _texts(
                None if k < 0 else ship.faults[k].fault for k in worst
            ),
            "leading_cause": leading_cause(
                strays - couples, natural.mean(axis=0), couples
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
            "area_m2": case.hull.body.area,
            "bare_share": books.bare[
                :, int(np.searchsorted(books.moments, clock.as_of))
            ].mean(axis=0),
            "built_mm": [z.built / MM for z in ship.zones],
            "limit_mm": [z.limit / MM for z in ship.zones],
            "pit_limit_mm": [z.pit_limit / MM for z in ship.zones],
            **statistics,
        }
    )
    table = table.iloc[outlook.order].reset_index(drop=True)
    table.insert(2, "rank", np.arange(1, len(table) + 1))
    return table


def fault_table(case: Case, books: Books, lesson: Lesson) -> "pd.DataFrame":
    """Return one row a fault, in file order."""
    import pandas as pd  # noqa: PLC0415 - importing corrosion stays light

    faults = case.ship.faults
    ceiling, _ = ceilings(case, books)
    seconds = books.seconds
    one = np.ones_like(seconds)
    amps = np.divide(books.charge, seconds, out=0.0 * one, where=seconds > 0.0)
    share = np.divide(
        books.water_charge, books.charge, out=0.0 * one, where=books.charge > 0.0
    )
    pick = lesson.shared
    statistics = _columns(
        {
            "hours": seconds[pick] / HOUR,
            "resistance_ohm": case.faults.resistance[pick],
            "amps": amps[pick],
            "water_share": np.minimum(share[pick], 1.0),
            "charge_ah": books.charge[pick] / HOUR,
            "kg": books.fault_kg[pick],
            "ceiling_kg": ceiling[pick],
        }
    )
    spans = case.faults.spans
    end = np.minimum(spans.ended, case.clock.as_of)
    return pd.DataFrame(
        {
            "fault": [f.fault for f in faults],
            "zone": _texts(f.zone for f in faults),
            "system": _texts(f.system for f in faults),
            "circuit": _texts(f.circuit for f in faults),
            "conductor": _texts(f.readings.conductor for f in faults),
            "source": [f.source for f in faults],
            "current": [f.current for f in faults],
            "standing": [f.cleared is None for f in faults],
            "last_good": _texts(
                f.last_good.text if f.last_good else None for f in faults
            ),
            "found": [f.found.text for f in faults],
            "cleared": _texts(f.cleared.text if f.cleared else None for f in faults),
            "start": _days(np.median(spans.began, axis=0)),
            "found_at": _days(np.median(spans.found, axis=0)),
            "end": _days(np.median(end, axis=0)),
            "remark": [f.remark for f in faults],
            **statistics,
        }
    )


def _texts(values: Iterable[str | None]) -> "pd.Series[str]":
    """Return a column in which not known stays None."""
    import pandas as pd  # noqa: PLC0415 - importing corrosion stays light

    return pd.Series(list(values), dtype=object)


def _due(moment: float) -> str | None:
    return None if math.isnan(moment) else day_of(moment).isoformat()


def _days(moments: Array) -> "pd.Series[pd.Timestamp]":
    import pandas as pd  # noqa: PLC0415 - importing corrosion stays light

    return pd.Series(np.floor(moments).astype("datetime64[s]"))


def totals(case: Case, books: Books, lesson: Lesson) -> dict[str, dict[str, float]]:
    """Return sums over the ship, each with mean, p10, p50 and p90."""
    ceiling, _ = ceilings(case, books)
    charge = books.charge.sum(axis=1)[lesson.shared]
    water = books.water_charge.sum(axis=1)[lesson.shared]
    share = np.divide(water, charge, out=np.zeros_like(charge), where=charge > 0.0)
    samples = {
        "stray_kg": lesson.total(books.stray_kg),
        "natural_kg": lesson.total(books.natural_kg),
        "couple_kg": lesson.total(books.couple_kg),
        "ceiling_kg": ceiling.sum(axis=1)[lesson.shared],
        "charge_ah": charge / HOUR,
        "water_share": np.minimum(share, 1.0),
    }
    return {
        name: {key: float(x) for key, x in summarise(values).items()}
        for name, values in samples.items()
    }


def plain(value: Any) -> Any:
    """Return a value that JSON can carry; not known is None."""
    if isinstance(value, np.generic | np.ndarray):  # an array of one number
        value = value.item()
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value


def records(table: "pd.DataFrame") -> list[dict[str, Any]]:
    """Return a table's rows, each by its column names."""
    return [dict(zip(table.columns, row, strict=True)) for row in table.values.tolist()]


def nested(row: Mapping[str, Any], names: Mapping[str, bool]) -> dict[str, Any]:
    """Return a table's row as an object; True marks a summed-up quantity."""
    return {
        name: (
            {key: plain(row[f"{name}_{key}"]) for key in STATISTICS}
            if summed
            else plain(row[name])
        )
        for name, summed in names.items()
    }


_ZONE_KEYS = {
    "zone": False,
    "rank": False,
    "priority": False,
    "stray_kg": True,
    "natural_kg": True,
    "couple_kg": True,
    "bare_loss_mm": True,
    "stray_mm": True,
    "deepest_mm": True,
    "left_mm": True,
    "left_under_pit_mm": True,
    "chance_below_limit": False,
    "chance_in_first": False,
    "inspect_by": False,
    "leading_fault": False,
    "leading_cause": False,
    "substantial_chance": False,
    "ceiling_kg": True,
}
_FAULT_KEYS = {
    "fault": False,
    "zone": False,
    "hours": True,
    "resistance_ohm": True,
    "amps": True,
    "current": False,
    "water_share": True,
    "charge_ah": True,
    "kg": True,
    "ceiling_kg": True,
    "standing": False,
}


def as_json(result: "Estimate") -> dict[str, Any]:
    """Return an estimate as the object that ``corrosion estimate --json`` prints."""
    first = result.zones["zone"].iloc[0]
    return {
        "ship": result.ship.name,
        "as_of": result.as_of.isoformat(),
        "horizon": result.horizon.isoformat(),
        "samples": result.samples,
        "seed": result.seed,
        "warnings": list(result.warnings),
        "totals": result.totals,
        "zones": [nested(row, _ZONE_KEYS) for row in records(result.zones)],
        "measure_next": [
            {"zone": first, "measure": what, "share": plain(share)}
            for what, share in to_measure(result.narrowing(first))
        ],
        "faults": [nested(row, _FAULT_KEYS) for row in records(result.faults)],
    }
