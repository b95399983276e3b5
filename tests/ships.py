"""Invented ships for tests, built in a line and changed with ``replace``."""

from dataclasses import replace
from typing import Any, Final

import numpy as np

from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.types import Array
from corrosion.foundation.units import MAINS
from corrosion.hull.geometry.borders import shell_mesh
from corrosion.hull.model import Hull
from corrosion.hull.plating import joints_of, steel_resistance
from corrosion.hull.uncertain import PathUnknowns, median_paths
from corrosion.hull.water.water_body import WaterBody
from corrosion.records.dates import When, as_written
from corrosion.records.ship import (
    Berth,
    Fault,
    Form,
    Readings,
    Ship,
    Side,
    System,
    Water,
    Zone,
)

ALTERNATING_ALONE: Final = default_assumptions().override(
    "direct_source_chance", median=1e-9, why="no fault of hers has a direct source"
)
FORM: Final = Form(
    length=24.0, beam=6.0, draught=2.0, block_coefficient=0.6, frame_spacing=0.5
)
AC: Final = System(
    name="power",
    kind="ac3",
    volts=440.0,
    hertz=60.0,
    capacitance=1e-6,
    insulation=4e5,
    switchboard_zone="AS",
)
DC: Final = System(
    name="battery", kind="dc2", volts=110.0, insulation=2e4, switchboard_zone="AS"
)
OTHER_SIDE: Final[dict[Side, Side]] = {
    "port": "starboard",
    "starboard": "port",
    "centre": "centre",
}


def zone(name: str, frames: tuple[float, float], side: Side, **more: Any) -> Zone:
    """Return a zone of the shell from the waterline to the keel."""
    facts: dict[str, Any] = {
        "name": f"invented {name}",
        "top": 0.0,
        "bottom": 2.0,
        "exposure": "immersed",
        "built": 0.010,
        "limit": 0.007,
        "pit_limit": 0.005,
        "bare": 0.2,
        "bare_seen": as_written("2020-06-01"),
        "painted": as_written("2015-05"),
    }
    return Zone(
        zone=name,
        frame_from=frames[0],
        frame_to=frames[1],
        side=side,
        **(facts | more),
    )


ZONES: Final = (
    zone("FP", (0, 24), "port"),
    zone("FS", (0, 24), "starboard", bare=0.1),
    zone("AP", (24, 48), "port", bare=0.3),
    zone("AS", (24, 48), "starboard", bare=0.05, consequence=5),
    zone(
        "RUD",
        (46, 48),
        "centre",
        area=1.5,
        bare=0.5,
        bond=0.02,
        bonded_to="AS",
        top=0.5,
    ),
    zone("BLG", (30, 40), "centre", exposure="bilge", area=6.0, top=1.8),
)


def when(text: str | None) -> When | None:
    """Return a date as written, or None."""
    return None if text is None else as_written(text)


def fault(  # noqa: PLR0913 - a row of the log
    name: str,
    found: str,
    cleared: str | None = None,
    *,
    good: str | None = None,
    amps: float | None = None,
    conductor: str | None = None,
    insulation: float | None = None,
    **more: Any,
) -> Fault:
    """Return a fault: of the alternating-current system where nothing else is said."""
    facts: dict[str, Any] = {"system": "power", "zone": "FP", "current": "ac"}
    read = Readings(conductor=conductor, amps=amps, insulation=insulation)
    return Fault(
        fault=name,
        found=as_written(found),
        cleared=when(cleared),
        last_good=when(good),
        readings=read,
        **(facts | more),
    )


def current(name: str, found: str, cleared: str, amps: float, **more: Any) -> Fault:
    """Return a measured direct current that no system of hers drives."""
    facts: dict[str, Any] = {"system": None, "source": "other", "current": "dc"}
    return fault(name, found, cleared, amps=amps, **(facts | more))


def berth(
    start: str | None, end: str | None, supply: Any = "own", **more: Any
) -> Berth:
    """Return a berth."""
    facts: dict[str, Any] = {"berth": "an invented quay"}
    return Berth(start=when(start), end=when(end), supply=supply, **(facts | more))


