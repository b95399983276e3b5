"""What gaugings are worth before they are made: risk removed, decisions changed.

Preposterior analysis on the samples: for a set of zones that may be gauged, what would
be done at the docking with the readings and without them.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np
import numpy.typing as npt

from corrosion.foundation.assumptions import Assumptions
from corrosion.foundation.errors import InputError
from corrosion.foundation.types import Array, BoolArray, IntArray

# of what readings say: levels tried, close where few samples lie, and then between
_RULES: Final = 1.0 / (1.0 + np.exp(-np.linspace(-6.5, 6.5, 17)))
_BETWEEN: Final = np.linspace(-0.9, 0.9, 10)
_BY_CHANCE: Final = 3.0  # standard errors of a correlation that is none


@dataclass(frozen=True, kw_only=True)
class Prospect:
    r"""What is known before gauging, sample by sample.

    A zone is either left as it is at the docking, at a risk of its chance below limit
    times its consequence, or renewed, which costs as much as the risk at a chance of
    ``renewal``. Without a gauging the cheaper of the two is taken for all samples;
    after a gauging it is taken knowing the readings. The value is the difference [1]_.
    A zone that is certainly sound, or certainly gone, is worth nothing: no reading
    would change what is done.

    What is done, by what is known then: likelier than not below a limit today, it is
    dealt with at once; below one at the docking, renewed there; as likely as ``again``,
    gauged again before; else left.

    Raises
    ------
    InputError
        If an ``sd`` is not positive.

    Notes
    -----
    Readings y of a set are brought to one score for each zone, the linear prediction of
    its margin from them; a correlation that chance could give, below three standard
    errors, counts as none. With renewal at a chance t and below a score u, of standard
    error σ by the readings' errors,

    .. math:: R_1 = c \min_u \frac{1}{S} \sum_s \bigl( t\,\Phi(\tfrac{u - u_s}{\sigma})
              + [m_s < 0]\,\Phi(\tfrac{u_s - u}{\sigma}) \bigr), \quad
              R_0 = c \min(P, t), \quad v = R_0 - R_1

    The chance below limit falls as the score rises, so that one level u is the best
    rule; it is sought among quantiles of the score.

    References
    ----------
    .. [1] H. Raiffa and R. Schlaifer, "Applied Statistical Decision Theory", 1961
       (preposterior analysis, from memory).

    Examples
    --------
    One zone far from its limit, and one that may lie below it or not:

    >>> margin = np.stack([np.full(101, 4e-3), np.linspace(-1e-3, 4e-3, 101)], axis=1)
    >>> known = Prospect(
    ...     margin=margin, signal=margin, sd=np.full(2, 2e-4),
    ...     consequence=np.array([4, 4]), renewal=0.5, again=0.05,
    ... )
    >>> known.worth([0, 1]).round(2).tolist()
    [0.0, 0.33]
    >>> known.changes([0, 1], renewals=True).round(2).tolist()
    [0.0, 0.2]
    """

    # shape (samples, zones): least margin over a limit at the docking [m]
    margin: Array
    # shape (samples, zones): what a gauging of each zone today would read, but for its
    # error: the least margin today [m]
    signal: Array
    sd: Array  # shape (zones,): standard uncertainty of that reading, > 0 [m]
    consequence: Array  # shape (zones,): 1 to 5 [-]
    renewal: float  # chance below limit at which renewing costs as much as leaving [-]
    # chance below limit at the docking from which a zone is gauged again before [-]
    again: float

    def __post_init__(self) -> None:
        if not (self.sd > 0.0).all():
            msg = f"Prospect: sd must be > 0 m, got {np.min(self.sd):g} m."
            raise InputError(msg)

    @cached_property
    def chance(self) -> Array:
        """Chance of each zone to be below a limit at the docking, (zones,) [-]."""
        return np.asarray((self.margin < 0.0).mean(axis=0))

    @cached_property
    def open(self) -> IntArray:
        """Zones of which it is not certain what is right."""
        now = (self.signal < 0.0).mean(axis=0)
        return np.flatnonzero((self.chance > 0.0) & (now < 1.0))

    @cached_property
    def _moments(self) -> tuple[Array, Array, Array]:
        """Covariances of signals, and with margins (margin first); which are sure."""
        samples = len(self.signal)
        signal = self.signal - self.signal.mean(axis=0)
        margin = self.margin - self.margin.mean(axis=0)
        among = signal.T @ signal / samples
        across = margin.T @ signal / samples
        size = np.sqrt(np.outer((margin**2).mean(axis=0), np.diag(among)))
        least = _BY_CHANCE / np.sqrt(samples)
        sure = np.abs(across) > least * np.maximum(size, 1e-300)
        np.fill_diagonal(sure, val=True)
        return among, across, sure

    def worth(self, gauged: Sequence[int]) -> Array:
        """Return the risk that gauging some zones is expected to take off each.

        Parameters
        ----------
        gauged : sequence of int
            Their numbers.

        Returns
        -------
        ndarray, shape (zones,)
            In chance below limit times consequence, of all zones: a reading speaks for
            others where they vary together. [-]
        """
        value = np.zeros(len(self.sd))
        told, score, error = self._scores(gauged, self.open)
        if told.size:
            below = self.margin[:, told] < 0.0
            less, _ = _best_rule(score, error, below, self.renewal)
            value[told] = self.consequence[told] * less
        return value

    def changes(
        self,
        gauged: Sequence[int],
        *,
        of: Sequence[int] | None = None,
        renewals: bool = False,
    ) -> Array:
        """Return the chance that gauging some zones changes what is done to each.

        Parameters
        ----------
        gauged : sequence of int
            Their numbers.
        of : sequence of int, optional
            Zones asked about; None: all.
        renewals : bool, optional
            Whether alone those changes count that say whether a zone is renewed at the
            docking.

        Returns
        -------
        ndarray, shape (zones,)
            Gauged or not; 0 where not asked about. [-]
        """
        changed = np.zeros(len(self.sd))
        asked = self.open if of is None else np.intersect1d(self.open, of)
        told, score, error = self._scores(gauged, asked)
        if not told.size:
            return changed
        ahead = self.margin[:, told] < 0.0
        bounds = [(ahead, self.renewal)]
        if not renewals:
            now = self.signal[:, told] < 0.0
            bounds = [(now, self.renewal), *bounds, (ahead, self.again)]
        # What is done goes with the score: up to each bound's level the act that it
        # bounds or one before. Of one that no reading moves, all or nothing is.
        before = np.array([below.mean(axis=0) > chance for below, chance in bounds])
        up_to = np.zeros((len(bounds) + 2, told.size))
        up_to[-1] = 1.0
        for k, (below, chance) in enumerate(bounds):
            less, share = _best_rule(score, error, below, chance)
            up_to[k + 1] = np.where(less > 0.0, share, before[k])
        up_to = np.maximum.accumulate(up_to, axis=0)
        act = (~before).sum(axis=0), np.arange(told.size)
        changed[told] = 1.0 - (up_to[1:][act] - up_to[:-1][act])
        return changed

    def _scores(
        self, gauged: Sequence[int], asked: IntArray
    ) -> tuple[IntArray, Array, Array]:
        """Return which zones readings tell of, their scores, and errors of these."""
        rows = np.asarray(gauged, np.int64)
        among, across, sure = self._moments
        told = asked[sure[np.ix_(asked, rows)].any(axis=1)]
        weight = np.zeros((len(self.sd), told.size))
        for column, zone in enumerate(told):
            some = rows[sure[zone, rows]]
            noisy = among[np.ix_(some, some)] + np.diag(self.sd[some] ** 2)
            weight[some, column] = np.linalg.solve(noisy, across[zone, some])
        error = np.sqrt((self.sd[:, None] ** 2 * weight**2).sum(axis=0))
        return told, self.signal @ weight, error


def _best_rule(
    score: Array, error: Array, below: BoolArray, renewal: float
) -> tuple[Array, Array]:
    """Return the risk that the best rule takes off, and how often it acts."""
    from scipy.special import ndtr  # noqa: PLC0415 - importing corrosion stays light

    without = np.minimum(below.mean(axis=0), renewal)
    width = np.maximum(error, 1e-15)

    def by(level: Array) -> tuple[Array, Array]:
        sound = ndtr((score - level) / width)
        renewed = 1.0 - sound.mean(axis=0)
        return renewal * renewed + (below * sound).mean(axis=0), renewed

    levels = np.quantile(score, _RULES, axis=0)
    found = [by(level) for level in levels]
    best = np.argmin([risk for risk, _ in found], axis=0)
    columns = np.arange(score.shape[1])
    at, low, high = (
        levels[np.clip(best + step, 0, len(levels) - 1), columns] for step in (0, -1, 1)
    )
    found += [
        by(at + part * np.where(part > 0.0, high - at, at - low)) for part in _BETWEEN
    ]
    risks, acts = (np.array(each) for each in zip(*found, strict=True))
    best = np.argmin(risks, axis=0)
    less = np.maximum(without - risks[best, columns], 0.0)
    return less, acts[best, columns]


def readings_for(area: npt.ArrayLike, *, assumptions: Assumptions) -> IntArray:
    """Return the fewest thickness readings that a zone needs.

    Parameters
    ----------
    area : array_like
        Plate area of the zone, 0 or more. [m²]
    assumptions : Assumptions
        The ship's.

    Returns
    -------
    ndarray of int
        One for each ``gauging_area_per_reading_m2``, at least
        ``gauging_readings_least`` (basis table). [-]

    Examples
    --------
    >>> from corrosion.foundation.assumptions import default_assumptions
    >>> readings_for([2.0, 50.0], assumptions=default_assumptions()).tolist()
    [5, 13]
    """
    each = assumptions.value("gauging_area_per_reading_m2")
    count = np.ceil(np.asarray(area, np.float64) / each).astype(np.int64)
    return np.maximum(count, int(assumptions.value("gauging_readings_least")))
