"""What nature and people draw from: medians, spreads, and how a scenario shifts them.

A world's numbers are its own. They follow published values where there are any, and
the estimate reads none of them; a scenario moves one, or all, away from what the
estimate holds to be likely. Every subject has random numbers of its own, so that a
scenario changes what it names and leaves the rest of a life as it was.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final
from zlib import crc32

import numpy as np

from corrosion.foundation.types import Array

HOUR: Final = 3600.0
DAY: Final = 24.0 * HOUR
YEAR: Final = 365.25 * DAY
NOW: Final = 20454.0 * DAY
"""The end of 2025-12-31: every record ends and every truth is asked for here [s]."""


@dataclass(frozen=True, slots=True)
class Law:
    """A positive number of the world, lognormal.

    Attributes
    ----------
    median : float
        In the unit that its name says.
    spread : float
        Geometric standard deviation; 1 where it is one number for every ship.
    source : str
        Where it is from; ``judgement`` where it is ours.
    """

    median: float
    spread: float
    source: str = "judgement"


LAWS: Final[Mapping[str, Law]] = MappingProxyType(
    {
        # steel in the sea
        "natural_rate": Law(
            1.04,
            1.35,
            "over EN 1993-5 Table 4-2 in clean water of 0 degrees; water.richness",
        ),
        "natural_rate_bilge": Law(1.0, 1.5),
        "way": Law(3.7, 1.5, "steel 6, 13, 47 mpy at 1, 4, 27 ft/s: API 571"),
        "natural_rate_zone": Law(1.0, 1.3),
        "natural_rate_years": Law(1.0, 1.4),  # wanders, memory of fifteen years
        "inside_space": Law(1.0, 2.0),  # a zone's inner face over its kind of space
        "inside_ship": Law(
            1.0, 2.0, "steel.INSIDE: a class rule's corrosion additions"
        ),
        "pitting": Law(3.2, 1.35, "steel.Plating.pits: mm on 1 m² that lost 1 mm"),
        "pit_power": Law(0.7, 1.25, "pits deep early: steel.Plating.pits"),
        "paint_speed": Law(1.0, 1.35, "1: 7, 30, 63, 87 % at 10, 20, 30, 40 years"),
        "paint_speed_zone": Law(1.0, 1.2),
        "weak_spots": Law(
            0.5, 1.6, "correlation; no source: 0.2 to 1, once judged 0.7, once 0.4"
        ),
        "rolled": Law(1.0, 1.02, "plates come thicker or thinner"),
        # electrodes
        "anodic_slope_v": Law(0.058, 1.15, "Batt & Robinson, Br. Corros. J. 37, 2002"),
        "oxygen_limit_less_one": Law(1.0, 2.0),  # k - 1 of the cathodic law
        "paint_ohm_m2": Law(5000.0, 4.0, "Babić et al., Prog. Org. Coatings 23, 1994"),
        "ac_share": Law(0.005, 3.0, "below 1 %: Gummow, Wakelin & Segall 1999"),
        "brush_ohm": Law(0.003, 3.0, "a good brush keeps a milliohm: from memory"),
        "bearing_ohm": Law(0.5, 4.0, "oil film of a turning shaft: from memory"),
        "shore_earth_ohm": Law(1.0, 2.5),
        "shore_earth_amps": Law(1.0, 5.0),  # more than this it cannot pass
        "cable_ohm": Law(0.2, 2.0),
        # electricity aboard
        "fault_ohm": Law(300.0, 20.0),  # of all that arise: people find the low ones
        "faults_a_year": Law(2.0, 1.5),
        "welding_a_year": Law(0.5, 2.0),
        "capacitance": Law(1.0, 1.3),  # true over written
        "insulation": Law(1.0, 2.0),
        "trip_amps": Law(10.0, 2.0),
        # people
        "watch_hours": Law(5.0, 1.5),
        "round_days": Law(90.0, 2.0),
        "response_hours": Law(20.0, 2.0),  # median of a ship
        "response_one": Law(1.0, 5.0),  # one fault about it
        "eye": Law(1.0, 1.5),  # judges paint: one eye a ship
        "eye_zone": Law(1.0, 1.2),
        "clamp": Law(1.0, 1.03),
        "tester": Law(1.0, 1.15),
        "tested_not_served": Law(1.0, 2.0),  # branch dead and alive
        "voltmeter": Law(1.0, 1.02),
        "light": Law(1.0, 1.15),
    }
)
"""Numbers of the world that differ between ships, by name."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Nature:
    """Random numbers of one life.

    Attributes
    ----------
    seed : int
        Of the ship.
    shifts : mapping of str to float
        Factor on the median of a law.
    widths : mapping of str to float
        Factor on the logarithm of a law's spread.
    """

    seed: int
    shifts: Mapping[str, float] = field(default_factory=dict)
    widths: Mapping[str, float] = field(default_factory=dict)

    def rng(self, subject: str) -> np.random.Generator:
        """Return the random numbers of a subject, the same each time."""
        return np.random.default_rng([self.seed, crc32(subject.encode())])

    def median(self, law: str) -> float:
        """Return where a law lies in this life."""
        return LAWS[law].median * self.shifts.get(law, 1.0)

    def draw(self, law: str, count: int = 1, subject: str = "") -> Array:
        """Return values of a law, shape (count,).

        Parameters
        ----------
        law : str
            One of :data:`LAWS`.
        count : int, optional
            How many. [-]
        subject : str, optional
            Of what, so that two subjects of one law differ.
        """
        wide = np.log(LAWS[law].spread) * self.widths.get(law, 1.0)
        normal = self.rng(f"{law} {subject}").standard_normal(count)
        return np.asarray(self.median(law) * np.exp(wide * normal))

    def one(self, law: str, subject: str = "") -> float:
        """Return one value of a law."""
        return float(self.draw(law, 1, subject)[0])
