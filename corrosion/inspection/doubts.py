"""Doubts about an estimate, in the words of doubts.toml: anodes, its date, the loss."""

from collections.abc import Iterator
from datetime import date
from typing import Final

import numpy as np

from corrosion.foundation.data_files import sentences
from corrosion.foundation.types import Array
from corrosion.foundation.units import YEAR
from corrosion.history.anodes_in_time import anodes_act
from corrosion.history.inputs import ModelInputs
from corrosion.history.loss import LossHistory
from corrosion.hull.anode_groups import anode_groups
from corrosion.inspection.outlook import Outlook
from corrosion.inspection.ranking import Cause
from corrosion.records.dates import moment_of
from corrosion.records.ship import Ship

_SAID: Final = sentences(__file__, "doubts.toml")
_EARLY: Final = 0.5 * YEAR  # of her life without a word about anodes
_NAMED: Final = 3  # zones
_ROUGH: Final = 0.02  # standard error of a chance from which more samples are asked for


def anode_doubts(inputs: ModelInputs, history: LossHistory) -> list[str]:
    """Return what is doubtful about anodes and impressed current, one sentence each."""
    if not inputs.ship.anodes:
        return []
    return [*_written(inputs), *_spent(inputs, history), *_too_low(inputs, history)]


def _written(inputs: ModelInputs) -> Iterator[str]:
    ship = inputs.ship
    acts = anodes_act(ship)
    if not acts:
        yield _SAID["anodes twice"]
    fitted = [anode.fitted for anode in ship.anodes if anode.fitted is not None]
    first = min(fitted, key=lambda when: when.middle, default=None)
    if acts and first and first.middle > inputs.time_grid.start + _EARLY:
        chance = ship.assumptions.value("anodes_before_chance")
        yield _SAID["anodes before"].format(first=first, chance=chance)
    acting = {one.anode.anode for one in anode_groups(ship, inputs.hull)}
    for anode in ship.anodes:
        if anode.anode not in acting:
            yield _SAID["anodes left out"].format(anode=anode)
        elif anode.fitted is None and ship.last_docking is None:
            yield _SAID["anodes unfitted"].format(anode=anode)


def _spent(inputs: ModelInputs, history: LossHistory) -> Iterator[str]:
    grid = inputs.time_grid
    groups = [one for one in anode_groups(inputs.ship, inputs.hull) if one.size]
    needed = history.anode_amps[:, : len(groups)] * (grid.horizon - grid.as_of)
    usable = history.anode_usable[:, : len(groups)]
    for one, chance in zip(groups, (usable < needed).mean(axis=0), strict=True):
        if chance > 0.5:
            yield _SAID["anodes spent"].format(anode=one.anode, percent=100.0 * chance)


def _too_low(inputs: ModelInputs, history: LossHistory) -> Iterator[str]:
    least = -inputs.ship.assumptions.value("overprotection_v")
    volts = np.median(history.anode_zone_volts[:, inputs.hull.body.zones], axis=0)
    names = [
        inputs.ship.zones[k].zone
        for k, volt in zip(inputs.hull.body.zones, volts, strict=True)
        if volt < least and inputs.ship.zones[k].metal in ("steel", "cast iron")
    ]
    if names:
        yield _SAID["anodes low"].format(names=", ".join(names), mv=1e3 * volts.min())


def date_doubts(ship: Ship, day: date, left: Array) -> list[str]:
    """Return what the date itself makes doubtful, one sentence each.

    Parameters
    ----------
    ship : Ship
        The ship.
    day : date
        Date of the estimate.
    left : ndarray, shape (samples, zones)
        Mean thickness left on that day. [m]
    """
    found, docking = [], ship.next_docking
    if docking is not None and docking.latest <= moment_of(day):
        found.append(_SAID["date docked"].format(day=day.isoformat(), docking=docking))
    gone = np.flatnonzero(np.median(left, axis=0) <= 0.0)
    if gone.size:
        names = _some([ship.zones[int(k)].zone for k in gone])
        found.append(_SAID["date gone"].format(names=names, day=day.isoformat()))
    return found


def wastage_doubts(
    inputs: ModelInputs, outlook: Outlook, causes: tuple[Cause, ...]
) -> list[str]:
    """Return what no standard settles of loss, and nobody wrote, one sentence each.

    ``causes``: the leading cause of each zone, in the order of the records.
    """
    return list(_of_loss(inputs, outlook, causes))


def _of_loss(
    inputs: ModelInputs, outlook: Outlook, causes: tuple[Cause, ...]
) -> Iterator[str]:
    ship = inputs.ship
    gauged = {row.zone for row in ship.gaugings}
    for k in outlook.order[:_NAMED].tolist():
        zone = ship.zones[k]
        blank = zone.inside is None and zone.zone not in gauged
        if causes[k] == "inside" and blank:
            yield _SAID["loss inside"].format(zone=zone.zone, first=_NAMED)
    tidal = [zone.zone for zone in ship.zones if zone.exposure == "tidal"]
    if tidal:
        zones = "zones" if len(tidal) > _NAMED else "zone"
        yield _SAID["loss tidal"].format(names=f"{zones} {_some(tidal)}")
    lowest = inputs.draws.value("ac_lowest_hertz")
    for system in ship.systems:
        if system.current == "ac" and system.hertz < lowest:
            yield _SAID["loss slow"].format(system=system, lowest=lowest)
    yield from _few(inputs, outlook)


def _few(inputs: ModelInputs, outlook: Outlook) -> Iterator[str]:
    """Say where the samples are too few for the chance that stands first."""
    first, samples = int(outlook.order[0]), inputs.draws.samples
    error = float(outlook.chance_error[first])
    if error > _ROUGH:
        cells = {
            "zone": inputs.ship.zones[first].zone,
            "error": 100 * error,
            "samples": samples,
            "needed": int(2 ** np.ceil(np.log2(samples * (error / _ROUGH) ** 2))),
            "rough": 100 * _ROUGH,
        }
        yield _SAID["loss few"].format(**cells)


def _some(names: list[str]) -> str:
    shown, more = ", ".join(names[:_NAMED]), len(names) - _NAMED
    return f"{shown} and {more} more" if more > 0 else shown
