"""Kinds of ship, all invented: what ships of a kind have in common."""

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
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


def _read() -> Iterator[tuple[str, Kind]]:
    text = Path(__file__).with_suffix(".toml").read_text("utf-8")
    for name, keys in tomllib.loads(text).items():
        pairs = {key: tuple(keys[key]) for key in ("plate_mm", "age")}
        systems = tuple(map(tuple, keys["systems"]))
        yield name, Kind(**keys | pairs | {"systems": systems})


KINDS: Final[Mapping[str, Kind]] = MappingProxyType(dict(_read()))
"""Kinds of ship in kinds.toml, all invented; a study takes them in turn."""
