"""Rows of the study, what each compares and the band it must meet, and their scores.

Does an interval hold, how sharp is it, is a chance what it says. Zones of one ship
share much, so a standard error is reckoned over ships.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, Final, Literal

import numpy as np
from scipy.special import ndtr, ndtri

from corrosion.foundation.data_files import csv_rows
from corrosion.foundation.types import Array

CLAIM: Final = 200  # ships below which a row claims nothing
Verdict = Literal["pass", "fail", "unsettled", "few ships", "no answer", "told"]

_Z10: Final = float(ndtri(0.9))
_NORMAL: Final = ndtri((np.arange(64) + 0.5) / 64)


@dataclass(frozen=True, slots=True)
class Interval:
    """An answer in three quantiles, and what is true."""

    p10: float
    p50: float
    p90: float
    truth: float

    @property
    def says_nothing(self) -> bool:
        """Whether nothing was to be told and nothing is: such an answer is not counted.

        A point that misses the truth is counted, and misses.
        """
        return self.p10 == self.p50 == self.p90 == self.truth

    def above(self, least: float) -> "Interval":
        """Return the same where less than the least worth telling is that least."""
        return Interval(
            *(max(x, least) for x in (self.p10, self.p50, self.p90, self.truth))
        )

    def logged(self) -> "Interval":
        """Return the same in natural logarithms; of positive numbers."""
        low, middle, high, truth = (
            float(np.log(x)) for x in (self.p10, self.p50, self.p90, self.truth)
        )
        return Interval(low, middle, high, truth)

    @property
    def holds(self) -> bool:
        """Whether the 80 % interval holds the truth."""
        return self.p10 <= self.truth <= self.p90


def crps(ensemble: Array, truth: float) -> float:
    """Return the continuous ranked probability score of equally likely values.

    Parameters
    ----------
    ensemble : ndarray, shape (values,)
        In any order.
    truth : float
        In the same unit.

    Returns
    -------
    float
        Mean distance to the truth less half the mean distance between two values; 0
        is best. Same unit.

    References
    ----------
    .. [1] T. Gneiting and A. Raftery, "Strictly proper scoring rules, prediction, and
       estimation", JASA 102, 2007, 359, eq. 21 (from memory).

    Examples
    --------
    >>> crps(np.array([0.0, 2.0]), 1.0)
    0.5
    """
    x = np.sort(np.asarray(ensemble, np.float64))
    n = len(x)
    apart = 2.0 * ((2.0 * np.arange(1, n + 1) - n - 1.0) * x).sum() / n**2
    return float(np.abs(x - truth).mean() - 0.5 * apart)


def crps_of_interval(interval: Interval) -> float:
    """Return the score of the law of two half normals through the three quantiles."""
    z = _NORMAL
    low, high = interval.p50 - interval.p10, interval.p90 - interval.p50
    ensemble = interval.p50 + z / _Z10 * np.where(z < 0.0, low, high)
    return crps(ensemble, interval.truth)


def pit_of_interval(interval: Interval) -> float:
    """Return where the truth stands in that law, 0 to 1: its rank."""
    off = interval.truth - interval.p50
    half = interval.p50 - interval.p10 if off < 0.0 else interval.p90 - interval.p50
    return float(ndtr(_Z10 * off / half)) if half > 0.0 else float(off > 0.0)


def ratio_by_ship(
    sums: Sequence[float], counts: Sequence[float]
) -> tuple[float, float]:
    """Return a mean over all items, and its standard error by ship.

    Parameters
    ----------
    sums, counts : sequence of float
        Sum of the values of each ship, and how many they were.

    Returns
    -------
    tuple of float
        Ratio of the totals, and the linearised standard error of a ratio over
        clusters of unequal size; infinite for one ship.

    Examples
    --------
    >>> mean, error = ratio_by_ship([1.0, 3.0], [2.0, 4.0])
    >>> round(mean, 3), round(error, 3)
    (0.667, 0.111)
    """
    y, n = np.asarray(sums, float), np.asarray(counts, float)
    mean = float(y.sum() / n.sum())
    if len(y) < 2:
        return mean, float("inf")
    off = y - mean * n
    error = np.sqrt((off**2).sum() * len(y) / (len(y) - 1.0)) / n.sum()
    return mean, float(error)


def judge(
    value: float, error: float, ships: int, band: tuple[float, float] | None
) -> Verdict:
    """Return what a row may claim.

    It passes if its value ± 2 standard errors meets the band, fails if it does not. It
    is unsettled where that span is wider than the band itself, for then nearly
    anything would pass, and claims nothing from fewer than 200 ships.
    """
    if band is None:
        return "told"
    if ships < CLAIM:
        return "few ships"
    low, high = band
    if value + 2.0 * error < low or value - 2.0 * error > high:
        return "fail"
    return "unsettled" if 4.0 * error > max(high - low, 0.04) else "pass"


Item = Interval | float
"""An interval beside its truth; or a number: 0 or 1, a difference, years."""

Findings = dict[str, list[Item | None]]
"""By row, what one ship gave; None where the estimate does not answer."""


@dataclass(frozen=True, slots=True)
class Row:
    """One row."""

    words: str  # what is compared
    # 80 % intervals that hold, ones among zeros and ones, or a mean
    kind: Literal["interval", "share", "mean"]
    band: tuple[float, float] | None  # least and most; None: told, not judged
    unit: str = ""  # of a mean, and of the score beside an interval

    @property
    def log(self) -> bool:
        """Whether the score is that of natural logarithms, for what spans decades."""
        return self.unit.startswith("ln ")

    @property
    def least(self) -> float:
        """Of an interval, in its unit."""
        return _LEAST.get(self.unit, 0.0)


_LEAST: Final = {
    "mm": 0.01,
    "%": 1.0,
    "ln kg": 1e-3,
    "ln A·h": 1e-2,
    "ln A": 1e-4,
    "ln h": 1.0 / 60.0,
    "ln Ω": 1e-2,
}
"""What is less is as good as nothing: answer and truth are both taken as this."""


def _read() -> Iterator[tuple[str, Row]]:
    for line in csv_rows(__file__, "rows.csv"):
        judged = line["least"] != ""
        band = (float(line["least"]), float(line["most"])) if judged else None
        kind: Any = line["kind"]
        yield line["row"], Row(line["words"], kind, band, line["unit"])


ROWS: Final[Mapping[str, Row]] = MappingProxyType(dict(_read()))
"""Every row of rows.csv, by name."""
