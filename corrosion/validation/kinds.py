"""Kinds of ship, all invented: what ships of a kind have in common."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """What ships of a kind have in common."""

    length: float
    beam: float
    draught: float
    block: float
    sections: int
    plate_mm: tuple[float, float]
    age: tuple[float, float]  # least and most [years]
    systems: tuple[tuple[str, str, float, float], ...]  # name, kind, volts, hertz
    propeller: float = 0.0  # bronze [m²]
    metal: str = "steel"
    pattern: str = "trading"
    faults: float = 1.0  # over the rate of all ships
    seams: float = 0.0  # riveted, by metre of breadth and of way across them [Ω]


_SHIP, _CONTROL = ("ship service", "ac3", 440.0, 60.0), ("control", "dc2", 24.0, 0.0)
KINDS: Final[Mapping[str, Kind]] = MappingProxyType(
    {
        "boat": Kind(
            length=20.0, beam=5.4, draught=1.6, block=0.45, sections=2,
            plate_mm=(5.0, 7.0), age=(10.0, 40.0), pattern="moored", faults=0.5,
            systems=(("hotel", "ac1", 230.0, 50.0), _CONTROL),
        ),
        "coaster": Kind(
            length=62.0, beam=10.5, draught=3.8, block=0.68, sections=3,
            plate_mm=(8.0, 12.0), age=(15.0, 45.0), propeller=4.0,
            systems=(_SHIP, _CONTROL),
        ),
        "ferry": Kind(
            length=88.0, beam=17.0, draught=3.6, block=0.55, sections=3,
            plate_mm=(9.0, 12.0), age=(8.0, 30.0), propeller=6.0, faults=1.5,
            systems=(("hotel", "ac3", 440.0, 60.0), _CONTROL),
        ),
        "large": Kind(
            length=170.0, beam=26.0, draught=9.0, block=0.78, sections=3,
            plate_mm=(14.0, 20.0), age=(8.0, 25.0), propeller=20.0, faults=1.5,
            systems=(_SHIP, ("lighting", "ac3", 220.0, 60.0)),
        ),
        "museum": Kind(
            length=90.0, beam=13.0, draught=4.8, block=0.58, sections=3,
            plate_mm=(10.0, 14.0), age=(60.0, 95.0), propeller=5.0, pattern="quay",
            seams=2.5e-5,  # 0.1 mΩ a metre of seam, a seam every 4 m: judgement
            systems=(_SHIP, ("legacy", "dc2", 220.0, 0.0)),
        ),
        "aluminium": Kind(
            length=34.0, beam=8.0, draught=1.6, block=0.42, sections=2,
            plate_mm=(6.0, 9.0), age=(6.0, 25.0), metal="aluminium 5083",
            pattern="moored", systems=(("hotel", "ac3", 400.0, 50.0), _CONTROL),
        ),
    }
)  # fmt: skip
"""Kinds of ship, all invented; a study takes them in turn."""
