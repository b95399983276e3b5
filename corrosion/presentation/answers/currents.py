"""Where an ampere goes: what leaves each zone into the water, at one berth."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from corrosion.foundation.types import Array
from corrosion.foundation.units import MILLIAMPERE
from corrosion.history.anodes_in_time import anodes_act
from corrosion.history.inputs import ModelInputs
from corrosion.history.natural_rate import flow_factor
from corrosion.history.protected_paths import ProtectedPaths, paths_at
from corrosion.hull.geometry.panels import Panels, hull_panels
from corrosion.hull.injection import source_transfer
from corrosion.hull.own_metals import has_own_metals, median_metals, own_metals
from corrosion.hull.uncertain import median_paths
from corrosion.hull.water_currents import water_currents
from corrosion.leakage.fault_currents import returns_ashore
from corrosion.presentation.format import number, percent
from corrosion.records.ship import Berth
from corrosion.results import Estimate

if TYPE_CHECKING:
    import pandas as pd

COUPLE = "no ampere: the couple with the shore earth alone"
"""Stands for an injection of nothing."""

OWN_METALS = "no ampere: her own metals alone"
"""Stands for a ship that is tied to no shore."""

FAULTS = "her faults: direct currents of those that stand"
"""Stands for all standing faults at once."""

ANODES = "no ampere: her anodes alone"
"""Stands for a ship whose anodes and metals drive what flows."""

CAUSES = (COUPLE, OWN_METALS, FAULTS, ANODES)
"""What drives current out of her and into her beside one ampere."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Leaving:
    """What leaves the steel into the water."""

    # `zone`, `name`, `leaving_ma` [mA], `density_ma_per_m2` [mA/m²] and `area_m2`; a
    # row a zone; negative where current enters the steel
    table: "pd.DataFrame"
    # share of the injected ampere that leaves steel into the water anywhere; of one of
    # `CAUSES` its current, of anodes what enters the hull. [-], [A]
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
        Where the ampere enters the steel; one of :data:`CAUSES`: what that drives
        alone is shown.

    Returns
    -------
    Leaving
        Coating as last seen, unknowns at their medians, the interface of steel and
        water linear (the estimate lets it bend where that misses). An ampere returns
        ashore on an earthed shore supply, else aboard through the cables. Her own
        metals by the law of each, with no protection. Where anodes act, couple and
        faults are means of the samples among them, as new or as last seen.
    """
    import pandas as pd  # noqa: PLC0415 - slow, and nothing printed needs it

    ship, inputs = result.ship, result.inputs
    lain = ship.berths[berth]
    nothing = np.zeros(len(ship.zones))
    if zone == OWN_METALS:
        amps = _own_metals(inputs, lain)
    elif zone in CAUSES:
        amps = _sampled(result, lain, zone)
    else:
        injected = nothing - (0.0 if lain.supply == "shore earthed" else inputs.cables)
        injected[ship.zone_index(zone)] += 1.0
        # The couple flows whether the ampere does or not; with a linear interface what
        # the ampere does is the difference of the two solutions.
        couple = water_currents(inputs.hull, nothing, lain)
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
    size = np.maximum(-amps if zone == ANODES else amps, 0.0)
    return Leaving(table=table, share=float(size.sum()))


def causes_of(result: Estimate) -> tuple[str, ...]:
    """Return those of :data:`CAUSES` that a ship can have."""
    acting = anodes_act(result.ship)
    return tuple(cause for cause in CAUSES if cause != ANODES or acting)


_DRIVEN: Final = {
    COUPLE: "The couple with the shore earth drives {} A out of the hull into the "
    "water here.",
    FAULTS: "The direct currents of the faults that stand drive {} A out of the hull "
    "into the water here.",
    ANODES: "Her anodes drive {} A into the hull here: it enters nearly everywhere, "
    "and protects where it enters bare steel.",
    OWN_METALS: "Her own metals drive {} A out of the hull and into each other here.",
}


def leaving_words(gone: Leaving, berth: Berth, zone: str) -> str:
    """Return what :func:`leaving` found, in a sentence."""
    if zone in _DRIVEN:
        return _DRIVEN[zone].format(number(gone.share))
    back = "ashore" if berth.supply == "shore earthed" else "aboard, through the cables"
    return (
        f"Of an ampere that enters at {zone} and returns {back}, "
        f"{percent(gone.share)} crosses the water."
    )


def _sampled(result: Estimate, berth: Berth, cause: str) -> Array:
    """Return what couple, standing faults or anodes drive out of each zone, (zones,).

    Today, a mean of the samples. [A]
    """
    inputs = result.inputs
    amps, wet = np.zeros(len(inputs.ship.zones)), inputs.hull.body.zones
    routes = paths_at(inputs, berth, inputs.time_grid.as_of)
    if cause == ANODES:
        held = routes.held(0)
        if held is not None and isinstance(routes, ProtectedPaths):
            state, count = routes.state(0), len(wet)
            leaving = state.area[:, :count] * (held.protected + state.own_metals)
            amps[wet] = leaving.mean(axis=0)
        return amps
    solved = routes.solved(0, 0.0)
    if cause == COUPLE:
        amps[wet] = solved.couple.mean(axis=0)
        return amps
    stand = result.fault_table.columns["standing"]
    size = result.fault_table.columns["amps_dc_mean"]
    which = np.flatnonzero(stand & (size != 0.0))
    if which.size:
        ashore = returns_ashore(inputs.ship, berth)[which]
        entry, back = inputs.entry[:, which], inputs.back[:, which]
        per_ampere = source_transfer(solved, entry, ashore, inputs.cables, back)
        amps[wet] = size[which] @ per_ampere.mean(axis=0)
    return amps


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


def panels(result: Estimate, table: "pd.DataFrame") -> tuple[Array, Array]:
    """Return the panels of the wetted hull and the current density of each.

    ``table``: of :func:`leaving`. Corners of the panels, shape
    (n, 4, 3) [m], and density out of the steel, zero on panels of no zone [mA/m²].
    """
    mesh: Panels = hull_panels(result.ship.form, result.ship.zones)
    by_zone = table["density_ma_per_m2"].to_numpy(dtype=np.float64)
    return mesh.corners, np.where(mesh.zone < 0, 0.0, by_zone[mesh.zone])
