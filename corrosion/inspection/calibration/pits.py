"""What is known of the deepest pits: gauged, welded up in dock, and not holed."""

from dataclasses import dataclass

import numpy as np

from corrosion.foundation.types import Array, BoolArray
from corrosion.inspection.factors import PitLaw

__all__ = ["PitEvidence", "PitPrior", "pit_law"]

_GRID = np.linspace(-4.0, 4.0, 41)  # of what zones share, in its standard deviation
_SURE = 1e-12
_APART = 1e-6  # bounds that contradict each other leave a point


@dataclass(frozen=True, slots=True, kw_only=True)
class PitPrior:
    """What is known of the deepest pits before any plate is looked at.

    Attributes
    ----------
    recorded : ndarray, shape (samples, zones)
        Logarithm of the deepest pit over the loss that each sample drew, about its
        mean. [-]
    sd : ndarray, shape (zones,)
        Standard deviation of that. [-]
    shared : float
        Share of its variance that the zones of a ship have in common: one water, one
        steel. [-]
    unnoticed : float
        Chance of a hole below water that nobody wrote down. [-]
    found : float
        Chance that a deep pit was found when its plate was last looked at. [-]
    """

    recorded: Array
    sd: Array
    shared: float
    unnoticed: float
    found: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PitEvidence:
    """What was found of the deepest pits.

    Attributes
    ----------
    gauged : ndarray, shape (samples, zones)
        The same logarithm as the least readings say; of other zones anything. [-]
    known : ndarray of bool, shape (zones,)
        Which zones have a least reading.
    least : ndarray, shape (samples, zones)
        Logarithm of the factor on the recorded pit that was surely met; minus infinity
        where nothing was read. [-]
    room : ndarray, shape (samples, zones)
        Logarithm of the factor on the recorded pit at which it is through. [-]
    sound : ndarray of bool, shape (zones,)
        Which zones would have shown a hole.
    welded : ndarray, shape (samples, zones)
        Logarithm of the factor on the recorded pit at which it was as deep, when the
        plate was last looked at, as is welded up where it is found.
    """

    gauged: Array
    known: BoolArray
    least: Array
    room: Array
    sound: BoolArray
    welded: Array


def pit_law(
    shared_lot: Array, zone_lots: Array, prior: PitPrior, found: PitEvidence
) -> PitLaw:
    r"""Return the law of every zone's deepest pit, and a draw from it.

    Parameters
    ----------
    shared_lot, zone_lots : ndarray, shape (samples,) and (2, samples, zones)
        Uniform numbers that draw what zones share, and which holes go unnoticed and
        which deep pits were found. [-]
    prior : PitPrior
        Before any plate was looked at.
    found : PitEvidence
        What was found since.

    Returns
    -------
    PitLaw
        Of the logarithm of the factor on the recorded pits.

    Notes
    -----
    With x the logarithm about its mean, :math:`x_z = \sqrt\rho\,\sigma_z s +
    \sqrt{1-\rho}\,\sigma_z e_z`, s shared and standard normal: s is drawn on a grid
    given that zones are not holed, each with the chance :math:`h + (1-h)\Phi`, or one
    where deep pits were found and welded up; then each :math:`e_z` is of a truncated
    normal law. That a plate is sound says little of how fast it pits where yards weld
    up what they find: of the pits left, the deepest was as deep as they leave alone.
    The depth of a pit speaks for its own zone alone. A least reading says that the
    deepest pit is no less deep, and no more: a dozen spots seldom meet it.
    """
    from scipy.special import ndtr, ndtri  # noqa: PLC0415 - importing stays light

    sd = np.maximum(prior.sd, 1e-9)
    load, own = np.sqrt(prior.shared) * sd, np.sqrt(1.0 - prior.shared) * sd
    known, gauged = found.known, found.gauged
    most = found.room + prior.recorded  # of x itself
    free = found.sound & ~known
    told = np.tile(-0.5 * _GRID**2, (len(most), 1))
    mended = found.welded < found.room  # where found, no pit has come through since
    for zone in np.flatnonzero(free):
        score = (most[:, zone, None] - load[zone] * _GRID) / own[zone]
        missed = 1.0 - prior.found * mended[:, zone, None]
        holed = (1.0 - prior.unnoticed) * ndtr(-score)
        told += np.log1p(-missed * holed)
    reached = np.cumsum(np.exp(told - told.max(axis=1, keepdims=True)), axis=1)
    lot = shared_lot[:, None] * reached[:, -1:]
    shared = _GRID[(reached < lot).sum(axis=1)][:, None]
    middle = load * shared
    through = ndtr((most - middle) / own)
    seen = (1.0 - prior.unnoticed) * through
    sound = np.where(free, prior.unnoticed + seen, 1.0)  # as likely where none is found
    sound = np.where(mended, sound, 1.0)
    odds = prior.found / (prior.found + (1.0 - prior.found) * sound)
    welded = np.where((zone_lots[1] < odds) & ~known, found.welded, np.inf)
    welded = np.maximum(welded, found.least)
    noticed = zone_lots[0] * (prior.unnoticed + seen) < seen
    noticed &= ~(mended & np.isfinite(welded))
    least = np.where(known, -np.inf, found.least + prior.recorded)
    most = np.where(free & noticed, np.maximum(most, least + _APART), np.inf)
    low, high = (ndtr((end - middle) / own) for end in (least, most))
    # the sample's own draw, squeezed between what it is at least and at most
    rank = low + ndtr(prior.recorded / sd) * (high - low)
    drawn = middle + own * ndtri(np.clip(rank, _SURE, 1.0 - _SURE))
    drawn = np.clip(drawn, least, np.minimum(most, welded + prior.recorded))
    drawn = np.where(known, gauged, drawn)
    return PitLaw(
        drawn=drawn - prior.recorded,
        mean=np.where(known, gauged, middle) - prior.recorded,
        sd=np.where(known, 0.0, own),
        most=np.where(known, np.inf, most - prior.recorded),
        least=least - prior.recorded,
        welded=welded,
    )
