"""What is known of the deepest pits: those gauged, and plates that are not holed."""

from dataclasses import replace

import numpy as np

from corrosion.foundation.types import Array, BoolArray
from corrosion.inspection.calibration.exposure import Exposure
from corrosion.inspection.calibration.measurements import Measured
from corrosion.inspection.calibration.pit_evidence import PitEvidence, PitPrior
from corrosion.inspection.factors import Factors, PitLaw

_GRID = np.linspace(-4.0, 4.0, 41)  # of what zones share, in its standard deviation
_SURE = 1e-12
_LEAST = 1e-9  # a standard deviation, and a weight: nothing varies, or is known
_APART = 1e-6  # bounds that contradict each other leave a point


def pit_law(
    shared_lot: Array, zone_lot: Array, prior: PitPrior, found: PitEvidence
) -> PitLaw:
    r"""Return the law of every zone's deepest pit, and a draw from it.

    Parameters
    ----------
    shared_lot, zone_lot : ndarray, shape (samples,) and (samples, zones)
        Uniform numbers that draw what zones share, and which holes go unnoticed. [-]
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
    given that zones are not holed, each with the chance :math:`h + (1-h)\Phi`, that
    yards left their pits, likewise, or welded them, and what spots saw; then each
    :math:`e_z` is of a truncated normal law. The least of some spots says that the
    deepest pit is no less deep, and, with the error of spots that seldom meet it, how
    deep pits are: of its zone, and of the ship. Pits that were welded speak for the
    ship alone, for they are gone: what is left in their zone was shallower. The depth
    of a pit that was looked for speaks for its own zone alone. A plate that was welded
    afloat was through, one that was in dock was not, or waited for it: how fast that
    pit grew speaks for the ship and for the next of its own, which is as that one but
    for a normal error.
    """
    from scipy.special import ndtr, ndtri  # noqa: PLC0415 - importing stays light

    sd = np.maximum(prior.sd, 1e-9)
    load, own = np.sqrt(prior.shared) * sd, np.sqrt(1.0 - prior.shared) * sd
    known, gauged = found.known, found.gauged
    caps = _caps(prior, found)
    told = np.tile(-0.5 * _GRID**2, (len(found.room), 1))
    for zone in np.flatnonzero(found.weight > 0.0):
        off = found.spots[:, zone, None] - load[zone] * _GRID
        told -= 0.5 * off**2 / (own[zone] ** 2 + 1.0 / found.weight[zone])
    for zone in np.flatnonzero(~known):
        middle, chance = load[zone] * _GRID, np.zeros_like(told)
        deep = found.deep[:, zone, None] + prior.recorded[:, zone, None]
        welded = np.isfinite(deep).any()
        shallower = ndtr((deep - middle) / own[zone]) if welded else 0.0
        for most, weight in caps:
            if weight[zone] > 0.0:
                end = most[:, zone, None]
                open_ = np.isinf(end).all()
                under = 1.0 if open_ else ndtr((end - middle) / own[zone])
                cut = (1.0 - prior.otherwise) * np.minimum(shallower, under)
                chance += weight[zone] * (under - cut)
        told += np.log(np.maximum(chance, 1e-300))
    odds = _through(prior, found)
    for zone in np.flatnonzero(np.isfinite(found.through).all(axis=0) & ~known):
        edge = (found.through + prior.recorded)[:, zone, None] - load[zone] * _GRID
        short = ndtr(edge / np.hypot(own[zone], prior.again))
        told += np.log(odds[0][zone] * short + odds[1][zone] * (1.0 - short))
    reached = np.cumsum(np.exp(told - told.max(axis=1, keepdims=True)), axis=1)
    lot = shared_lot[:, None] * reached[:, -1:]
    shared = _GRID[(reached < lot).sum(axis=1)][:, None]
    middle = load * shared / own**2 + found.weight * found.spots
    own = (own**-2.0 + found.weight) ** -0.5
    middle = middle * own**2
    middle, own = _as_welded(middle, own, prior, found, odds)
    # a pit that a yard does not see is as deep as it is; one that it welded and nobody
    # wrote was left as deep as that yard leaves them
    unseen = replace(prior, unwelded=prior.hidden)
    caps = _caps(unseen, replace(found, weld=np.minimum(found.weld, _left(found))))
    weights = [w * ndtr((most - middle) / own) for most, w in caps]
    yard = found.weld + prior.recorded
    unwritten = (prior.unwelded - prior.hidden) * ~known
    weights.append(unwritten * ndtr((middle - yard) / own))
    reached = np.cumsum(weights, axis=0)
    which = (reached < zone_lot * reached[-1]).sum(axis=0)
    most = np.choose(which, [*(cap for cap, _ in caps), yard])
    least = np.where(known, -np.inf, found.least + prior.recorded)
    least = np.maximum(least, np.where(which == len(caps), most - _APART, -np.inf))
    most = np.maximum(most, least + _APART)
    low, high = (ndtr((end - middle) / own) for end in (least, most))
    # the sample's own draw, squeezed between what it is at least and at most
    rank = low + ndtr(found.lot) * (high - low)
    drawn = middle + own * ndtri(np.clip(rank, _SURE, 1.0 - _SURE))
    drawn = np.clip(drawn, least, most)
    drawn = np.where(known, gauged, drawn)
    return PitLaw(
        drawn=drawn - prior.recorded,
        mean=np.where(known, gauged, middle) - prior.recorded,
        sd=np.where(known, 0.0, own),
        most=np.where(known, np.inf, most - prior.recorded),
        least=least - prior.recorded,
    )


