"""The water as the hull sees it: a matrix of resistances between zones."""

from dataclasses import dataclass

import numpy as np

from corrosion.errors import InputError
from corrosion.hull.seawater import FRESH, resistivity
from corrosion.records.ship import WETTED, Ship, Water, Zone
from corrosion.types import Array, IntArray

__all__ = ["WaterBody", "resistivity_of", "water_body"]


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterBody:
    """What the sea around the hull does to a current.

    Attributes
    ----------
    zones : ndarray of int, shape (n,)
        Positions in ``ship.zones`` of the zones that conduct into the sea, ascending:
        immersed or tidal, with some part below the waterline.
    area : ndarray, shape (zones,)
        Plate area facing the water, or whatever it faces, of every zone: as written,
        else from the form. [m²]
    centre : ndarray, shape (zones, 3)
        Centre of every zone: x from the forward perpendicular aft, y to starboard,
        z up from the waterline. [m]
    matrix : ndarray, shape (n, n)
        Potential of one zone, the mean over its area, for each ampere that leaves
        another, spread evenly over it; symmetric. [Ω]
    remote : float
        Whole wetted surface as one electrode to remote earth. [Ω]
    displacement : float
        Displaced volume. [m³]
    wetted : float
        Wetted surface of the form. [m²]
    resistivity : float
        Of the water, at which ``matrix`` and ``remote`` hold. [Ω·m]
    asymmetry : float
        Largest asymmetry that was averaged away, relative to the diagonal. [-]
    """

    zones: IntArray
    area: Array
    centre: Array
    matrix: Array
    remote: float
    displacement: float
    wetted: float
    resistivity: float
    asymmetry: float


def resistivity_of(water: Water) -> float:
    """Return the resistivity of the water, as written or from its salinity.

    Raises
    ------
    InputError
        If neither is written, or the water is fresh. [Ω·m]
    """
    if water.resistivity is not None:
        return water.resistivity
    if water.salinity is None or water.temperature is None:
        msg = (
            "[water]: needs resistivity_ohm_m (Ω·m), or salinity_g_per_kg (g/kg) with "
            "temperature_c (°C), got neither. Write one of them in ship.toml."
        )
        raise InputError(msg)
    if water.salinity < FRESH:
        msg = (
            f"[water]: salinity_g_per_kg must be at least {FRESH:g} g/kg for the "
            f"seawater formula, got {water.salinity:g} g/kg. For fresh water give "
            "resistivity_ohm_m (river water is often 10 to 100 Ω·m)."
        )
        raise InputError(msg)
    return float(resistivity(water.salinity, water.temperature))


def water_body(ship: Ship) -> WaterBody:
    """Return the water around a ship, each zone a hemisphere of its own area."""
    form, rho = ship.form, resistivity_of(ship.water)
    displacement = form.block_coefficient * form.length * form.beam * form.draught
    wetted = 1.7 * form.length * form.draught + displacement / form.draught
    centre = np.array([_centre(row, ship) for row in ship.zones]).reshape(-1, 3)
    area = np.array([_area(row, ship) for row in ship.zones])
    zones = np.array(
        [k for k, row in enumerate(ship.zones) if _conducts(row)], dtype=np.int64
    )
    radius = np.sqrt(area[zones] / (2.0 * np.pi))
    gap = np.linalg.norm(centre[zones, None] - centre[None, zones], axis=-1)
    apart = np.maximum(gap, np.add.outer(radius, radius))
    np.fill_diagonal(apart, radius)
    return WaterBody(
        zones=zones,
        area=area,
        centre=centre,
        matrix=rho / (2.0 * np.pi * apart),
        remote=rho / np.sqrt(2.0 * np.pi * wetted),
        displacement=displacement,
        wetted=wetted,
        resistivity=rho,
        asymmetry=0.0,
    )


def _conducts(zone: Zone) -> bool:
    return zone.exposure in WETTED and max(zone.top, zone.bottom) > 0.0


def _centre(zone: Zone, ship: Ship) -> tuple[float, float, float]:
    side = {"port": -1.0, "centre": 0.0, "starboard": 1.0}[zone.side]
    x = 0.5 * (zone.frame_from + zone.frame_to) * ship.form.frame_spacing
    return x, 0.5 * side * ship.form.beam, -0.5 * (zone.top + zone.bottom)


def _area(zone: Zone, ship: Ship) -> float:
    if zone.area is not None:
        return zone.area
    length = abs(zone.frame_to - zone.frame_from) * ship.form.frame_spacing
    height = abs(zone.bottom - zone.top)
    return length * (height + ship.form.beam if zone.side == "centre" else height)
