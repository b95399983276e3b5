"""What to have done in dock: plates to renew, to gauge, anodes, joints, paint."""

from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from corrosion.estimate import Estimate
from corrosion.foundation.json_values import json_value, rows
from corrosion.foundation.types import Array
from corrosion.records.ship import Anode
from corrosion.wastage.metals import metal

__all__ = ["Docking", "diminution", "docking_list"]


_GAUGE: Final = 0.05  # judgement: chance from which it is listed to be gauged first
_BARE: Final = (
    0.1  # judgement: share of bare steel from which a zone is listed to be painted
)
_UNDERWATER: Final = ("immersed", "tidal", "splash")


@dataclass(frozen=True, slots=True, kw_only=True)
class Docking:
    """The list for the yard, as rows for people.

    Attributes
    ----------
    renew, gauge, paint : list of dict
        Zones: ``zone``, ``name``, ``chance``, ``area_m2``, ``kg``, ``built_mm``,
        ``limit_mm``, ``left_mm`` and ``diminution_percent`` (p10, p50, p90),
        ``bare_percent``.
    joints : list of dict
        Parts fastened over a joint: ``zone``, ``name``, ``ohm`` (bond), ``bonded_to``.
    anodes : list of dict
        ``anode``, ``zone``, ``count``, ``metal``, ``fitted``, ``left_percent``,
        ``seen``; None where not written.
    area_m2, kg : tuple of float
        Median and p90 of what will lie below a limit at the docking. [m²], [kg]
    """

    renew: list[dict[str, Any]]
    gauge: list[dict[str, Any]]
    paint: list[dict[str, Any]]
    joints: list[dict[str, Any]]
    anodes: list[dict[str, Any]]
    area_m2: tuple[float, float]
    kg: tuple[float, float]


def docking_list(result: Estimate) -> Docking:
    """Return what the next docking is to do, by the estimate and the records.

    A plate goes on the list to be renewed where it is likelier than not to lie below a
    limit by then, and on that to be gauged where that is possible: it is gauged before
    it is cut. What lies below a limit is counted sample by sample, so that plates that
    go together stay together.
    """
    ship, outlook = result.ship, result.outlook
    likely = ship.assumptions.value("renewal_chance")
    below = _below(result)
    area = result.inputs.hull.body.area
    mass = area * np.array([z.built * metal(z.metal).density for z in ship.zones])
    places = {zone.zone: k for k, zone in enumerate(ship.zones)}
    zones = [
        _zone(row, float(mass[places[row["zone"]]]))
        | {"chance": float(outlook.chance_ahead[places[row["zone"]]])}
        for row in rows(result.zones)
    ]
    zones.sort(key=lambda row: -row["chance"])
    return Docking(
        renew=[row for row in zones if row["chance"] >= likely],
        gauge=[row for row in zones if _GAUGE <= row["chance"] < likely],
        paint=sorted(
            (
                row
                for row in zones
                if row["exposure"] in _UNDERWATER
                and row["bare_percent"] >= 100.0 * _BARE
            ),
            key=lambda row: -float(row["bare_percent"]),
        ),
        joints=[
            {
                "zone": zone.zone,
                "name": zone.name,
                "ohm": zone.bond,
                "bonded_to": zone.bonded_to,
            }
            for zone in ship.zones
            if zone.bond is not None
        ],
        anodes=[_anode(one) for one in ship.anodes],
        area_m2=_median_and_p90(below @ area),
        kg=_median_and_p90(below @ mass),
    )


def _below(result: Estimate) -> Array:
    """Return 1 where a zone lies below a limit at the docking, (samples, zones)."""
    outlook, zones = result.outlook, result.ship.zones
    limit = np.array([zone.limit for zone in zones])
    pit_limit = np.array([zone.pit_limit for zone in zones])
    below = (outlook.left_ahead < limit) | (outlook.under_pit_ahead < pit_limit)
    return np.asarray(below, np.float64)


def _median_and_p90(values: Array) -> tuple[float, float]:
    middle, high = np.quantile(values, [0.5, 0.9])
    return float(middle), float(high)


def diminution(built_mm: float, left_mm: float) -> float:
    """Return what a plate has lost in per cent of as built.

    Examples
    --------
    >>> diminution(12.0, 9.6)
    20.0
    """
    return round(100.0 * (1.0 - left_mm / built_mm), 9)


def _zone(row: dict[str, Any], mass: float) -> dict[str, Any]:
    left = {key: float(row[f"left_mm_{key}"]) for key in ("p10", "p50", "p90")}
    built = float(row["built_mm"])
    lost = {
        one: max(diminution(built, left[other]), 0.0)
        for one, other in (("p10", "p90"), ("p50", "p50"), ("p90", "p10"))
    }
    return {
        "zone": row["zone"],
        "name": row["name"],
        "exposure": row["exposure"],
        "area_m2": float(row["area_m2"]),
        "kg": mass,
        "built_mm": built,
        "limit_mm": float(row["limit_mm"]),
        "left_mm": left,
        "diminution_percent": lost,
        "allowed_percent": diminution(built, float(row["limit_mm"])),
        "bare_percent": 100.0 * float(row["bare_share"]),
        "inspect_by": json_value(row["inspect_by"]),
        "access": row["access"],
    }


def _anode(one: Anode) -> dict[str, Any]:
    last = max(one.looks, key=lambda look: look.seen.middle, default=None)
    return {
        "anode": one.anode,
        "zone": one.zone,
        "count": one.count,
        "metal": one.metal,
        "fitted": None if one.fitted is None else one.fitted.text,
        "left_percent": None if last is None else 100.0 * last.left,
        "seen": None if last is None else last.seen.text,
    }
