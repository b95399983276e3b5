"""The water as the hull sees it: a matrix of resistances between zones."""

from dataclasses import dataclass

import numpy as np

from corrosion.foundation.cache import remembered
from corrosion.foundation.errors import InputError
from corrosion.foundation.types import Array, IntArray
from corrosion.hull.geometry.hull_lines import fit_hull_lines
from corrosion.hull.geometry.panels import hull_panels, zone_area_and_centre
from corrosion.hull.water.boundary_elements import group_resistance
from corrosion.hull.water.seawater import FRESH, resistivity
from corrosion.hull.water.spheroids import (
    Spheroids,
    between_spheroids,
    spheroids_to_points,
)
from corrosion.records.ship import WETTED, Ship, Water, Zone

_VERSION = 3  # of mesh and solution; a new one leaves what is kept unread


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterBody:
    """What the sea around the hull does to a current."""

    # shape (n,): positions in ``ship.zones`` of the zones that conduct into the sea,
    # ascending: immersed or tidal, with some part below the waterline
    zones: IntArray
    # shape (zones,): plate area facing the water, or whatever it faces, of every zone:
    # as written, else from the form [m²]
    area: Array
    # shape (zones, 3): centre of every zone: x from the forward perpendicular aft, y to
    # starboard, z up from the waterline [m]
    centre: Array
    # shape (n, n): potential of one zone, the mean over its area, for each ampere that
    # leaves another, spread evenly over it; symmetric [Ω]
    matrix: Array
    remote: float  # whole wetted surface as one electrode to remote earth [Ω]
    displacement: float  # displaced volume [m³]
    wetted: float  # wetted surface of the form [m²]
    resistivity: float  # of the water, at which ``matrix`` and ``remote`` hold [Ω·m]
    # largest asymmetry that was averaged away, relative to the diagonal [-]
    asymmetry: float


def resistivity_of(water: Water) -> float:
    """Return the resistivity of the water, as written or from its salinity.

    Parameters
    ----------
    water : Water
        What ship.toml says; a written resistivity wins.

    Returns
    -------
    float
        Resistivity. [Ω·m]

    Raises
    ------
    InputError
        If neither is written, or the water is fresh and has no resistivity.
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
    r"""Return the water around a ship.

    From the user's cache where this hull has been solved before.

    Raises InputError if the form is impossible, the water's resistivity is not known,
    or she would lie aground.

    Notes
    -----
    Zones of the shell are solved by boundary elements. A part with a joint, or a zone
    that lies outside the form, is a prolate spheroid of its own area and longest extent
    at its centre (a sphere where it is as broad as long), mirrored in the surface and
    the bed. The shell's currents act on it, and its on the shell, as if water filled
    the hull. That is exact far off and falls short by up to a half close by, where the
    resistance of the bare metal's surface counts for far more.
    """
    rho, depth = resistivity_of(ship.water), ship.water.depth
    if depth is not None and not depth > ship.form.draught:
        msg = (
            f"[water]: depth_m must exceed the draught of {ship.form.draught:g} m, got "
            f"{depth:g} m. Give the depth while she is afloat."
        )
        raise InputError(msg)
    facts = [_geometry(row) for row in ship.zones]
    bed = ship.assumptions.value("seabed_resistivity_factor")
    # Another numpy rounds otherwise: digits must not depend on which one came first.
    key = (_VERSION, np.__version__, ship.form, facts, depth, bed)
    kept = remembered(key, lambda: _solve(ship, bed))
    return WaterBody(
        zones=kept["zones"].astype(np.int64),
        area=kept["area"],
        centre=kept["centre"],
        matrix=rho * kept["matrix"],
        remote=rho * float(kept["remote"]),
        displacement=float(kept["displacement"]),
        wetted=float(kept["wetted"]),
        resistivity=rho,
        asymmetry=float(kept["asymmetry"]),
    )


def _geometry(zone: Zone) -> tuple[object, ...]:
    """All of a zone that a water body depends on."""
    place = zone.frame_from, zone.frame_to, zone.side, zone.top, zone.bottom
    return *place, zone.area, zone.exposure in WETTED, zone.bond is not None


def _solve(ship: Ship, bed: float) -> dict[str, Array]:
    """All that a water body holds, for water of 1 Ω·m."""
    lines, depth = fit_hull_lines(ship.form), ship.water.depth
    patches = [zone_area_and_centre(lines, ship.form, row) for row in ship.zones]
    written = [row.area for row in ship.zones]
    area = np.array(
        [
            drawn if own is None else own
            for own, (drawn, _) in zip(written, patches, strict=True)
        ]
    )
    centre = np.array([middle for _, middle in patches]).reshape(-1, 3)
    zones = np.flatnonzero([_conducts(row) for row in ship.zones])
    mesh = hull_panels(ship.form, ship.zones)
    shell = np.isin(zones, mesh.zone)
    group = np.where(mesh.zone < 0, -1, np.searchsorted(zones[shell], mesh.zone))
    solved = group_resistance(mesh.corners, group, 1.0, depth=depth, bed=bed)
    apart = zones[~shell]
    extent = np.array([_extent(ship.zones[k], ship.form.frame_spacing) for k in apart])
    parts = Spheroids.of_parts(centre[apart], area[apart], extent.reshape(-1, 3))
    across = spheroids_to_points(parts, mesh.corners.mean(axis=1), depth, bed)
    weight = mesh.area[:, None] * (mesh.zone[:, None] == zones[shell])
    mutual = across @ (weight / weight.sum(axis=0))
    matrix = np.empty((len(zones), len(zones)))
    matrix[np.ix_(shell, shell)] = solved.matrix
    matrix[np.ix_(~shell, shell)] = mutual
    matrix[np.ix_(shell, ~shell)] = mutual.T
    matrix[np.ix_(~shell, ~shell)] = between_spheroids(parts, depth, bed)
    return {
        "zones": zones.astype(np.float64),
        "area": area,
        "centre": centre,
        "matrix": matrix,
        "remote": np.array(solved.remote),
        "displacement": np.array(mesh.volume),
        "wetted": np.array(mesh.area.sum()),
        "asymmetry": np.array(solved.asymmetry),
    }


def _extent(zone: Zone, spacing: float) -> Array:
    """Return a part's longest extent, fore and aft or up and down [m]."""
    along = abs(zone.frame_to - zone.frame_from) * spacing
    down = abs(zone.bottom - zone.top)
    return np.array([along, 0.0, 0.0]) if along >= down else np.array([0.0, 0.0, down])


def _conducts(zone: Zone) -> bool:
    return zone.exposure in WETTED and max(zone.top, zone.bottom) > 0.0
