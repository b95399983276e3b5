"""The metals of a hull and what hangs on it: composition, density, equivalent weight.

Compositions stand in ``metals.csv`` beside this file, each with its source; atomic
masses in ``elements.csv`` are the abridged standard atomic weights of IUPAC (2021, from
memory). Equivalent weights are computed from both, never typed.
"""

import csv
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from importlib.resources import files
from types import MappingProxyType
from typing import Final

from corrosion.foundation.errors import InputError, LookupFailed
from corrosion.foundation.units import PERCENT

FARADAY: Final = 1.602176634e-19 * 6.02214076e23
"""Charge of one mole of electrons, exact since 2019: e times N_A. [C/mol]"""

_GRAM: Final = 1e-3  # equivalent weights are in grams, as everywhere in print [kg]


def _rows(name: str) -> Iterator[dict[str, str]]:
    text = (files("corrosion.wastage") / name).read_text(encoding="utf-8")
    yield from csv.DictReader(text.splitlines())


ATOMIC_MASSES: Final[Mapping[str, float]] = MappingProxyType(
    {row["symbol"]: float(row["grams_per_mole"]) for row in _rows("elements.csv")}
)
"""Standard atomic weight of each element that an alloy here holds. [g/mol]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Metal:
    """A metal or alloy that a current may dissolve.

    Attributes
    ----------
    name : str
        As in column ``metal`` of zones.csv.
    density : float
        Mass of a cubic metre. [kg/m³]
    composition : tuple of (str, float, int)
        Element, mass per cent, and valence in which it dissolves. Elements below
        1 per cent may be left out, so that the sum may fall short of 100.
    natural_ratio : float
        Natural loss of depth over that of steel in the same water. [-]
    source : str
        Where composition and density come from.

    Raises
    ------
    InputError
        If density or a share is not positive, the shares do not add up, or an
        element is unknown.
    """

    name: str
    density: float
    composition: tuple[tuple[str, float, int], ...]
    natural_ratio: float
    source: str

    def __post_init__(self) -> None:
        total = sum(percent for _, percent, _ in self.composition)
        if not 95.0 <= total <= 100.5:  # minor elements left out, rounding
            msg = (
                f"metal {self.name!r}: mass per cent must add up to 100 (95 where "
                f"minor elements are left out), got {total:g}. Give per cent."
            )
            raise InputError(msg)
        for symbol, percent, valence in self.composition:
            if symbol not in ATOMIC_MASSES:
                known = ", ".join(ATOMIC_MASSES)
                msg = f"metal {self.name!r}: no element {symbol!r}; known: {known}"
                raise InputError(msg)
            if not (percent > 0.0 and valence > 0):
                msg = (
                    f"metal {self.name!r}: {symbol} needs a positive mass per cent and "
                    f"valence, got {percent:g} and {valence}"
                )
                raise InputError(msg)
        if not (self.density > 0.0 and self.natural_ratio >= 0.0):
            msg = (
                f"metal {self.name!r}: density must be > 0 kg/m³ and natural_ratio "
                f">= 0, got {self.density:g} and {self.natural_ratio:g}"
            )
            raise InputError(msg)

    @property
    def equivalent_weight(self) -> float:
        r"""Mass dissolved by one mole of electrons, in grams a mole.

        .. math:: \frac{1}{EW} = \sum_i \frac{n_i f_i}{W_i}

        with valence :math:`n_i`, mass share :math:`f_i` and atomic mass :math:`W_i`
        (ASTM G102, "Standard Practice for Calculation of Corrosion Rates and Related
        Information from Electrochemical Measurements", from memory).
        """
        electrons = sum(
            valence * percent * PERCENT / ATOMIC_MASSES[symbol]
            for symbol, percent, valence in self.composition
        )
        return 1.0 / electrons

    @property
    def charge_per_mass(self) -> float:
        """Charge that dissolves one kilogram, in coulombs a kilogram."""
        return FARADAY / (self.equivalent_weight * _GRAM)

    @property
    def charge_per_volume(self) -> float:
        """Charge that dissolves one cubic metre, in coulombs a cubic metre.

        Also: current density in A/m² over the rate of recession in m/s.
        """
        return self.density * self.charge_per_mass


def _composition(text: str) -> tuple[tuple[str, float, int], ...]:
    parts = [part.split() for part in text.split(";")]
    return tuple((symbol, float(mass), int(n)) for symbol, mass, n in parts)


METALS: Final[Mapping[str, Metal]] = MappingProxyType(
    {
        row["name"]: Metal(
            name=row["name"],
            density=float(row["density_kg_per_m3"]),
            composition=_composition(row["composition"]),
            natural_ratio=float(row["natural_ratio"]),
            source=row["source"],
        )
        for row in _rows("metals.csv")
    }
)
"""Every metal that a zone may be of, by name."""


def metal(name: str | Metal) -> Metal:
    """Return a metal by its name; a metal of one's own passes through.

    Parameters
    ----------
    name : str or Metal
        A name of ``METALS``, or a metal.

    Raises
    ------
    LookupFailed
        If there is no metal of that name.

    Examples
    --------
    >>> round(metal("stainless 304").equivalent_weight, 2)
    25.12
    """
    if isinstance(name, Metal):
        return name
    try:
        return METALS[name]
    except KeyError:
        raise LookupFailed.among(what="metal", name=name, known=METALS) from None
