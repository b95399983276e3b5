"""What nature and people draw from: medians, spreads, and how a scenario shifts them.

A world's numbers are its own. They follow published values where there are any, and
the estimate reads none of them; a scenario moves one, or all, away from what the
estimate holds to be likely. Every subject has random numbers of its own, so that a
scenario changes what it names and leaves the rest of a life as it was.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final
from zlib import crc32

import numpy as np

from corrosion.foundation.data_files import csv_rows
from corrosion.foundation.types import Array

HOUR: Final = 3600.0
DAY: Final = 24.0 * HOUR
YEAR: Final = 365.25 * DAY
NOW: Final = 20454.0 * DAY
"""The end of 2025-12-31: every record ends and every truth is asked for here [s]."""


@dataclass(frozen=True, slots=True)
class Law:
    """A positive number of the world, lognormal."""

    median: float  # in the unit that its name says
    # geometric standard deviation; 1 where it is one number for every ship
    spread: float
    source: str  # where it is from; ``judgement`` where it is ours


def _read() -> Iterator[tuple[str, Law]]:
    for row in csv_rows(__file__, "laws.csv"):
        law = Law(float(row["median"]), float(row["spread"]), row["source"])
        yield row["law"], law


LAWS: Final[Mapping[str, Law]] = MappingProxyType(dict(_read()))
"""Numbers of the world that differ between ships, of laws.csv by name."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Nature:
    """Random numbers of one life."""

    seed: int  # of the ship
    # factor on the median of a law
    shifts: Mapping[str, float] = field(default_factory=dict)
    # factor on the logarithm of a law's spread
    widths: Mapping[str, float] = field(default_factory=dict)

    def rng(self, subject: str) -> np.random.Generator:
        """Return the random numbers of a subject, the same each time."""
        return np.random.default_rng([self.seed, crc32(subject.encode())])

    def median(self, law: str) -> float:
        """Return where a law lies in this life."""
        return LAWS[law].median * self.shifts.get(law, 1.0)

    def draw(self, law: str, count: int = 1, subject: str = "") -> Array:
        """Return values of a law, shape (count,).

        ``law``: one of :data:`LAWS`. ``count``: how many [-]. ``subject``: of what, so
        that two subjects of one law differ.
        """
        wide = np.log(LAWS[law].spread) * self.widths.get(law, 1.0)
        normal = self.rng(f"{law} {subject}").standard_normal(count)
        return np.asarray(self.median(law) * np.exp(wide * normal))

    def one(self, law: str, subject: str = "") -> float:
        """Return one value of a law."""
        return float(self.draw(law, 1, subject)[0])
