"""The invented demo ships: where they are, and how a reader is told what they are."""

from importlib.resources import files
from pathlib import Path
from typing import Final

from corrosion.foundation.errors import InputError

INVENTED: Final = "an invented ship: every figure is made up"
"""Said wherever a demo ship is shown."""


def bundled_path(name: str) -> Path:
    """Return what stands beside the package, or within an installed one.

    Raises InputError if it is missing.
    """
    package = Path(str(files("corrosion")))
    for place in (package.parent / name, package / "_installed" / name):
        if place.exists():
            return place
    msg = f"{name} is missing from this installation; install the package again"
    raise InputError(msg)


def demo_folder() -> Path:
    """Return the folder of the invented demo ships."""
    return bundled_path("data")


def is_demo(folder: Path) -> bool:
    """Return whether a ship folder is one of the demo's."""
    return folder.resolve().is_relative_to(demo_folder().resolve())
