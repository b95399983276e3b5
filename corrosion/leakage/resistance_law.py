"""The resistances that faults of one ship have, learned from all of them.

What is taken of a fault's resistance before anything is read holds for the faults of
all ships. Those of one ship scatter less, about a median of her own: a dry ship's lie
high, a wet one's low. Median and spread are weighed on a grid by how well they explain
what was read of every fault and what its dates say. Each sample has one pair of them,
so that what is not known of her is not averaged out over her faults.
"""

from dataclasses import dataclass, replace
from typing import Final, Self

import numpy as np

from corrosion.foundation.assumptions import Assumptions
from corrosion.foundation.types import Array, IntArray
from corrosion.leakage.inference.inverse_cdf import sample_cell

_MEDIANS, _SPREADS = 9, 5  # points of the grid
_REACH: Final = 2.5  # standard deviations of the prior that it spans, either way


@dataclass(frozen=True, slots=True)
class ResistanceLaw:
    """A ship's own medians and spreads, weighed by what is known of her faults."""

    # mean and standard deviation of the logarithm over all ships [ln Ω], [-]
    usual: tuple[float, float]
    # median, spread, shape (cells,): points of the grid, in the end those
    # of some sample [ln Ω], [-]
    median: Array
    spread: Array
    # share of her faults that are as those of any ship: a dead short on a dry one.
    # Without it her law's tail would sooner call a sure reading a slip [-]
    apart: float
    cell: IntArray  # shape (samples,): point of each sample

    @classmethod
    def of(cls, table: Assumptions, ohms: Array, weight: Array, uniform: Array) -> Self:
        """Return it as the faults of a ship teach it.

        Parameters
        ----------
        table : Assumptions
            Hers.
        ohms : ndarray, shape (samples, faults)
            Resistances as readings leave them if nothing is known of her own. [Ω]
        weight : ndarray, shape (samples, faults)
            How likely the dates of each fault are, given them. [-]
        uniform : ndarray, shape (samples,)
            Numbers in (0, 1). [-]
        """
        from scipy.special import ndtri  # noqa: PLC0415 - importing corrosion stays light

        row = table["fault_ohm"]
        usual = float(np.log(row.median)), float(np.log(row.geometric_sd))
        of_ship = min(np.log(table["fault_ohm_ship"].geometric_sd), 0.9 * usual[1])
        own = np.sqrt(usual[1] ** 2 - of_ship**2)
        doubt = np.log(table["fault_ohm_ship_spread"].geometric_sd)
        z, y = (np.linspace(-_REACH, _REACH, n) for n in (_MEDIANS, _SPREADS))
        found = cls(
            usual,
            np.repeat(usual[0] + of_ship * z, _SPREADS),
            np.tile(own * np.exp(doubt * y), _MEDIANS),
            table.value("fault_ohm_apart"),
            np.zeros(len(uniform), dtype=np.int64),
        )
        # What nothing is known of speaks for no law: samples are few in the tails, so a
        # law is held against as many samples of nothing.
        even = (np.arange(len(uniform)) + 0.5) / len(uniform)
        nothing = np.exp(usual[0] + usual[1] * ndtri(even))
        score = -0.5 * np.add.outer(z**2, y**2).ravel()
        score -= ohms.shape[1] * np.log(found.over_usual(nothing).mean(axis=1))
        for one, likely in zip(ohms.T, weight.T, strict=True):
            score += np.log(found.over_usual(one) @ likely / likely.sum())
        cell, _ = sample_cell(np.exp(score - score.max())[None], uniform)
        drawn, mine = np.unique(cell, return_inverse=True)
        return replace(
            found, median=found.median[drawn], spread=found.spread[drawn], cell=mine
        )

    def over_usual(self, ohms: Array) -> Array:
        """Return the density of resistances by each law over the usual one.

        Shape (cells, samples). [-]
        """
        x, (middle, sd) = np.log(ohms), self.usual
        if sd == 0.0:  # a ship that says that all of hers are alike
            return np.ones((len(self.median), len(ohms)))
        away = (x - self.median[:, None]) / self.spread[:, None]
        score = 0.5 * (((x - middle) / sd) ** 2 - away**2)
        ratio = np.exp(score) * (sd / self.spread)[:, None]
        return np.asarray((1.0 - self.apart) * ratio + self.apart)

    def in_keeping(self, ohms: Array, weight: Array) -> IntArray:
        """Return which sample of a fault each sample becomes.

        In keeping with its own law and with the dates.

        ``ohms``, shape (samples,): resistance of one fault: the order of the samples
        stays as far as their laws agree, so that what hangs together with that of other
        faults, or with the healthy system, stays together [Ω]. ``weight``, shape
        (samples,): how likely its dates are, given it [-].
        """
        order = np.argsort(ohms, kind="stable")
        cdf = np.cumsum((self.over_usual(ohms) * weight)[:, order], axis=1)
        cdf /= cdf[:, -1:]
        # All laws' distributions end to end, that of law n raised by n.
        raised = (cdf + np.arange(len(cdf))[:, None]).ravel()
        place = np.empty(len(ohms))
        place[order] = (np.arange(len(ohms)) + 0.5) / len(ohms)
        step = np.searchsorted(raised, self.cell + place) - self.cell * len(ohms)
        return np.asarray(order[np.clip(step, 0, len(ohms) - 1)])
