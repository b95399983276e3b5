"""What it says of a plate that a yard looked at it and left it: it was above its limit.

A yard that welds pits in a plate has looked at it, and would not weld in plate that is
to be renewed; one that renews or welds others, and paints this, has likely looked.
"""

from collections.abc import Callable
from typing import Final

import numpy as np

from corrosion.foundation.types import Array
from corrosion.history.inputs import ModelInputs
from corrosion.inspection.calibration.measurements import Measured
from corrosion.inspection.calibration.renewals import beside
from corrosion.wastage.works import plate_gain
from corrosion.wastage.yard_looks import looks

_BITES: Final = 0.95  # chance to be left as foreseen, above which it says little
_LEAST: Final = 1e-12  # a chance by which is divided
_SELDOM: Final = 0.01  # odds of a row to be wrong: its spread holds most of that


def with_left_plates(
    rows: Measured, inputs: ModelInputs, foresee: Callable[[Measured], Array]
) -> Measured:
    r"""Return rows, and one for each plate that a yard looked at last and left.

    Parameters
    ----------
    rows : Measured
        Of gaugings and renewals, one at least.
    inputs : ModelInputs
        The ship with everything drawn.
    foresee : callable
        Returns the loss that samples which were brought near the gaugings foresee for
        rows, (samples, rows) [m].

    Returns
    -------
    Measured
        The same where such plates were foreseen well above their limits.

    Notes
    -----
    A plate that lost x is left with the chance :math:`\epsilon + (1 - \epsilon)
    \Phi((w - x)/\tau)`, w what it may lose and :math:`\tau` by how much yards differ
    in what they renew. With x foreseen as :math:`N(m, s^2)`, the row is the normal law
    that moves mean and variance of that as this chance does [1]_.

    References
    ----------
    .. [1] T. P. Minka, "Expectation propagation for approximate Bayesian inference",
       UAI 2001, 362: one site (from memory).
    """
    from scipy.special import ndtr  # noqa: PLC0415 - importing corrosion stays light

    zones, given = inputs.ship.zones, inputs.draws.assumptions
    moment, unseen = _last_left(inputs)
    zone = np.flatnonzero(np.isfinite(moment))
    moment, unseen = moment[zone], unseen[zone]
    gains = plate_gain(moment, len(zones), inputs.zones.works)
    worn = np.array([zones[k].built - zones[k].limit for k in zone])
    worn = worn + gains[np.arange(zone.size), zone]
    use = (worn > 0.0) & (moment > inputs.time_grid.start)
    zone, moment, unseen, worn = zone[use], moment[use], unseen[use], worn[use]
    if not zone.size:
        return rows
    ones = np.ones(zone.size)
    asked = beside(rows, zone, moment, worn, ones, ones)
    lost = foresee(asked)[:, -zone.size :]
    mean, variance = lost.mean(axis=0), lost.var(axis=0)
    wide = np.hypot(np.sqrt(variance), given.value("renewed_wear_sd") * worn)
    score = (worn - mean) / wide
    density = (1.0 - unseen) * np.exp(-0.5 * score**2) / np.sqrt(2.0 * np.pi)
    chance = np.maximum(unseen + (1.0 - unseen) * ndtr(score), _LEAST)
    first = -density / (wide * chance)  # of its logarithm by the mean, and once more
    second = -score * density / (wide**2 * chance) - first**2
    sure = -second / np.maximum(1.0 + variance * second, _LEAST)
    told = (chance < _BITES) & (sure > 0.0) & np.isfinite(sure)
    if not told.any():
        return rows
    return beside(
        rows,
        zone[told],
        moment[told],
        (mean - first / second)[told],
        sure[told] ** -0.5,
        np.full(int(told.sum()), _SELDOM),
    )


def _last_left(inputs: ModelInputs) -> tuple[Array, Array]:
    """Return when each plate was last left, and the chance that it was not looked at.

    Both (zones,) [s] and [-]; NaN: never.
    """
    works, as_of = inputs.zones.works, inputs.time_grid.as_of
    given = inputs.draws.assumptions
    seen = looks(works, inputs.zones.paint, as_of)
    found = np.where(np.isfinite(seen), seen, -np.inf).max(axis=0)
    unseen = np.full(found.shape, given.value("thin_unseen_chance"))
    for work in works:
        if work.work == "pits welded" and work.moment <= as_of:
            mine = work.zones & (work.share > 0.0) & (work.moment >= found)
            found = np.where(mine, np.floor(work.moment) - 1.0, found)
            unseen = np.where(mine, given.value("thin_welded_chance"), unseen)
        found = np.where(work.renewed > 0.0, -np.inf, found)
    return np.where(np.isfinite(found), found, np.nan), unseen
