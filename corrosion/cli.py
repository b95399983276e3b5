"""The command line: parse, call, print. No number is computed here."""

import json
import os
import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from functools import wraps
from pathlib import Path
from typing import Any, Final, get_args

import click

from corrosion import __version__, printing
from corrosion.errors import CorrosionError, InputError, LookupFailed, RecordError
from corrosion.records.ship import Access

__all__ = ["cli", "main"]

_BAD_RECORDS: Final = 1
_BAD_USE: Final = 2

_SHIP = click.argument(
    "ship", type=click.Path(path_type=Path, exists=True, file_okay=False)
)


def _day(
    _context: click.Context, _option: click.Parameter, text: str | None
) -> date | None:
    if text is None:
        return None
    try:
        return datetime.strptime(text, "%Y-%m-%d").date()  # noqa: DTZ007 - ship's time
    except ValueError:
        msg = f"{text!r} is not a day; write it as 2026-11-25"
        raise click.BadParameter(msg) from None


@dataclass(frozen=True, slots=True)
class _Options:
    """What every computing command takes."""

    target: str | None
    samples: int
    seed: int
    as_of: date | None

    def sampling(self) -> dict[str, Any]:
        """Return what decides the numbers."""
        return {"samples": self.samples, "seed": self.seed, "as_of": self.as_of}


def _computing(command: Callable[..., None]) -> Callable[..., None]:
    """Give a command the options that every computing command takes."""

    @click.option("--as-of", callback=_day, help="Date of the estimate; today.")
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
        "--json",
        "target",
        metavar="FILE",
        help="Write the result as JSON; - for standard output.",
    )
    @wraps(command)
    def bundled(
        target: str | None, samples: int, seed: int, as_of: date | None, **rest: Any
    ) -> None:
        command(options=_Options(target, samples, seed, as_of), **rest)

    return bundled


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="corrosion")
def cli() -> None:
    """Steel that stray currents dissolve from a ship's hull.

    From what the crew write down about ground faults: which zones to gauge first,
    which fault to hunt first, what quicker isolation would have saved.
    """


@cli.command()
@click.argument("folder", type=click.Path(path_type=Path))
def new(folder: Path) -> None:
    """Write a small ship folder to fill in, with comments."""
    from corrosion.records.template import write_example  # noqa: PLC0415 - only here

    write_example(folder)
    click.echo(
        f"Wrote an invented example to {folder}. Change it to your ship, then run: "
        f"corrosion check {folder}"
    )


@cli.command()
@_SHIP
def check(ship: Path) -> None:
    """Read everything; print every problem and every doubt."""
    from corrosion.records.folder import read_ship  # noqa: PLC0415 - pydantic is slow

    found = read_ship(ship)
    for doubt in found.doubts:
        click.echo(f"doubt: {doubt}")
    click.echo(
        f"{found.name}: {len(found.zones)} zones, {len(found.systems)} systems, "
        f"{len(found.faults)} faults, {len(found.berths)} berths, "
        f"{len(found.gaugings)} gaugings, {len(found.circuits)} circuits: no problem, "
        f"{len(found.doubts)} doubts"
    )


@cli.command()
@_SHIP
@_computing
def estimate(ship: Path, options: _Options) -> None:
    """Rank the zones: steel lost, thickness left, when to inspect, and why."""
    from corrosion.estimate import estimate as run  # noqa: PLC0415 - only here

    result = run(_read(ship), **options.sampling())
    _give(options.target, result.to_json, lambda: printing.estimate_text(result))


@cli.command()
@_SHIP
@_computing
def leakage(ship: Path, options: _Options) -> None:
    """Show each fault's resistance, hull current, water share and lamp picture."""
    from corrosion.answers.leakage import leaking  # noqa: PLC0415 - only here

    result = leaking(_read(ship), **options.sampling())
    _give(options.target, lambda: result, lambda: printing.leakage_text(result))


@cli.command()
@_SHIP
@_computing
def hull(ship: Path, options: _Options) -> None:
    """Show the hull as the model sees it, and what crosses the water at each berth."""
    from corrosion.answers.hull import crossing  # noqa: PLC0415 - only here

    result = crossing(_read(ship), **options.sampling())
    _give(options.target, lambda: result, lambda: printing.hull_text(result))


