"""What potentials of the hull against a half-cell tell of her steel and protection.

Freely corroding steel stands at its rest; where a protection current enters it, it is
polarised by the law of its interface (:mod:`~corrosion.hull.nonlinear.polarisation`).
Rest, interface and protection are drawn anew from many that could be, each weighed by
how well it fits what was read. That a couple of some tenths of an ampere moves a hull
by two millivolts is within the error of any reading.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from corrosion.foundation.assumptions import Assumptions
from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array
from corrosion.foundation.units import DAY
from corrosion.hull.electrodes import LAWS, STEEL
from corrosion.hull.nonlinear.polarisation import polarisation
from corrosion.hull.own_metals import MetalUnknowns, draw_metals
from corrosion.hull.uncertain import PathUnknowns, draw_paths
from corrosion.records.ship import Potential, Ship

_CANDIDATES: Final = 4096


@dataclass(frozen=True, slots=True)
class Surveyed:
    """Bare steel under one protection, as one survey read it."""

    protection: float  # written for these zones [A/m²]
    volts: float  # mean of the readings, against Ag/AgCl in seawater [V]


def hull_surveys(ship: Ship) -> tuple[Surveyed, ...]:
    """Return what was read of bare steel, a row a survey and protection.

    Readings of one day share the error of their half-cell and count as one. Other
    metals than steel and an impressed current that was on are left out: that current
    raises the water beside its anodes.
    """
    by_survey: dict[tuple[float, float], list[float]] = {}
    for row in ship.potentials:
        place = _zone(ship, row)
        if place is None or row.impressed == "on":
            continue
        zone = ship.zones[place]
        if zone.metal in STEEL:
            day = row.time.middle // DAY
            volts = against_silver(row.potential, row.electrode, ship.assumptions)
            by_survey.setdefault((day, zone.protection), []).append(volts)
    return tuple(
        Surveyed(protection, float(np.mean(volts)))
        for (_, protection), volts in sorted(by_survey.items())
    )


_CELLS: Final = {
    "Zn": ("cell_zinc_v", -1.0),
    "CSE": ("cell_copper_sulphate_v", 1.0),
    "SCE": ("cell_calomel_v", -1.0),
}
"""Half-cells and whether they stand above or below that of silver chloride."""


def against_silver(volts: float, electrode: str | None, table: Assumptions) -> float:
    """Return a potential against that of silver chloride in seawater.

    Parameters
    ----------
    volts : float
        As read. [V]
    electrode : str or None
        Half-cell against which it was read; None: silver chloride.
    table : Assumptions

    Returns
    -------
    float
        Against Ag/AgCl in seawater. [V]
    """
    if electrode not in _CELLS:
        return volts
    name, sign = _CELLS[electrode]
    return volts + sign * table.value(name)


def _zone(ship: Ship, row: Potential) -> int | None:
    """Return the zone beside which a half-cell hung; None: no zone is there."""
    if row.zone is not None:
        return ship.zone_index(row.zone)
    for place, zone in enumerate(ship.zones):
        along = zone.frame_from <= (row.frame or 0.0) <= zone.frame_to
        if along and zone.side in (row.side, "centre") and zone.metal in STEEL:
            return place
    return None


def fit_potentials(
    paths: PathUnknowns,
    metals: MetalUnknowns,
    surveys: Sequence[Surveyed],
    draws: Draws,
) -> tuple[PathUnknowns, MetalUnknowns, Array]:
    """Return interface, rest of steel and protection as potentials leave them.

    Parameters
    ----------
    paths, metals : PathUnknowns, MetalUnknowns
    surveys : sequence of Surveyed
        What was read; none leaves everything as it was.
    draws : Draws

    Returns
    -------
    paths, metals : PathUnknowns, MetalUnknowns
        With ``steel_rest`` drawn anew, and ``interface`` where some steel was read
        that a current protects.
    factor : ndarray, shape (samples,)
        Protection over that which is written. [-]
    """
    own = draws.lognormal("protection_factor", draws.block("protection", 1)[:, 0])
    if not surveys:
        return paths, metals, own
    many = replace(draws, samples=_CANDIDATES)
    interface = draw_paths(many, "potential candidates").interface
    rest = draw_metals(many).steel_rest
    u = many.block("potential candidates, protection", 1)[:, 0]
    factor = many.lognormal("protection_factor", u)
    sd = draws.value("potential_sd_v")
    cost = np.zeros(_CANDIDATES)
    for one in surveys:
        density = -one.protection * factor
        shift = polarisation(density, interface, assumptions=draws.assumptions)
        cost += 0.5 * np.square((one.volts - LAWS["steel"].rest - rest - shift) / sd)
    heap = np.cumsum(np.exp(cost.min() - cost))
    pick = draws.block("potential evidence", 1)[:, 0]
    chosen = np.minimum(np.searchsorted(heap, heap[-1] * pick), _CANDIDATES - 1)
    metals = replace(metals, steel_rest=rest[chosen])
    if not any(one.protection for one in surveys):
        return paths, metals, own
    return replace(paths, interface=interface[chosen]), metals, factor[chosen]
