"""What the commands share: their arguments and options, and reading the ship."""

import sys
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, get_args

import click

from corrosion.foundation.defaults import SAMPLES
from corrosion.foundation.errors import InputError
from corrosion.presentation.terminal.output import (
    DoubtsRefused,
    Output,
    output_options,
    progress,
    say,
)
from corrosion.presentation.units import SYSTEMS, UnitSystem
from corrosion.records.kinds import ShipLies

if TYPE_CHECKING:
    from corrosion.records.ship import Ship
    from corrosion.results import Estimate


def _day(
    _context: click.Context, _option: click.Parameter, text: str | None
) -> date | None:
    if text is None:
        return None
    from corrosion.records.as_of import as_of_day  # noqa: PLC0415 - not for `--help`

    try:
        return as_of_day(text)
    except InputError as error:
        raise click.BadParameter(str(error)) from None


_STRICT: Final = "corrosion.strict"
_TRIAL: Final = 2  # samples of an estimate that is made for its doubts


def _note_strict(context: click.Context, _option: click.Parameter, on: bool) -> None:
    context.meta[_STRICT] = on


def strict_option(command: Callable[..., None]) -> Callable[..., None]:
    """Give a command ``--strict``; :func:`refuse_doubts` heeds it."""
    return click.option(
        "--strict",
        is_flag=True,
        expose_value=False,
        callback=_note_strict,
        help="Doubts are errors: leave with exit code 1.",
    )(command)


def strict() -> bool:
    """Return whether ``--strict`` was given."""
    return bool(click.get_current_context().meta.get(_STRICT))


def refuse_doubts(doubts: Iterable[object]) -> None:
    """Leave with all doubts printed, where ``--strict`` was given and there are any.

    Raises CorrosionError with a doubt a line.
    """
    words = [f"doubt: {doubt}" for doubt in doubts]
    if words and strict():
        many = f"{len(words)} doubt{'s' * (len(words) != 1)}"
        raise DoubtsRefused("\n".join([*words, f"{many}, and --strict was given"]))


def record_doubts(ship: "Ship") -> tuple[str, ...]:
    """Return what is doubtful in the records of a ship, as an estimate says it.

    Raises whatever would stop an estimate.
    """
    from corrosion.estimate import estimate  # noqa: PLC0415 - not for `--help`

    return estimate(ship, samples=_TRIAL).record_warnings


FOLDER: Final = click.Path(path_type=Path, exists=True, file_okay=False)
"""A folder that is there."""

LIES: Final = click.Choice(get_args(ShipLies), case_sensitive=False)
"""How she lies."""


def ship_argument(command: Callable[..., None]) -> Callable[..., None]:
    """Give a command the argument and option of all that read one ship folder."""
    return click.argument("ship", type=FOLDER)(strict_option(command))


PLOT: Final = click.option(
    "--plot",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="Draw the figure that answers: a name in .svg or .png.",
)
"""The option of every command that a figure answers."""


@dataclass(frozen=True, slots=True)
class Options:
    """What every computing command takes."""

    output: Output
    samples: int
    seed: int
    as_of: date | None
    units: str | None

    def units_for(self, ship: "Ship | None" = None) -> UnitSystem:
        """Return the units that are asked for, or those of the ship."""
        own = "metric" if ship is None else ship.display.units
        return SYSTEMS[self.units or own]

    def sampling(self) -> dict[str, Any]:
        """Return what decides the numbers."""
        return {"samples": self.samples, "seed": self.seed, "as_of": self.as_of}


def estimation_options(command: Callable[..., None]) -> Callable[..., None]:
    """Give a command the options that every computing command takes."""

    @click.option(
        "--as-of",
        callback=_day,
        help="Date of the estimate: 2026-11-25, 2026-11 or 2026 (its last day); today.",
    )
    @click.option(
        "--seed",
        type=click.IntRange(0),
        default=1,
        show_default=True,
        help="Seed of the random numbers; the same seed gives the same digits.",
    )
    @click.option(
        "--samples",
        type=click.IntRange(1, 2**20),
        default=SAMPLES,
        show_default=True,
        help="Samples of the unknowns; multiples of 256 are best.",
    )
    @click.option(
        "--units",
        type=click.Choice(list(SYSTEMS)),
        help="Units for people; files and JSON stay metric. Else as ship.toml says.",
    )
    @output_options
    @wraps(command)
    def bundled(
        output: Output,
        samples: int,
        seed: int,
        as_of: date | None,
        units: str | None,
        **rest: Any,
    ) -> None:
        command(options=Options(output, samples, seed, as_of, units), **rest)

    return bundled


def load_ship(folder: Path) -> "Ship":
    """Return the ship of a folder; on a terminal, say how many doubts she has."""
    from corrosion.records.folder.read import read_ship  # noqa: PLC0415 - pydantic is slow

    ship = read_ship(folder, meanwhile=_loaded)
    if strict():
        refuse_doubts(record_doubts(ship))
    if ship.doubts and sys.stderr.isatty():
        many = len(ship.doubts)
        say(f"{many} doubt{'s' * (many != 1)}; see: corrosion check {folder}", err=True)
    return ship


def _loaded() -> None:
    """Load what the answer about a ship that is new needs and takes long."""
    import scipy.special  # noqa: F401, PLC0415 - loaded, not used here

    import corrosion.estimate  # noqa: F401, PLC0415 - likewise


def run_estimate(ship: "Ship", options: Options) -> "Estimate":
    """Return the estimate of a ship; on a terminal, say how far it has come."""
    from corrosion.estimate import estimate  # noqa: PLC0415 - not for `--help`

    return estimate(ship, **options.sampling(), on_progress=progress())


def split_list(text: str) -> tuple[str, ...]:
    """Return the names of a list with commas, such as ``galley,deck panel``."""
    return tuple(name.strip() for name in text.split(",") if name.strip())


def names(*names: str, **more: Any) -> Callable[..., Callable[..., None]]:
    """Return an option of a list with commas, read by :func:`split_list`."""
    return click.option(
        *names, default="", callback=lambda _, __, text: split_list(text), **more
    )
