"""Where an ampere goes: what leaves each zone into the water, at one berth."""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from corrosion.estimate import Estimate
from corrosion.foundation.types import Array
from corrosion.foundation.units import MILLIAMPERE
from corrosion.history.inputs import ModelInputs
from corrosion.history.natural_rate import flow_factor
from corrosion.hull.geometry.panels import Panels, hull_panels
from corrosion.hull.own_metals import has_own_metals, own_metals
from corrosion.hull.uncertain import median_metals, median_paths
from corrosion.hull.water_currents import water_currents
from corrosion.records.ship import Berth

__all__ = ["CAUSES", "COUPLE", "OWN_METALS", "Leaving", "leaving", "panels"]

COUPLE = "no ampere: the couple with the shore earth alone"
"""Stands for an injection of nothing."""

OWN_METALS = "no ampere: her own metals alone"
"""Stands for a ship that is tied to no shore."""

CAUSES = (COUPLE, OWN_METALS)
"""What drives current out of her and into her without any fault."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Leaving:
    """What leaves the steel into the water.

    Attributes
    ----------
    table : DataFrame
        ``zone``, ``name``, ``leaving_ma`` [mA], ``density_ma_per_m2`` [mA/m²] and
        ``area_m2``; a row a zone; negative where current enters the steel.
    share : float
        Share of the injected ampere that leaves steel into the water anywhere; of
        the couple or her own metals, their current. [-], [A]
    """

    table: pd.DataFrame
    share: float


def leaving(result: Estimate, berth: int, zone: str) -> Leaving:
    """Return what leaves each zone for one ampere of direct current into one.

    Parameters
    ----------
    result : Estimate
        The estimate.
    berth : int
        Position of the berth in her records.
    zone : str
        Where the ampere enters the steel; one of :data:`CAUSES`: nowhere, and what
        that drives alone is shown.

    Returns
    -------
    Leaving
        Coating as last seen, unknowns at their medians, the interface of steel and
        water linear (the estimate lets it bend where that misses). An ampere returns
        ashore on an earthed shore supply, else aboard through the cables. Her own
        metals by the law of each, with no protection.
    """
    ship, inputs = result.ship, result.inputs
    lain = ship.berths[berth]
    nothing = np.zeros(len(ship.zones))
    couple = water_currents(inputs.hull, nothing, lain)
    amps = couple
    if zone == OWN_METALS:
        amps = _own_metals(inputs, lain)
    elif zone != COUPLE:
        injected = nothing - (0.0 if lain.supply == "shore earthed" else inputs.cables)
        injected[ship.zone_index(zone)] += 1.0
        amps = water_currents(inputs.hull, injected, lain) - couple
    area = inputs.hull.body.area
    table = pd.DataFrame(
        {
            "zone": [row.zone for row in ship.zones],
            "name": [row.name for row in ship.zones],
            "leaving_ma": amps / MILLIAMPERE,
            "density_ma_per_m2": amps / MILLIAMPERE / area,
            "area_m2": area,
        }
    )
    return Leaving(table=table, share=float(np.maximum(amps, 0.0).sum()))


def _own_metals(inputs: ModelInputs, berth: Berth) -> Array:
    """Return what her own metals drive out of each zone, (zones,) [A]."""
    hull, zones = inputs.hull, inputs.ship.zones
    wet = hull.body.zones
    metals = [zones[k].metal for k in wet]
    amps = np.zeros(len(zones))
    if berth.afloat and has_own_metals(metals):
        amps[wet] = own_metals(
            hull,
            metals,
            hull.bare[None, wet],
            median_paths(hull.assumptions),
            median_metals(hull.assumptions),
            flow=float(np.median(flow_factor(inputs, berth, slice(None)))),
        ).leaving[0]
    return amps


def panels(result: Estimate, table: pd.DataFrame) -> tuple[Array, Array]:
    """Return the panels of the wetted hull and the current density of each.

    ``table``: of :func:`leaving`. Corners of the panels, shape
    (n, 4, 3) [m], and density out of the steel, zero on panels of no zone [mA/m²].
    """
    mesh: Panels = hull_panels(result.ship.form, result.ship.zones)
    by_zone = table["density_ma_per_m2"].to_numpy(dtype=np.float64)
    return mesh.corners, np.where(mesh.zone < 0, 0.0, by_zone[mesh.zone])