@cli.command()
@_SHIP
@click.option(
    "--within", default="4h,24h,7d", show_default=True, help="Limits, found to cleared."
)
@_computing
def isolate(ship: Path, within: str, options: _Options) -> None:
    """Show what clearing every fault within a limit would have kept."""
    from corrosion.answers.isolation import hours_of, isolating  # noqa: PLC0415 - only here
    from corrosion.estimate import estimate as run  # noqa: PLC0415 - only here

    limits = hours_of(within)
    result = run(_read(ship), **options.sampling())
    answer = isolating(result, limits)
    _give(options.target, lambda: answer, lambda: printing.isolation_text(answer))


@cli.command()
@_SHIP
@click.option("--system", required=True, help="System whose lamps show the fault.")
@click.option("--conductor", help="Conductor that the lamps point to.")
@_computing
def hunt(ship: Path, system: str, conductor: str | None, options: _Options) -> None:
    """Show the order in which to open breakers and test branches."""
    from corrosion.answers.hunt import hunting  # noqa: PLC0415 - only here

    answer = hunting(_read(ship), system, conductor=conductor, as_of=options.as_of)
    _give(options.target, lambda: answer, lambda: printing.hunt_text(answer))


@cli.command()
@_SHIP
@click.option("--hours", type=float, required=True, help="Hours at hand.")
@click.option(
    "--access",
    default="inside,diver,dock",
    show_default=True,
    help="Kinds of access that can be had.",
)
@_computing
def plan(ship: Path, hours: float, access: str, options: _Options) -> None:
    """Show which zones to gauge with the hours at hand."""
    from corrosion.answers.plan import planning  # noqa: PLC0415 - only here
    from corrosion.estimate import estimate as run  # noqa: PLC0415 - only here

    kinds = _accesses(access)
    result = run(_read(ship), **options.sampling())
    answer = planning(result, hours=hours, access=kinds)
    _give(options.target, lambda: answer, lambda: printing.plan_text(answer))


def _accesses(text: str) -> set[str]:
    kinds = {kind.strip() for kind in text.split(",")}
    for kind in sorted(kinds):
        if kind not in get_args(Access):
            raise LookupFailed.among("access", kind, get_args(Access))
    return kinds


@cli.command()
@_SHIP
@click.option(
    "--html",
    "page",
    required=True,
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="Where to write the report.",
)
@click.option(
    "--csv",
    "folder",
    metavar="DIR",
    type=click.Path(path_type=Path),
    help="Folder for a CSV of every table.",
)
@click.option(
    "--hours",
    type=float,
    default=40.0,
    show_default=True,
    help="Hours at hand for gauging.",
)
@_computing
def report(
    ship: Path, page: Path, folder: Path | None, hours: float, options: _Options
) -> None:
    """Write the report: one self-contained HTML file that prints well on A4."""
    from corrosion import report as made  # noqa: PLC0415 - only here
    from corrosion.estimate import estimate as run  # noqa: PLC0415 - only here

    made.writable(page)
    contents = made.gather(run(_read(ship), **options.sampling()), hours=hours)
    words = [f"Wrote {page} ({made.write_html(contents, page) / 1000:.0f} kB)."]
    if folder is not None:
        words.append(f"Wrote {len(made.write_csv(contents, folder))} CSV to {folder}.")
    _give(options.target, contents.to_json, lambda: "\n".join(words))


@cli.command()
@click.argument(
    "logs", nargs=-1, required=True, type=click.Path(path_type=Path, exists=True)
)
@click.option("--json", "target", metavar="FILE", help="Write JSON; - for output.")
def charge(logs: tuple[Path, ...], target: str | None) -> None:
    """Integrate hull-current logs: ampere-hours, hours covered, gaps."""
    from corrosion.answers.charge import charged  # noqa: PLC0415 - only here

    answer, doubts = charged(logs)
    for doubt in doubts:
        click.echo(f"doubt: {doubt}", err=True)
    _give(target, lambda: answer, lambda: printing.charge_text(answer))


