"""A history of losses as the gaugings say it went."""

from dataclasses import replace
from itertools import pairwise

import numpy as np

from corrosion.foundation.types import Array
from corrosion.history.inputs import ModelInputs
from corrosion.history.loss import LossHistory
from corrosion.inspection.factors import Factors
from corrosion.inspection.outlook import inside_loss
from corrosion.wastage.apportionment import MULTIPLIERS
from corrosion.wastage.works import plate_age, plate_gain

__all__ = ["moved"]


def moved(inputs: ModelInputs, history: LossHistory, factors: Factors) -> LossHistory:
    """Return a history with its natural losses multiplied, netted in every state.

    Parameters
    ----------
    inputs : ModelInputs
        The ship with everything drawn.
    history : LossHistory
        By the records alone; of a what-if as well.
    factors : Factors
        By what its losses are multiplied.

    Returns
    -------
    LossHistory
        Thickness, mass and depth together. Currents take what they took; what they and
        protection spare changes with the rate where it was netted.
    """
    rate = factors.at(history.moments)
    age = np.maximum(history.moments - inputs.time_grid.start, 0.0)
    zones, works = len(inputs.ship.zones), inputs.zones.works
    inner = inside_loss(inputs, history.moments)
    gain = plate_gain(history.moments, zones, works)
    more_inside = inner * (factors.inside[:, None] - 1.0)
    outer = _netted(history, rate) - inner + gain
    was = history.mean - inner + gain
    change = np.divide(outer, was, out=rate.copy(), where=was > 0.0)
    extra = factors.extra_at(history.moments)
    even = more_inside + extra  # what the records do not know, even over the plate
    known = outer + inner + more_inside - gain
    now = int(np.searchsorted(history.moments, inputs.time_grid.as_of))
    depth = change[:, now]
    # pits by today's factor at all times: a rate that is lower later gives none back
    grown = np.maximum(depth, 1e-9)[:, None]  # where there is no pit, there is none
    spot_outer = history.spot - inner[:, now]
    # what left with plates that were renewed, no gauging tells any more
    young = plate_age(history.moments, inputs.time_grid.start, zones, works)[now]
    young = young / age[now]
    inside = 1.0 + (factors.inside - 1.0) * young
    inside_kg = history.natural_inside_kg * inside
    plate = inputs.kg_per_metre
    at_sea = 1.0 + (rate - 1.0) * young
    sea_kg = history.natural_sea_kg * at_sea[:, now]
    lost = history.lost_kg + (known - history.mean)[:, now] * plate
    taken = history.stray_kg + history.own_metals_kg
    spared = np.maximum(sea_kg + inside_kg + taken - lost, 0.0)
    whole = history.protection_spared_kg + history.spared_kg
    share = np.divide(spared, whole, out=np.ones_like(whole), where=whole > 0.0)
    still_spared = history.spared_kg * share
    # faults' accounts know no zones: each moves as the ship's does
    before, after = (kg.sum(axis=1) for kg in (history.spared_kg, still_spared))
    of_ship = np.divide(after, before, out=np.ones_like(after), where=before > 0.0)
    return replace(
        history,
        mean=known + extra,
        multiplied=history.multiplied[:, :, :0].copy(),  # moved once for all
        worn=(history.worn - inner) * grown + inner + even,
        since=history.since * grown,
        pit=(history.pit - inner) * grown + inner + even,
        natural_sea_kg=sea_kg,
        natural_inside_kg=inside_kg,
        unexplained_kg=extra[:, now] * plate,
        protection_spared_kg=history.protection_spared_kg * share,
        spared_kg=still_spared,
        fault_spared_kg=history.fault_spared_kg * of_ship[:, None],
        spot=spot_outer * depth + (inner + even)[:, now],
        causes=_causes(history, at_sea, inside, age / age[now], extra * plate),
    )


def _causes(
    history: LossHistory, rate: Array, inside: Array, share: Array, extra: Array
) -> dict[str, Array]:
    """Return mass by cause: natural at its factors by face, and what none explains."""
    moved = dict(history.causes)
    if "natural" in moved:
        within = history.natural_inside_kg[:, None] * share[:, None]
        sea = moved["natural"] - within
        moved["natural"] = sea * rate + within * inside[:, None]
        moved["unexplained"] = extra
    return moved


def _netted(history: LossHistory, rate: Array) -> Array:
    """Return the mean loss at factors on the natural rate, by the recorded table.

    Straight lines between its multiples, the last ones going on; a factor of one
    changes nothing.
    """
    table, knots = history.multiplied, MULTIPLIERS
    slopes = [
        (late - early).astype(np.float64) / (knots[k + 1] - knots[k])
        for k, (early, late) in enumerate(pairwise(table))
    ]

    def at(factor: Array | float) -> Array:
        value = np.asarray(slopes[0] * (factor - knots[0]))
        for knot, below, above in zip(knots[1:], slopes[:-1], slopes[1:], strict=False):
            value += (above - below) * np.maximum(factor - knot, 0.0)
        return value

    return np.asarray(history.mean + at(rate) - at(1.0))
