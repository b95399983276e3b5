"""What the commands share: their options, their output, their errors in words."""

import json
import shutil
import sys
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

from corrosion.foundation.errors import (
    CorrosionError,
    InputError,
    LookupFailed,
    RecordError,
)
from corrosion.presentation.units import SYSTEMS, UnitSystem

if TYPE_CHECKING:
    from corrosion.presentation.tables.table import Table
    from corrosion.records.ship import Ship
    from corrosion.results import Estimate

__all__ = [
    "BAD_RECORDS",
    "BAD_USE",
    "INTERRUPTED",
    "PLOT",
    "SHIP",
    "Options",
    "Output",
    "error_message",
    "estimation_options",
    "load_ship",
    "output_options",
    "progress",
    "run_estimate",
    "split_list",
    "write_plot",
    "write_result",
]

BAD_RECORDS: Final = 1
"""Exit code: the records have problems."""

BAD_USE: Final = 2
"""Exit code: the command was used wrongly."""

INTERRUPTED: Final = 130
"""Exit code: stopped by Ctrl-C."""

_WIDE: Final = 200  # letters in a line where there is no terminal


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


SHIP: Final = click.argument(
    "ship", type=click.Path(path_type=Path, exists=True, file_okay=False)
)
"""The argument of every command that reads one ship folder."""

PLOT: Final = click.option(
    "--plot",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="Draw the figure that answers: a name in .svg or .png.",
)
"""The option of every command that a figure answers."""


@dataclass(frozen=True, slots=True)
class Output:
    """Where a command's result goes."""

    json: str | None
    csv: Path | None


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


def output_options(command: Callable[..., None]) -> Callable[..., None]:
    """Give a command the options that say where its result goes."""

    @click.option(
        "--csv",
        "csv",
        metavar="DIR",
        type=click.Path(path_type=Path),
        help="Folder for a CSV of every table.",
    )
    @click.option(
        "--json",
        "target",
        metavar="FILE",
        help="Write the result as JSON; - for standard output.",
    )
    @wraps(command)
    def bundled(target: str | None, csv: Path | None, **rest: Any) -> None:
        command(output=Output(target, csv), **rest)

    return bundled


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
        default=4096,
        show_default=True,
        help="Samples of the unknowns; a power of two is best.",
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

    ship = read_ship(folder)
    if ship.doubts and sys.stderr.isatty():
        many = len(ship.doubts)
        click.echo(
            f"{many} doubt{'s' * (many != 1)}; see: corrosion check {folder}", err=True
        )
    return ship


def run_estimate(ship: "Ship", options: Options) -> "Estimate":
    """Return the estimate of a ship; on a terminal, say how far it has come."""
    from corrosion.estimate import estimate  # noqa: PLC0415 - not for `--help`

    return estimate(ship, **options.sampling(), on_progress=progress())


def split_list(text: str) -> tuple[str, ...]:
    """Return the names of a list with commas, such as ``galley,deck panel``."""
    return tuple(name.strip() for name in text.split(",") if name.strip())


def progress() -> Callable[[float], None] | None:
    """Return what tells on a terminal how far an estimate has come; elsewhere None.

    The line is written over and gone in the end: errors alone stay on the screen.
    """
    if not sys.stderr.isatty():
        return None

    def on_progress(share: float) -> None:
        words = f"{share:4.0%} of the estimate"
        click.echo(f"\r{words}", nl=False, err=True)
        if share >= 1.0:
            click.echo(f"\r{' ' * len(words)}\r", nl=False, err=True)

    return on_progress


def write_result(
    output: Output,
    result: Mapping[str, Any] | Callable[[], Mapping[str, Any]],
    text: Callable[[int], str],
    tables: Callable[[], Iterable["Table"]] = tuple,
) -> None:
    """Print a result as text, or write it as JSON or CSV where that is asked for.

    Parameters
    ----------
    output : Output
        Where it goes.
    result : mapping, or callable without arguments
        The object for JSON; the command's name tells its schema.
    text : callable
        The text for a width in letters.
    tables : callable, optional
        The tables for CSV.
    """
    from corrosion.presentation.files import write_csv, write_whole  # noqa: PLC0415
    from corrosion.presentation.terminal.lines import printable  # noqa: PLC0415

    if output.csv is not None:
        names = write_csv(tables(), output.csv)
        click.echo(f"Wrote {len(names)} CSV to {output.csv}.", err=True)
    if output.json is not None:
        from corrosion.presentation.json_document import document  # noqa: PLC0415

        command = click.get_current_context().info_name or ""
        made = document(command, result() if callable(result) else result)
        written = json.dumps(made, ensure_ascii=False, indent=2, allow_nan=False)
        write_whole(output.json, f"{written}\n".encode())
    if output.json is None and output.csv is None:
        width = shutil.get_terminal_size((_WIDE, 24)).columns
        click.echo(printable(text(width)))


def write_plot(svg: str, file: Path) -> None:
    """Write a drawing into a file of the kind that its name says."""
    from corrosion.presentation.files import write_whole  # noqa: PLC0415 - not for `--help`
    from corrosion.presentation.notebook import picture  # noqa: PLC0415 - plotly is slow

    size = write_whole(file, picture(svg, file))
    click.echo(f"Wrote {file} ({size / 1000:.0f} kB).", err=True)


def error_message(error: Exception) -> tuple[int, str]:
    """Return the exit code and the words for an error."""
    if isinstance(error, RecordError):
        many = len(error.problems)
        listed = [f"problem: {problem}" for problem in error.problems]
        listed.append(f"{many} problem{'s' * (many > 1)}; nothing was estimated")
        return BAD_RECORDS, "\n".join(listed)
    if isinstance(error, InputError | LookupFailed):
        return BAD_USE, f"error: {error}"
    if isinstance(error, CorrosionError):
        return BAD_RECORDS, f"error: {error}"
    if isinstance(error, BrokenPipeError):  # whoever read has seen enough
        return BAD_RECORDS, ""
    if isinstance(error, OSError):
        return BAD_RECORDS, f"error: {error.filename or 'output'}: {error.strerror}"
    return BAD_RECORDS, (
        "error: this is a fault of the program, not of your records "
        f"({type(error).__name__}: {error}). Please report it with the command "
        "that you gave; CORROSION_TRACEBACK=1 shows where it happened."
    )