def by_spots(
    deeper: Array, met: Array, moved: Array, read: BoolArray
) -> tuple[Array, Array, Array]:
    """Return what spots say of deepest pits, how surely, and what they leave open.

    By how the two go together in the samples before anything was read, both as normal:
    what spots see of bare steel tells the pits of a zone, and less of the deepest of
    them.

    Parameters
    ----------
    deeper, met : ndarray, shape (samples, zones)
        As in `Exposure`. [-]
    moved : ndarray, shape (samples, zones)
        By how much readings moved the logarithm. [-]
    read : ndarray of bool, shape (zones,)
        Where the least of some spots was read.

    Returns
    -------
    spots, weight, lot : ndarray
        As in `PitEvidence`. [-]
    """
    seen = deeper + met - met.mean(axis=0)
    own = deeper.std(axis=0)
    slope = (deeper * seen).mean(axis=0) / np.maximum(seen.var(axis=0), _LEAST)
    open_ = deeper - slope * seen
    left = np.maximum(open_.std(axis=0), _LEAST)
    own = np.maximum(own, _LEAST)
    weight = np.where(read, np.maximum(left**-2.0 - own**-2.0, 0.0), 0.0)
    sure = np.maximum(weight, _LEAST)
    told = slope * (seen + moved) / left**2 / sure
    lot = np.where(weight > 0.0, open_ / left, deeper / own)
    return np.where(weight > 0.0, told, 0.0), weight, lot


def beyond_the_loss(
    foreseen: Exposure, rows: Measured | None, factors: Factors, power: float
) -> Array:
    """Return by how much pits that were read went with the loss beyond its power.

    Readings meet a pit as what it is over the loss of its day; told are pits that go as
    a power of it: the rest of the logarithm.

    Parameters
    ----------
    foreseen : Exposure
        The records' losses.
    rows : Measured or None
        What was read.
    factors : Factors
        By what the losses are multiplied.
    power : float
        Of the loss, as which pits deepen. [-]

    Returns
    -------
    ndarray, shape (samples, zones)
        0 where no pit was read. [-]
    """
    out = np.zeros_like(foreseen.deeper)
    if rows is None:
        return out
    for row in np.flatnonzero(rows.pitted):
        zone, when = rows.zone[[row]], rows.moment[[row]]
        sea = foreseen.by_knot(when, zone, 1)[:, 0, 0]
        other = foreseen.at(foreseen.other, when, zone)[:, 0]
        was, lost = sea + other, factors.at(when)[:, 0, zone[0]] * sea + other
        some = (was > _LEAST) & (lost > _LEAST)
        change = np.divide(lost, was, out=np.ones_like(was), where=some)
        out[:, zone[0]] = (1.0 - power) * np.log(change)
    return out


def _left(found: PitEvidence) -> Array:
    """Return the factor up to which a yard that welded pits left them [-].

    Of a plate that leaked since, nothing: one grew that yards had not found so deep.
    """
    told = np.isfinite(found.deep) & ~found.leaked
    return np.where(told, found.deep, np.inf)


def _through(prior: PitPrior, found: PitEvidence) -> tuple[Array, Array]:
    """Return the odds of what is written where no pit was through, and where one was.

    Both (zones,) [-].
    """
    short = np.where(found.leaked, max(prior.mended, _LEAST), 1.0)
    return short, np.where(found.leaked, 1.0, max(prior.waits, _LEAST))


def _as_welded(
    middle: Array,
    own: Array,
    prior: PitPrior,
    found: PitEvidence,
    odds: tuple[Array, Array],
) -> tuple[Array, Array]:
    """Return mean and standard deviation of the next pit of plates that were welded.

    Of others as they were [-]. The pit that was welded is drawn, cut off where it went
    through; the next goes by it as far as one tells the other.
    """
    from scipy.special import ndtr, ndtri  # noqa: PLC0415 - importing stays light

    some = np.isfinite(found.through).all(axis=0) & ~found.known
    wide = np.hypot(own, prior.again)
    edge = np.where(some, found.through, 0.0) + prior.recorded - middle
    short = ndtr(edge / wide)
    below = odds[0] * short
    lot = found.through_lot * (below + odds[1] * (1.0 - short))
    rank = np.where(lot < below, lot / odds[0], short + (lot - below) / odds[1])
    welded = wide * ndtri(np.clip(rank, _SURE, 1.0 - _SURE))
    tells = np.where(some, (own / wide) ** 2, 0.0)
    return middle + tells * welded, own * np.sqrt(1.0 - tells)


def _caps(prior: PitPrior, found: PitEvidence) -> list[tuple[Array, Array]]:
    """Return what may be the most that a zone's x is, and how likely but for that.

    Of shape (samples, zones) and (zones,): a hole was noticed, or not; a yard would
    have welded it, or not.
    """
    hole = np.where(found.sound & ~found.known, prior.unnoticed, 1.0)
    left = np.isfinite(found.weld).all(axis=0) & ~found.known
    weld = np.where(left, prior.unwelded, 1.0)
    room, yard = found.room + prior.recorded, found.weld + prior.recorded
    return [
        (np.minimum(room, yard), (1.0 - hole) * (1.0 - weld)),
        (yard, hole * (1.0 - weld)),
        (room, (1.0 - hole) * weld),
        (np.full_like(room, np.inf), hole * weld),
    ]
