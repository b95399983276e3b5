"""Where a command's result goes, its progress, and its errors in words."""

import json
import shutil
import sys
import warnings
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from functools import wraps
from pathlib import Path
from typing import Any, Final

import click

from corrosion.foundation.errors import (
    CorrosionError,
    InputError,
    LookupFailed,
    RecordError,
    ValidityWarning,
)
from corrosion.presentation.units import METRIC, UnitSystem

BAD_RECORDS: Final = 1
"""Exit code: the records have problems."""

BAD_USE: Final = 2
"""Exit code: the command was used wrongly."""

INTERRUPTED: Final = 130
"""Exit code: stopped by Ctrl-C."""

_WIDE: Final = 200  # letters in a line where there is no terminal


class DoubtsRefused(CorrosionError):
    """``--strict`` was given and the records leave doubts: a doubt a line."""


@dataclass(frozen=True, slots=True)
class Output:
    """Where a command's result goes."""

    json: str | None
    csv: Path | None


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


def terminal_width() -> int:
    """Return how many letters stand in a line of the terminal; many where none is."""
    return shutil.get_terminal_size((_WIDE, 24)).columns


def say(words: str, *, err: bool = False) -> None:
    """Print sentences: in lines that fit on a terminal, as they are elsewhere."""
    from corrosion.presentation.terminal.lines import paragraph, printable  # noqa: PLC0415 - not for `--help`

    if not words:
        return
    if (sys.stderr if err else sys.stdout).isatty():
        wide = terminal_width()
        words = "\n".join(paragraph(line, wide, "  ") for line in words.splitlines())
    click.echo(printable(words), err=err)


@contextmanager
def doubts_told() -> Iterator[None]:
    """Tell what is doubted beside an estimate as a sentence, not as a line of code."""
    with warnings.catch_warnings():
        usual = warnings.showwarning

        def told(
            message: Warning | str, category: type[Warning], *rest: Any, **more: Any
        ) -> None:
            if issubclass(category, ValidityWarning):
                say(f"doubt: {message}", err=True)
            else:
                usual(message, category, *rest, **more)

        warnings.showwarning = told
        yield


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


def write_result(output: Output, result: Any, units: UnitSystem = METRIC) -> None:
    """Print a result as text, or write it as JSON or CSV where that is asked for.

    The command's name tells its text, its tables and the schema of its JSON.
    ``result``: the object for JSON, or one that makes it by ``to_json``.
    """
    from corrosion.presentation.files import write_csv, write_whole  # noqa: PLC0415 - not for `--help`

    command = click.get_current_context().info_name or ""
    if output.csv is not None:
        from corrosion.presentation.tables.results import tables_of  # noqa: PLC0415 - for this form alone

        names = write_csv(tables_of(command, result), output.csv)
        click.echo(f"Wrote {len(names)} CSV to {output.csv}.", err=True)
    if output.json is not None:
        from corrosion.presentation.json_document import document  # noqa: PLC0415 - for this form alone

        answer = result if isinstance(result, Mapping) else result.to_json()
        made = document(command, answer)
        written = json.dumps(made, ensure_ascii=False, indent=2, allow_nan=False)
        write_whole(output.json, f"{written}\n".encode())
    if output.json is None and output.csv is None:
        from corrosion.presentation.terminal.lines import printable  # noqa: PLC0415 - for this form alone
        from corrosion.presentation.terminal.texts import text_of  # noqa: PLC0415 - likewise

        click.echo(printable(text_of(command, result, terminal_width(), units)))


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
        plain = isinstance(error, DoubtsRefused)
        return BAD_RECORDS, str(error) if plain else f"error: {error}"
    if isinstance(error, BrokenPipeError):  # whoever read has seen enough
        return BAD_RECORDS, ""
    if isinstance(error, OSError):
        return BAD_RECORDS, f"error: {error.filename or 'output'}: {error.strerror}"
    return BAD_RECORDS, (
        "error: this is a fault of the program, not of your records "
        f"({type(error).__name__}: {error}). Please report it with the command "
        "that you gave; CORROSION_TRACEBACK=1 shows where it happened."
    )