@cli.command()
@click.argument("folder", type=click.Path(path_type=Path, exists=True, file_okay=False))
@click.option("--scheduler", help="Address of a running Dask cluster.")
@click.option(
    "--workers", type=click.IntRange(1), help="Processes of this machine; one a core."
)
@_computing
def fleet(
    folder: Path, scheduler: str | None, workers: int | None, options: _Options
) -> None:
    """Estimate every ship folder under FOLDER, side by side."""
    from corrosion.fleet import estimate_fleet  # noqa: PLC0415 - only here

    result = estimate_fleet(
        folder,
        **options.sampling(),
        scheduler=scheduler,
        workers=workers,
        tell=_progress if sys.stderr.isatty() else None,
    )
    answer = result.to_json()
    _give(options.target, lambda: answer, lambda: printing.fleet_text(answer))
    if answer["failed"]:
        sys.exit(_BAD_RECORDS)


def _progress(words: str) -> None:
    click.echo(words, err=True)


@cli.command()
@click.argument("name", metavar="METAL")
@click.option("--amps", type=float, default=1.0, show_default=True, help="Current.")
@click.option("--years", type=float, default=1.0, show_default=True, help="Duration.")
@click.option("--json", "target", metavar="FILE", help="Write JSON; - for output.")
def metal(name: str, amps: float, years: float, target: str | None) -> None:
    """Convert amperes and years to kilograms of METAL, with its source."""
    from corrosion.answers.metal import dissolved  # noqa: PLC0415 - only here

    result = dissolved(name, amps=amps, years=years)
    _give(target, lambda: result, lambda: printing.metal_text(result))


@cli.command()
@click.argument(
    "folder",
    type=click.Path(path_type=Path, exists=True, file_okay=False),
    required=False,
)
@click.option("--port", type=click.IntRange(1, 65535), default=8501, show_default=True)
def dashboard(folder: Path | None, port: int) -> None:
    """Open the dashboard on this machine only; FOLDER holds the ship folders."""
    from corrosion.serve import serve  # noqa: PLC0415 - streamlit is slow

    serve(folder, port=port)


def _read(folder: Path) -> Any:
    from corrosion.records.folder import read_ship  # noqa: PLC0415 - pydantic is slow

    ship = read_ship(folder)
    if ship.doubts and sys.stderr.isatty():
        click.echo(
            f"{len(ship.doubts)} doubts; see: corrosion check {folder}", err=True
        )
    return ship


def _give(
    target: str | None,
    result: Callable[[], Mapping[str, Any]],
    text: Callable[[], str],
) -> None:
    """Print a result as text, or write it as JSON where that is asked for."""
    if target is None:
        click.echo(text())
        return
    written = json.dumps(result(), ensure_ascii=False, indent=2, allow_nan=False)
    if target == "-":
        click.echo(written)
        return
    try:
        Path(target).write_text(written + "\n", encoding="utf-8")
    except OSError as error:
        msg = f"cannot write {target}: {error.strerror}"
        raise click.UsageError(msg) from None


def _complaint(error: Exception) -> tuple[int, str]:
    """Return the exit code and the words for an error."""
    if isinstance(error, RecordError):
        many = len(error.problems)
        listed = [f"problem: {problem}" for problem in error.problems]
        listed.append(f"{many} problem{'s' * (many > 1)}; nothing was estimated")
        return _BAD_RECORDS, "\n".join(listed)
    if isinstance(error, InputError | LookupFailed):
        return _BAD_USE, f"error: {error}"
    if isinstance(error, CorrosionError):
        return _BAD_RECORDS, f"error: {error}"
    return _BAD_RECORDS, (
        "error: this is a fault of the program, not of your records "
        f"({type(error).__name__}: {error}). Please report it with the command "
        "that you gave; CORROSION_TRACEBACK=1 shows where it happened."
    )


def main() -> None:
    """Run the command line; leave with an exit code and never with a traceback."""
    try:
        cli.main(standalone_mode=False)
    except click.ClickException as error:
        error.show()
        sys.exit(_BAD_USE)
    except click.Abort:
        click.echo("stopped", err=True)
        sys.exit(_BAD_RECORDS)
    except Exception as error:
        if os.environ.get("CORROSION_TRACEBACK"):
            raise
        code, words = _complaint(error)
        click.echo(words, err=True)
        sys.exit(code)