def ship(**more: Any) -> Ship:
    """Return a small invented ship in seawater, two systems, no faults."""
    facts: dict[str, Any] = {
        "name": "Teal",
        "form": FORM,
        "water": Water(resistivity=0.25),
        "built": as_written("2000-01-01"),
        "next_docking": as_written("2027-06-01"),
        "zones": ZONES,
        "systems": (AC, DC),
        "berths": (berth(None, None),),
    }
    return Ship(**(facts | more))


def mirrored(one: Ship) -> Ship:
    """Return the ship with port and starboard exchanged."""
    return replace(
        one,
        zones=tuple(replace(z, side=OTHER_SIDE[z.side]) for z in one.zones),
        berths=tuple(
            b
            if b.shore_side is None
            else replace(b, shore_side=OTHER_SIDE[b.shore_side])
            for b in one.berths
        ),
    )


def invented_body(one: Ship, *, rho: float = 0.25) -> WaterBody:
    """Return a water body of equal-area hemispheres, without the panels.

    A symmetric, diagonally dominant matrix: rho/2πa of each and rho/2πd between them.
    """
    wet = np.flatnonzero([z.exposure in ("immersed", "tidal") for z in one.zones])
    area = np.array([10.0 if z.area is None else z.area for z in one.zones])
    side = {"port": -1.0, "centre": 0.0, "starboard": 1.0}
    spacing = one.form.frame_spacing
    centre = np.array(
        [
            [
                0.5 * (z.frame_from + z.frame_to) * spacing,
                side[z.side] * 2.5,
                -0.5 * (z.top + z.bottom),
            ]
            for z in one.zones
        ]
    )
    apart = np.linalg.norm(centre[wet][:, None] - centre[wet][None], axis=-1)
    np.fill_diagonal(apart, np.sqrt(area[wet] / (2.0 * np.pi)))
    matrix = rho / (2.0 * np.pi * np.maximum(apart, 0.4))
    return WaterBody(
        zones=wet,
        area=area,
        centre=centre,
        matrix=matrix,
        remote=float(1.0 / np.linalg.inv(matrix).sum()),
        displacement=170.0,
        wetted=float(area[wet].sum()),
        resistivity=rho,
        asymmetry=0.0,
    )


def invented_hull(one: Ship, reference: int = 0) -> Hull:
    """Return a hull on `invented_body`."""
    body, mesh = invented_body(one), shell_mesh(one)
    return Hull(
        body=body,
        steel={
            hertz: steel_resistance(one, hertz, reference=reference, mesh=mesh)
            for hertz in (0.0, MAINS)
        },
        joints=joints_of(one, reference),
        reference=reference,
        bare=np.array([z.bare or 0.02 for z in one.zones]),
        beam=one.form.beam,
        length=one.form.length,
    )


def conductances_of(resistance: Array, reference: int) -> Array:
    """Conductances between zones of which the steel's resistances are those of."""
    rest = np.delete(np.arange(len(resistance)), reference)
    laplacian = np.zeros_like(resistance)
    laplacian[np.ix_(rest, rest)] = np.linalg.inv(resistance[np.ix_(rest, rest)])
    laplacian[reference] = -laplacian.sum(axis=0)
    laplacian[:, reference] = -laplacian.sum(axis=1)
    conductance = -laplacian
    np.fill_diagonal(conductance, 0.0)
    return conductance


def at_patches(hull: Hull, paths: PathUnknowns | None = None) -> Array:
    """Spreading resistance to the bare patches of each wetted zone, by hand [Ω]."""
    p = median_paths(hull.assumptions) if paths is None else paths
    wet = hull.body.zones
    bare, area = hull.bare[wet], hull.contact_area
    disk = np.pi * hull.body.resistivity * 0.1 / 4.0  # patches of 0.1 m
    steel, paint = p.interface[0], (1.0 - bare) / p.coating[0]
    narrowed = steel + disk * (1.0 - bare**0.5) ** 1.5
    both = [1.0 / (bare / ohms + paint) / area for ohms in (narrowed, steel)]
    return np.asarray(both[0] - both[1])
