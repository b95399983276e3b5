"""When to stop sweeping: the samples have forgotten where they started."""

from typing import Final

import numpy as np

from corrosion.foundation.types import Array

_REMEMBERED: Final = 0.35  # correlation of start and end at most
_DRIFT: Final = 0.1  # by how many standard deviations the mean may still move


class Mixing:
    """Watches an ensemble of independent chains from sweep to sweep.

    Chains that start from the same law differ from one another as much as that law
    says, right or wrong: comparing chains shows nothing. What shows is whether each
    has forgotten its start (correlation over the ensemble of a quantity's ranks at the
    start of a stretch and at its end: a few samples far off do not decide), and whether
    the ensemble's mean still drifts. Stretches grow by half; the last third of the
    sweeps is kept.

    Parameters
    ----------
    least, most : int
        How many sweeps at least and at most.
    """

    def __init__(self, *, least: int, most: int) -> None:
        self.sweeps = 0
        self.mixed = False
        self.restarted = False
        self._most = most
        self._check = max(least // 2, 1)
        self._began: Array | None = None
        self._mean: Array | None = None

    def done(self, watched: Array) -> bool:
        """Note the state after a sweep, (samples, quantities); return whether to stop.

        ``restarted`` is true where the sweeps from the next on are the ones to keep.
        """
        self.sweeps += 1
        self.restarted = False
        if self.sweeps == self._check:
            if self._began is not None:
                self.mixed = self._forgotten(self._began, watched)
                if self.mixed or self.sweeps >= self._most:
                    return True
            self._began = watched
            self._check = min(self.sweeps + -(-self.sweeps // 2), self._most)
            self.restarted = True
        return self.sweeps >= self._most

    @staticmethod
    def _forgotten(began: Array, now: Array) -> bool:
        means, sds = now.mean(axis=0), now.std(axis=0)
        before = began.std(axis=0)
        varied = (sds > 0.0) & (before > 0.0)
        if not varied.any():  # a few samples may lie at one point: that tells nothing
            return False
        drift = np.abs(means - began.mean(axis=0))[varied] / sds[varied]
        start, end = (_ranks(each[:, varied]) for each in (began, now))
        memory = np.abs((start * end).mean(axis=0))
        noise = 2.0 / np.sqrt(len(now))
        return bool(
            np.quantile(drift, 0.95) < _DRIFT + noise
            and np.quantile(memory, 0.95) < _REMEMBERED + noise
        )


def _ranks(values: Array) -> Array:
    """Return ranks over the samples about their mean, of variance one."""
    ranks = values.argsort(axis=0, kind="stable").argsort(axis=0).astype(np.float64)
    return np.asarray((ranks - ranks.mean(axis=0)) / ranks.std(axis=0))
