"""Doubts about the loss itself: what no standard settles and nobody wrote down."""

from collections.abc import Iterator

import numpy as np

from corrosion.history.inputs import ModelInputs
from corrosion.inspection.outlook import Outlook
from corrosion.inspection.ranking import Cause
from corrosion.records.ship import Zone

_NAMED = 3  # zones
_ROUGH = 0.02  # standard error of a chance from which more samples are asked for


def wastage_doubts(
    inputs: ModelInputs, outlook: Outlook, causes: tuple[Cause, ...]
) -> list[str]:
    """Return what is doubtful about natural loss and alternating current.

    Parameters
    ----------
    inputs : ModelInputs
        The ship with everything drawn.
    outlook : Outlook
        The order of the zones.
    causes : tuple of str
        The leading cause of each zone, in the order of the records.

    Returns
    -------
    list of str
        One sentence each.
    """
    ship = inputs.ship
    gauged = {row.zone for row in ship.gaugings}
    first = [int(k) for k in outlook.order[:_NAMED]]
    found = [
        f"{ship.zones[k].zone} is among the first {_NAMED} for what its inner face is "
        "supposed to have lost, which is a judgement: write what it is inside and how "
        "bare that is (zones.csv), or gauge it"
        for k in first
        if causes[k] == "inside" and _unlisted(ship.zones[k], gauged)
    ]
    tidal = [zone.zone for zone in ship.zones if zone.exposure == "tidal"]
    if tidal:
        found.append(
            f"{_names(tidal)}: tidal steel may be eaten at low water by up to 1 mm a "
            "year in spots (bright pits under orange slime); sources differ fourfold "
            "about the mean, so look at low water and gauge there"
        )
    found += list(_slow(inputs))
    found += list(_few(inputs, outlook))
    return found


def _unlisted(zone: Zone, gauged: set[str]) -> bool:
    return zone.inside is None and zone.zone not in gauged


def _few(inputs: ModelInputs, outlook: Outlook) -> Iterator[str]:
    """Say where the samples are too few for the chance that stands first."""
    first = int(outlook.order[0])
    error = float(outlook.chance_error[first])
    if error > _ROUGH:
        needed = int(
            2 ** np.ceil(np.log2(inputs.draws.samples * (error / _ROUGH) ** 2))
        )
        yield (
            f"the chance of {inputs.ship.zones[first].zone} is known to ± "
            f"{100 * error:.0f} points only with {inputs.draws.samples} samples; "
            f"{needed} samples say it to ± {100 * _ROUGH:.0f}"
        )


def _slow(inputs: ModelInputs) -> Iterator[str]:
    lowest = inputs.draws.value("ac_lowest_hertz")
    for system in inputs.ship.systems:
        if system.current == "ac" and system.hertz < lowest:
            yield (
                f"system {system.name!r} alternates at {system.hertz:g} Hz: nothing is "
                f"known of the metal that such a current takes below {lowest:g} Hz; it "
                "may be several times what is shown"
            )


def _names(zones: list[str]) -> str:
    shown = ", ".join(zones[:_NAMED])
    more = len(zones) - _NAMED
    return f"zones {shown} and {more} more" if more > 0 else f"zone {shown}"
