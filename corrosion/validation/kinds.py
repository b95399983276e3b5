"""Kinds of ship, all invented: what ships of a kind have in common."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from corrosion.foundation.data_files import toml_tables


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


def _read() -> Iterator[tuple[str, Kind]]:
    for name, keys in toml_tables(__file__, "kinds.toml").items():
        pairs = {key: tuple(keys[key]) for key in ("plate_mm", "age")}
        systems = tuple(map(tuple, keys["systems"]))
        yield name, Kind(**keys | pairs | {"systems": systems})


KINDS: Final[Mapping[str, Kind]] = MappingProxyType(dict(_read()))
"""Kinds of ship in kinds.toml, all invented; a study takes them in turn."""
