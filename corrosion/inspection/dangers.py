"""Dangers to life that stand above every number: a live hull, a holed plate.

The rules are judgement and common practice (basis table: ``danger_fault_ma``,
``danger_conductor_ohm``, ``danger_hull_v``). That none is named says nothing of safety:
they see what is written, and no more.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np

from corrosion.foundation.units import MILLIAMPERE
from corrosion.inspection.cautions import DANGER, HOLED
from corrosion.leakage.dated_states import berth_at
from corrosion.leakage.earthing import is_earthed
from corrosion.leakage.fault_currents import returns_ashore
from corrosion.leakage.fault_unknowns import FaultUnknowns
from corrosion.leakage.touch import standing
from corrosion.records.ship import Berth, Gauging, Ship


@dataclass(frozen=True, slots=True, kw_only=True)
class Danger:
    """One danger to life."""

    text: str  # what it is and what to do before anything else
    # berth, fault, zone: where it is
    berth: str | None = None
    fault: str | None = None
    zone: str | None = None


def dangers(
    ship: Ship, unknowns: Callable[[], FaultUnknowns], *, as_of: float
) -> tuple[Danger, ...]:
    """Return every danger to life that her records show at a moment.

    Parameters
    ----------
    ship : Ship
        As her records stood then.
    unknowns : callable
        Draws what is not known of her faults; called only where one could matter.
    as_of : float
        The moment, from 1970-01-01 00:00. [s]

    Returns
    -------
    tuple of Danger
        Live hull first, a fault each; then holed plates, a zone each.
    """
    berth = berth_at(ship, as_of)
    found: list[Danger] = []
    if _meets_earth(ship, berth):
        found += _live_hull(ship, unknowns(), berth, as_of)
    return (*found, *(_holed(hole) for hole in holes(ship)))


def _meets_earth(ship: Ship, berth: Berth) -> bool:
    """Return whether any fault stands that could meet an earthed supply."""
    if berth.supply != "shore earthed":
        return False
    fed = {row.name for row in ship.systems if is_earthed(row, berth)}
    return any(
        fault.stands and (fault.source != "ground fault" or fault.system in fed)
        for fault in ship.faults
    )


def _live_hull(
    ship: Ship, unknowns: FaultUnknowns, berth: Berth, as_of: float
) -> Iterator[Danger]:
    conductor = _conductor(berth, ship.assumptions.value("danger_conductor_ohm"))
    least = ship.assumptions.value("danger_fault_ma") * MILLIAMPERE
    most_volts = ship.assumptions.value("danger_hull_v")
    for system in ship.systems:
        if not is_earthed(system, berth):
            continue
        state = standing(ship, system, unknowns, as_of=as_of)
        raised = float(np.median(state.amps.sum(axis=1))) / state.earthed
        for place, amps in zip(
            state.faults.tolist(), np.median(state.amps, axis=0).tolist(), strict=True
        ):
            ac = system.current == "ac" and amps > least
            reasons = [conductor] * (ac and conductor != "")
            reasons += [f"hull raised by {raised:.0f} V"] * (raised > most_volts)
            if reasons:
                yield _live(ship.faults[place].fault, amps, berth, reasons)
    ashore = returns_ashore(ship, berth)
    for place, fault in enumerate(ship.faults):
        if fault.source == "ground fault" or not fault.stands or not ashore[place]:
            continue
        amps = float(np.median(np.abs(unknowns.amps[:, place])))
        if fault.current == "ac" and amps > least and conductor:
            yield _live(fault.fault, amps, berth, [conductor])


def _live(fault: str, amps: float, berth: Berth, reasons: list[str]) -> Danger:
    why = f"fault {fault} stands, about {amps:.2g} A here; {'; '.join(reasons)}"
    return Danger(
        text=f"{DANGER} At {berth.berth or 'this berth'}: {why}.",
        berth=berth.berth,
        fault=fault,
    )


def _conductor(berth: Berth, most_ohm: float) -> str:
    """Return what makes the protective conductor unsure; empty: nothing written."""
    if berth.earth_none:
        return "no protective conductor is connected"
    if berth.earth_cable is None:
        return "whether a protective conductor is connected is not known"
    if berth.earth_cable > most_ohm:
        return f"the protective conductor has {berth.earth_cable:g} Ω"
    return ""


def holes(ship: Ship) -> tuple[Gauging, ...]:
    """Return the gauging of 0 mm of each zone that stands holed, the last one each.

    A later least reading above 0 mm says that the hole was made good; a mean of other
    spots says nothing of it.
    """
    last: dict[str, Gauging] = {}
    for row in sorted(ship.gaugings, key=lambda row: row.date.middle):
        if row.thickness == 0.0:
            last[row.zone] = row
        elif row.kind == "least":
            last.pop(row.zone, None)
    return tuple(last.values())


def without_holes(ship: Ship) -> Ship:
    """Return the ship without her gaugings of 0 mm: a hole is no thickness to fit."""
    kept = tuple(row for row in ship.gaugings if row.thickness > 0.0)
    return ship if len(kept) == len(ship.gaugings) else replace(ship, gaugings=kept)


def _holed(hole: Gauging) -> Danger:
    return Danger(
        text=f"{hole.zone} is holed (0 mm on {hole.date.text}). {HOLED}", zone=hole.zone
    )
