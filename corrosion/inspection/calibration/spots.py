"""What the least of some spots sees of a zone's pits: seldom the deepest of them."""

import numpy as np

from corrosion.foundation.types import Array
from corrosion.history.inputs import ModelInputs
from corrosion.history.loss import LossHistory
from corrosion.inspection.calibration.measurements import Measured
from corrosion.inspection.outlook import inside_loss
from corrosion.inspection.pit_parts import deepest
from corrosion.wastage.pits import deepest_pit

_LEAST = 1e-9  # of a depth of which the logarithm is taken [m]
_BARE = 0.999  # of a zone: all of it


def seen_by_spots(
    inputs: ModelInputs, history: LossHistory, at: tuple[int, int], spots: float
) -> Array:
    r"""Return the depth that the least of some spots on a zone reads.

    Parameters
    ----------
    inputs : ModelInputs
        The ship with everything drawn.
    history : LossHistory
        By the records alone.
    at : tuple of two ints
        Which recorded moment, and which zone.
    spots : float
        How many spots are read. [-]

    Returns
    -------
    ndarray, shape (samples,)
        Not less than the mean loss. [m]

    Notes
    -----
    Spots lie anywhere in a zone. With a bare share f, one of n at least lies on bare
    steel with the chance :math:`1 - (1 - f)^n`, and they look at :math:`n f a` of it, a
    the area of a spot: the deepest pit there follows the law of
    :func:`corrosion.wastage.pits.deepest_pit` for that area, drawn by itself. Pits
    under paint are not seen.
    """
    moment, zone = at
    zones, draws = inputs.zones, inputs.draws
    lot = draws.block(f"spots {inputs.ship.zones[zone].zone}", 2)
    bare = history.bare[:, moment, zone]
    pit = deepest_pit(
        np.maximum(history.since[:, moment, zone], 0.0),
        factor=zones.pitting[:, zone],
        bare_area=spots * draws.value("gauging_spot_m2") * bare,
        reference_area=draws.value("pit_reference_m2"),
        uniform=lot[:, 0],
        scale=draws.value("pit_gumbel_scale"),
    )
    met = -np.expm1(spots * np.log1p(-np.minimum(bare, _BARE)))
    there = history.worn[:, moment, zone] + np.where(lot[:, 1] < met, pit, 0.0)
    return np.asarray(np.maximum(there, history.mean[:, moment, zone]))


def beside_pits(moments: Array, rows: Measured | None) -> set[int]:
    """Return the positions of moments next to a reading of a pit."""
    if rows is None:
        return set()
    after = np.searchsorted(moments, rows.moment[rows.pitted])
    after = np.clip(after, 1, len(moments) - 1)
    return {int(at) for at in (*after, *(after - 1))}


def met_by_spots(
    inputs: ModelInputs, history: LossHistory, rows: Measured | None
) -> Array:
    """Return how near the least readings came to the deepest pits: see Exposure."""
    zones = len(inputs.ship.zones)
    met = np.zeros((inputs.draws.samples, zones))
    if rows is None:
        return met
    spots, moment = rows.spots_of(zones)
    inside = inside_loss(inputs, history.moments)
    for k in np.flatnonzero(np.isfinite(spots)):
        at = int(np.argmin(np.abs(history.moments - moment[k])))
        seen = seen_by_spots(inputs, history, (at, int(k)), spots[k])
        whole = np.maximum(deepest(inputs, history, at)[:, k], history.mean[:, at, k])
        seen, whole = (
            np.maximum(depth - inside[:, at, k], _LEAST)
            for depth in (np.minimum(seen, whole), whole)
        )
        met[:, k] = np.log(seen / whole)
    return met
