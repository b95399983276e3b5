"""The ship that is chosen: which folders there are, and what is read of one."""

import os
from collections.abc import Callable
from dataclasses import asdict, dataclass
from datetime import date
from pathlib import Path
from typing import Any, Final

from corrosion.presentation.dashboard import cached
from corrosion.presentation.dashboard.serve import SHIPS
from corrosion.presentation.demo import demo_folder, is_demo
from corrosion.records.folder.files import folder_digest
from corrosion.records.ship import Ship

_OURS: Final = ("ship.toml", "zones.csv", "faults.csv")


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What the masthead says."""

    folder: Path  # the ship folder
    as_of: date  # date of the estimate
    samples: int  # number of random samples
    seed: int  # of the random numbers

    @property
    def sampling(self) -> dict[str, Any]:
        """What decides the numbers of her records."""
        return {"as_of": self.as_of, "samples": self.samples, "seed": self.seed}


Masthead = Callable[[], Asked]


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen(Asked):
    """What the masthead says, and the ship that it names."""

    digest: str  # of the folder's content
    ship: Ship
    invented: bool  # whether she is one of our demo ships
    may_write: bool  # whether the log can be written

    @property
    def key(self) -> tuple[str, date, int, int]:
        """All that an estimate depends on."""
        return self.digest, self.as_of, self.samples, self.seed


def root() -> Path:
    """Return the folder in which the ships are, as the dashboard was started."""
    return Path(os.environ.get(SHIPS) or demo_folder())


def found_ships() -> dict[str, Path]:
    """Return the ship folders in that folder by name, or itself where it is one."""
    top = root()
    if not top.is_dir():
        return {}
    if _is_ship(top):
        return {top.name: top}
    return {p.name: p for p in sorted(top.iterdir()) if p.is_dir() and _is_ship(p)}


def _is_ship(folder: Path) -> bool:
    return any((folder / name).is_file() for name in _OURS)


def may_write(folder: Path) -> bool:
    """Return whether a ship folder can be written: not our demo, and not read-only."""
    return not is_demo(folder) and os.access(folder, os.W_OK)


def choose(masthead: Masthead) -> Chosen:
    """Read the ship that the masthead names.

    Raises InputError if there is no ship to choose. Raises RecordError if the ship
    folder has problems.
    """
    asked = masthead()
    # The digest is the key of all that is kept: taken before the ship is read, and
    # compared again afterwards, so that no result stands under a wrong name.
    digest = folder_digest(asked.folder)
    return Chosen(
        **asdict(asked),
        digest=digest,
        ship=cached.ship(str(asked.folder), digest),
        invented=is_demo(asked.folder),
        may_write=may_write(asked.folder),
    )
