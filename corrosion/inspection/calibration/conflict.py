"""Whether a ship's gaugings bear out what her records foresee, in one sentence each."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from corrosion.foundation.types import Array
from corrosion.inspection.calibration.measurements import Measured
from corrosion.inspection.calibration.rate_model import RatePrior, RateState
from corrosion.inspection.calibration.readings import Readings
from corrosion.inspection.calibration.sampler import move_samples

ENOUGH: Final = 3
"""Campaigns from which a calibration of one ship is claimed."""

_ALIKE: Final = 1.25  # ratios between its inverse and this are no conflict
_ONE_SIDED: Final = 0.05  # chance of so many on one side, were both sides alike
_SAMPLES: Final = (64, 128)  # for each campaign, at least and at most
_IN_ALL: Final = 768
_SWEEPS: Final = (8, 8)
_INTERVAL: Final = (0.1, 0.9)


@dataclass(frozen=True, slots=True, kw_only=True)
class PriorConflict:
    """How a ship's gaugings lie to what was foreseen."""

    ratio: float  # loss of the gauged plates as the gaugings say over that foreseen [-]
    # thinner, plates: how many plates are thinner than foreseen, of how many gauged
    thinner: int
    plates: int
    conflict: bool  # whether that is more than chance
    words: str  # one sentence


def prior_conflict(
    predicted: Array,
    rows: Measured,
    read: Array,
    losses: tuple[Array, Array],
) -> PriorConflict:
    """Return how the latest mean readings of all plates lie to what was foreseen.

    Parameters
    ----------
    predicted : ndarray, shape (samples, rows)
        Thickness at each row, before any gauging was used. [m]
    rows : Measured
        What was read.
    read : ndarray, shape (rows,)
        Thickness as read, less what its campaign reads too thick. [m]
    losses : tuple of ndarray, shape (samples,)
        Metal lost by the gauged plates, foreseen and as gauged, in one unit.
    """
    from scipy.special import bdtr  # noqa: PLC0415 - importing corrosion stays light

    latest = [
        max(np.flatnonzero((rows.zone == zone) & ~rows.pitted), key=rows.moment.item)
        for zone in np.unique(rows.zone[~rows.pitted])
    ]
    off = read - np.median(predicted, axis=0)
    plates, thinner = len(latest), int((off[latest] < 0.0).sum())
    foreseen, gauged = (float(np.median(loss)) for loss in losses)
    ratio = gauged / foreseen if foreseen > 0.0 else 1.0
    one_sided = 2.0 * float(bdtr(min(thinner, plates - thinner), plates, 0.5))
    apart = not 1.0 / _ALIKE < ratio < _ALIKE
    conflict = bool(apart and one_sided < _ONE_SIDED)
    verb = "show" if apart else "bear her records out:"
    chance = "" if conflict or not apart else ", as chance alone may have it"
    return PriorConflict(
        ratio=ratio,
        thinner=thinner,
        plates=plates,
        conflict=conflict,
        words=(
            f"her gaugings {verb} {ratio:.1f} times the loss foreseen for the plates "
            f"gauged; {thinner} of {plates} are thinner than foreseen{chance}"
        ),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOut:
    """How well each campaign of a ship is foreseen from the others."""

    campaigns: int  # how many there are
    # readings, held: how many readings were foreseen, and of how many the interval of
    # 80 % held them; None: too few campaigns to claim anything
    readings: int | None
    held: int | None
    words: str  # one sentence


@np.errstate(all="ignore")  # as where all are told of
def leave_out(
    rng: np.random.Generator,
    start: RateState,
    prior: RatePrior,
    readings: Readings,
    gauged: int | None = None,
) -> LeftOut:
    """Foresee each campaign from the others, as from three campaigns on.

    Parameters
    ----------
    rng : numpy.random.Generator
        Random numbers.
    start : RateState
        Samples of the prior; a part of them is used.
    prior : RatePrior
        That prior.
    readings : Readings
        What was read.
    gauged : int, optional
        How many campaigns there are; what follows them is of renewals and is left
        where it is. None: all are.
    """
    campaigns = np.unique(readings.campaign)
    campaigns = campaigns if gauged is None else campaigns[campaigns < gauged]
    if campaigns.size < ENOUGH:
        few = {1: "one campaign says", 2: "two campaigns say"}[campaigns.size]
        words = f"{few} little of how well this ship is foreseen"
        return LeftOut(campaigns=campaigns.size, readings=None, held=None, words=words)
    count = int(np.clip(_IN_ALL // campaigns.size, *_SAMPLES))
    some = slice(count)
    few_states, few_readings = start.of_samples(some), readings.of_samples(some)
    held = 0
    for campaign in campaigns:
        own = readings.campaign == campaign
        others = few_readings.of_rows(~own)
        state = move_samples(rng, few_states, prior, others, sweeps=_SWEEPS).state
        foreseen = few_readings.of_all(state, prior) - state.bias[:, readings.campaign]
        foreseen += rng.standard_normal(foreseen.shape) * readings.sd
        low, high = np.quantile(foreseen[:, own], _INTERVAL, axis=0)
        read = readings.gone[own]
        held += int(((low <= read) & (read <= high)).sum())
    rows = int(np.isin(readings.campaign, campaigns).sum())
    words = (
        f"each of her {campaigns.size} campaigns foreseen from the others: {held} of "
        f"{rows} readings within the interval that promises 80 %"
    )
    return LeftOut(campaigns=campaigns.size, readings=rows, held=held, words=words)
