r"""How a metal in seawater answers a current: dissolution, oxygen and hydrogen.

With *E* the potential of the metal over the water at its surface and *r* its rest, the
net density that leaves it is

.. math::
   j = i_n 10^{(E-r)/\beta_a}
     - \frac{(1-\epsilon) \, k \, i_n}{1 + (k-1) 10^{(E-r)/\beta_c}}
     - \epsilon \, i_n 10^{-(E-r)/\beta_h}, \qquad \epsilon = 10^{-E_h/\beta_h}

The first term dissolves the metal, the second reduces oxygen, at rest as fast as it
dissolves and far below it at *k* times that, its limit, and the third splits water.
With *k* = 1 oxygen arrives at its limit always, as for steel in
:mod:`corrosion.hull.nonlinear.polarisation`. Every term rises with *E*.
"""

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from typing import Final, Self

import numpy as np

from corrosion.foundation.types import Array, BoolArray, IntArray

__all__ = ["LAWS", "STEEL", "Electrodes", "Law", "Partial"]

STEEL: Final = ("steel", "cast iron")
"""Metals with steel's law."""

_DECADE = np.log(10.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Law:
    """The law of one metal; potentials against Ag/AgCl in seawater.

    Attributes
    ----------
    rest : float
        Potential at which no net current leaves it. [V]
    natural : float
        Density of dissolution there. [A/m²]
    oxygen : float
        Limit of oxygen over ``natural``, at least 1. [-]
    anodic, cathodic, hydrogen : float
        Slopes. [V/decade]
    onset : float
        How far below rest hydrogen takes up as much as ``natural``. [V]
    """

    rest: float
    natural: float
    oxygen: float
    anodic: float
    cathodic: float
    hydrogen: float
    onset: float


def _law(*numbers: float) -> Law:
    names = [field.name for field in fields(Law)]
    return Law(**dict(zip(names, numbers, strict=True)))


LAWS: Final = {
    "steel": _law(-0.65, 0.043, 2.0, 0.058, 0.12, 0.12, 0.45),
    "cast iron": _law(-0.65, 0.043, 2.0, 0.058, 0.12, 0.12, 0.45),
    "bronze": _law(-0.30, 0.010, 15.0, 0.060, 0.12, 0.12, 0.80),
    "nickel-aluminium bronze": _law(-0.30, 0.010, 15.0, 0.060, 0.12, 0.12, 0.80),
    "copper": _law(-0.36, 0.010, 15.0, 0.060, 0.12, 0.12, 0.80),
    "brass": _law(-0.35, 0.010, 15.0, 0.060, 0.12, 0.12, 0.80),
    "copper-nickel 90/10": _law(-0.25, 0.004, 37.5, 0.060, 0.12, 0.12, 0.80),
    "copper-nickel 70/30": _law(-0.22, 0.004, 37.5, 0.060, 0.12, 0.12, 0.80),
    "stainless 304": _law(-0.10, 0.001, 150.0, 0.12, 0.12, 0.12, 0.90),
    "stainless 316": _law(-0.08, 0.001, 150.0, 0.12, 0.12, 0.12, 0.90),
    "lead": _law(-0.50, 0.005, 30.0, 0.060, 0.12, 0.12, 0.80),
    "aluminium 5083": _law(-0.85, 0.002, 10.0, 0.030, 0.12, 0.12, 0.60),
    "aluminium 6061": _law(-0.80, 0.002, 10.0, 0.030, 0.12, 0.12, 0.60),
    "zinc": _law(-1.05, 0.020, 1.0, 0.030, 0.12, 0.12, 1.0),
    "aluminium": _law(-1.10, 0.020, 1.0, 0.030, 0.12, 0.12, 1.0),
    "magnesium": _law(-1.50, 0.020, 1.0, 0.030, 0.12, 0.12, 1.0),
    "copper earth": _law(-0.35, 0.05, 20.0, 0.060, 0.12, 0.12, 0.70),
    "steel in concrete": _law(-0.25, 0.05, 20.0, 0.200, 0.12, 0.12, 0.80),
    "galvanised earth": _law(-0.95, 0.05, 20.0, 0.060, 0.12, 0.12, 0.30),
    "protected quay": _law(-0.85, 0.05, 20.0, 0.060, 0.12, 0.12, 0.30),
}
"""Metals in still seawater and shore earths, at their medians, by metals.csv's names.

Rests of steel, bronze, copper, aluminium and zinc lie within published galvanic series
(secondary), the others' are from memory;
steel's natural density is 0.05 mm a year and its anodic slope that of Batt and Robinson
2002 (abstract); bronze's oxygen limit of 0.15 A/m² and the earths are judgement; other
slopes, onsets and the anodes' are from memory.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Partial:
    """Partial densities of electrodes [A/m²] and their absolute slopes [S/m²]."""

    dissolution: Array
    oxygen: Array
    hydrogen: Array
    slope: Array
    dissolution_slope: Array

    @property
    def net(self) -> Array:
        """Net density that leaves the metal [A/m²]."""
        return np.asarray(self.dissolution - self.oxygen - self.hydrogen)


@dataclass(frozen=True, slots=True, kw_only=True)
class Electrodes:
    """Laws of many electrodes, (samples, electrodes) each; see :class:`Law`."""

    rest: Array
    natural: Array
    oxygen: Array
    anodic: Array
    cathodic: Array
    hydrogen: Array
    onset: Array

    @classmethod
    def of(cls, laws: list[Law], samples: int) -> Self:
        """Return the same laws in every sample."""
        return cls(
            **{
                field.name: np.tile(
                    [getattr(law, field.name) for law in laws], (samples, 1)
                )
                for field in fields(Law)
            }
        )

    @classmethod
    def of_rows(cls, laws: Sequence[str]) -> Self:
        """Return one electrode, of its own law in each sample: a name of ``LAWS``."""
        kinds = list(dict.fromkeys(laws))
        which = [kinds.index(name) for name in laws]
        each = cls.of([LAWS[name] for name in kinds], 1)
        return cls(
            **{field.name: getattr(each, field.name).T[which] for field in fields(Law)}
        )

    def row(self, which: BoolArray | IntArray | tuple[slice, None]) -> Self:
        """Return some of the samples, or their laws with an axis between."""
        return replace(
            self, **{one.name: getattr(self, one.name)[which] for one in fields(self)}
        )

    def at(self, volts: Array) -> Partial:
        """Return the partial densities at potentials, (samples, electrodes) [V]."""
        over = volts - self.rest
        share = np.exp(-_DECADE * self.onset / self.hydrogen)
        ease = (self.oxygen - 1.0) * np.exp(_DECADE * over / self.cathodic)
        a = self.natural * np.exp(_DECADE * over / self.anodic)
        o = (1.0 - share) * self.oxygen * self.natural / (1.0 + ease)
        h = share * self.natural * np.exp(-_DECADE * over / self.hydrogen)
        steep = a * _DECADE / self.anodic
        return Partial(
            dissolution=a,
            oxygen=o,
            hydrogen=h,
            slope=steep
            + o * ease / (1.0 + ease) * _DECADE / self.cathodic
            + h * _DECADE / self.hydrogen,
            dissolution_slope=steep,
        )
