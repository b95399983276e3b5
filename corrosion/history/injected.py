"""Direct current into the steel of each zone, for a network that is not linear."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from corrosion.foundation.types import Array, IntArray
from corrosion.history.inputs import ModelInputs
from corrosion.leakage.fed_system import SystemCurrents
from corrosion.records.ship import System

if TYPE_CHECKING:
    from corrosion.history.paths import CurrentPaths


def injected_current(
    paths: "CurrentPaths",
    number: int,
    leaks: Sequence[SystemCurrents],
    sample: IntArray,
) -> Array:
    """Return the direct current into the steel of each zone, (states, zones) [A].

    Of leaks of one stretch each, in samples of the paths' block, at stay ``number``.
    """
    inputs, ashore = paths.inputs, paths.ashore[number]
    into = np.zeros((len(sample), len(inputs.ship.zones)))
    each = np.arange(len(sample))[:, None]
    for leak in leaks:
        if leak.current == "ac":
            continue
        amps = leak.amps[:, 0].real
        np.add.at(into, (each, paths.entry[sample][:, leak.faults]), amps)
        # what returns aboard is taken out again: where the way back is known, there,
        # else in proportion to the cabling
        home, back = amps * ~ashore[leak.faults], paths.back[sample][:, leak.faults]
        np.subtract.at(into, (each, np.maximum(back, 0)), home * (back >= 0))
        aboard = (home * (back < 0)).sum(axis=1)
        if leak.lamps is not None and leak.system is not None:
            lamps = leak.lamps[:, 0].real
            into[:, lamp_board(inputs, leak.system)] += lamps
            aboard = aboard + lamps
        into -= aboard[:, None] * inputs.cables
    return into


def lamp_board(inputs: ModelInputs, system: System) -> int:
    """Return the zone at which a system's lamps meet the hull."""
    board = system.switchboard_zone
    return inputs.hull.reference if board is None else inputs.ship.zone_index(board)
