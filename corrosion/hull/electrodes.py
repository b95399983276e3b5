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

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from types import MappingProxyType
from typing import Final, Self

import numpy as np

from corrosion.foundation.data_files import csv_rows
from corrosion.foundation.types import Array, BoolArray, IntArray

STEEL: Final = ("steel", "cast iron")  # metals with steel's law
_DECADE = np.log(10.0)


@dataclass(frozen=True, slots=True)
class Law:
    """The law of one metal; potentials against Ag/AgCl in seawater."""

    rest: float  # potential at which no net current leaves it [V]
    natural: float  # density of dissolution there [A/m²]
    oxygen: float  # limit of oxygen over ``natural``, at least 1 [-]
    # anodic, cathodic, hydrogen: slopes [V/decade]
    anodic: float
    cathodic: float
    hydrogen: float
    onset: float  # how far below rest hydrogen takes up as much as ``natural`` [V]


_COLUMNS: Final = (
    "rest_v",
    "natural_a_per_m2",
    "oxygen_over_natural",
    "anodic_v",
    "cathodic_v",
    "hydrogen_v",
    "onset_v",
)


LAWS: Final[Mapping[str, Law]] = MappingProxyType(
    {
        row["metal"]: Law(*(float(row[name]) for name in _COLUMNS))
        for row in csv_rows(__file__, "electrodes.csv")
    }
)
"""Metals in still seawater and shore earths, by metals.csv's names, at their medians.

``electrodes.csv`` beside this file gives the source of each and the rows of the
assumptions table that hold its spread.
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

    def row(self, which: BoolArray | IntArray | tuple[slice, slice | None]) -> Self:
        """Return some of the samples or electrodes, or all with an axis between."""
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
