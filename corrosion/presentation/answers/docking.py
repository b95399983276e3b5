"""What to have done in dock: plates to renew, to gauge, anodes, joints, paint."""

from typing import Any, Final

import numpy as np

from corrosion.foundation.json_values import json_value
from corrosion.foundation.types import Array
from corrosion.presentation.answers.dangers import dangers_of
from corrosion.records.ship import Anode
from corrosion.results import Estimate
from corrosion.wastage.metals import metal

_BARE: Final = (
    0.1  # judgement: share of bare steel from which a zone is listed to be painted
)
_UNDERWATER: Final = ("immersed", "tidal", "splash")


def docking_result(result: Estimate) -> dict[str, Any]:
    """Return what the next docking is to do, by the estimate and the records.

    A plate goes on the list to be renewed where it is likelier than not to lie below a
    limit by then, and on that to be gauged where that is possible: it is gauged before
    it is cut. What lies below a limit is counted sample by sample, so that plates that
    go together stay together.

    Returns ``ship``, ``as_of``, ``horizon``, ``samples``, ``seed``, ``dangers``,
    ``warnings``; ``renew``, ``gauge`` and ``paint``, a row a zone (``zone``, ``name``,
    ``chance``, ``area_m2``, ``kg``, ``built_mm``, ``limit_mm``, ``left_mm`` and
    ``diminution_percent`` with p10, p50, p90, ``allowed_percent``, ``bare_percent``);
    ``joints`` (``zone``, ``name``, ``bond_ohm``, ``bonded_to``); ``anodes`` (``anode``,
    ``zone``, ``count``, ``metal``, ``fitted``, ``left_percent``, ``seen``; None where
    not written); ``area_m2`` and ``kg``, p50 and p90 of what will lie below a limit.
    """
    ship, outlook = result.ship, result.outlook
    likely = ship.assumptions.value("renewal_chance")
    open_ = ship.assumptions.value("gauge_again_chance")
    below = _below(result)
    area = result.inputs.hull.body.area
    mass = area * np.array([z.built * metal(z.metal).density for z in ship.zones])
    places = {zone.zone: k for k, zone in enumerate(ship.zones)}
    zones = [
        _zone(row, float(mass[places[row["zone"]]]))
        | {"chance": float(outlook.chance_ahead[places[row["zone"]]])}
        for row in result.zone_table.rows
    ]
    zones.sort(key=lambda row: -row["chance"])
    bare = [
        row
        for row in zones
        if row["exposure"] in _UNDERWATER and row["bare_percent"] >= 100.0 * _BARE
    ]
    joints = [
        {
            "zone": zone.zone,
            "name": zone.name,
            "bond_ohm": zone.bond,
            "bonded_to": zone.bonded_to,
        }
        for zone in ship.zones
        if zone.bond is not None
    ]
    return {
        "ship": ship.name,
        "as_of": result.as_of.isoformat(),
        "horizon": result.horizon.isoformat(),
        "samples": result.samples,
        "seed": result.seed,
        "warnings": list(result.warnings),
        "dangers": dangers_of(result),
        "renew": [row for row in zones if row["chance"] >= likely],
        "gauge": [row for row in zones if open_ <= row["chance"] < likely],
        "paint": sorted(bare, key=lambda row: -float(row["bare_percent"])),
        "joints": joints,
        "anodes": [_anode(one) for one in ship.anodes],
        "area_m2": _median_and_p90(below @ area),
        "kg": _median_and_p90(below @ mass),
    }


def _below(result: Estimate) -> Array:
    """Return 1 where a zone lies below a limit at the docking, (samples, zones)."""
    outlook, zones = result.outlook, result.ship.zones
    limit = np.array([zone.limit for zone in zones])
    pit_limit = np.array([zone.pit_limit for zone in zones])
    # Either limit fails the plate; counted per sample, since zones thin together.
    below = (outlook.left_ahead < limit) | (outlook.under_pit_ahead < pit_limit)
    return np.asarray(below, np.float64)


def _median_and_p90(values: Array) -> dict[str, float]:
    middle, high = np.quantile(values, [0.5, 0.9])
    return {"p50": float(middle), "p90": float(high)}


def _diminution(built_mm: float, left_mm: float) -> float:
    """Return what a plate has lost in per cent of as built."""
    return round(100.0 * (1.0 - left_mm / built_mm), 9)


def _zone(row: dict[str, Any], mass: float) -> dict[str, Any]:
    left = {key: float(row[f"left_mm_{key}"]) for key in ("p10", "p50", "p90")}
    built = float(row["built_mm"])
    # Most is lost where least is left: the quantiles change places.
    lost = {
        one: max(_diminution(built, left[other]), 0.0)
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
        "allowed_percent": _diminution(built, float(row["limit_mm"])),
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
