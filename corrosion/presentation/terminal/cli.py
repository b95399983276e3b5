"""The command line: parse, call, print. No number is computed here."""

import os
import sys
from io import TextIOWrapper
from pathlib import Path

import click

from corrosion import __version__
from corrosion.presentation import terminal
from corrosion.presentation.terminal.cli_decisions import hunt, isolate, plan
from corrosion.presentation.terminal.options import (
    BAD_RECORDS,
    BAD_USE,
    SHIP,
    Options,
    error_message,
    estimation_options,
    load_ship,
    progress,
    run_estimate,
    write_result,
)

__all__ = ["cli", "main"]


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
    from corrosion.records.folder.template import write_example  # noqa: PLC0415 - only here

    write_example(folder)
    click.echo(
        f"Wrote an invented example to {folder}. Change it to your ship, then run: "
        f"corrosion check {folder}"
    )


@cli.command()
@SHIP
def check(ship: Path) -> None:
    """Read everything; print every problem and every doubt."""
    from corrosion.records.folder.read import read_ship  # noqa: PLC0415 - pydantic is slow

    found = read_ship(ship)
    for doubt in found.doubts:
        click.echo(f"doubt: {doubt}")
    counted = ", ".join(
        f"{len(rows)} {word}{'s' * (len(rows) != 1)}"
        for word, rows in (
            ("zone", found.zones),
            ("system", found.systems),
            ("fault", found.faults),
            ("berth", found.berths),
            ("gauging", found.gaugings),
            ("circuit", found.circuits),
        )
    )
    many = len(found.doubts)
    click.echo(f"{found.name}: {counted}: no problem, {many} doubt{'s' * (many != 1)}")


@cli.command()
@SHIP
@estimation_options
def estimate(ship: Path, options: Options) -> None:
    """Rank the zones: steel lost, thickness left, when to inspect, and why."""
    result = run_estimate(load_ship(ship), options)
    write_result(options.target, result.to_json, lambda: terminal.estimate_text(result))


@cli.command()
@SHIP
@estimation_options
def leakage(ship: Path, options: Options) -> None:
    """Show each fault's resistance, hull current, water share and lamp picture."""
    from corrosion.presentation.answers.leakage import leakage_result  # noqa: PLC0415 - only here

    result = leakage_result(
        load_ship(ship), **options.sampling(), on_progress=progress()
    )
    write_result(options.target, lambda: result, lambda: terminal.leakage_text(result))


@cli.command()
@SHIP
@estimation_options
def hull(ship: Path, options: Options) -> None:
    """Show the hull as the model sees it, and what crosses the water at each berth."""
    from corrosion.presentation.answers.hull import hull_result  # noqa: PLC0415 - only here

    result = hull_result(load_ship(ship), **options.sampling())
    write_result(options.target, lambda: result, lambda: terminal.hull_text(result))


@cli.command()
@SHIP
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
@estimation_options
def report(
    ship: Path, page: Path, folder: Path | None, hours: float, options: Options
) -> None:
    """Write the report: one self-contained HTML file that prints well on A4."""
    from corrosion.presentation import report as made  # noqa: PLC0415 - only here

    made.writable(page)
    contents = made.gather(run_estimate(load_ship(ship), options), hours=hours)
    words = [f"Wrote {page} ({made.write_html(contents, page) / 1000:.0f} kB)."]
    if folder is not None:
        words.append(f"Wrote {len(made.write_csv(contents, folder))} CSV to {folder}.")
    write_result(options.target, contents.to_json, lambda: "\n".join(words))


@cli.command()
@click.argument(
    "logs",
    nargs=-1,
    required=True,
    type=click.Path(path_type=Path, exists=True, dir_okay=False),
)
@click.option("--json", "target", metavar="FILE", help="Write JSON; - for output.")
def charge(logs: tuple[Path, ...], target: str | None) -> None:
    """Integrate hull-current logs: ampere-hours, hours covered, gaps."""
    from corrosion.presentation.answers.charge import log_charge  # noqa: PLC0415 - only here

    answer, doubts = log_charge(logs)
    for doubt in doubts:
        click.echo(f"doubt: {doubt}", err=True)
    write_result(target, lambda: answer, lambda: terminal.charge_text(answer))


@cli.command()
@click.argument("folder", type=click.Path(path_type=Path, exists=True, file_okay=False))
@click.option("--scheduler", help="Address of a running Dask cluster.")
@click.option(
    "--workers", type=click.IntRange(1), help="Processes of this machine; one a core."
)
@estimation_options
def fleet(
    folder: Path, scheduler: str | None, workers: int | None, options: Options
) -> None:
    """Estimate every ship folder under FOLDER, side by side."""
    from corrosion.fleet.fleet import estimate_fleet  # noqa: PLC0415 - only here

    result = estimate_fleet(
        folder,
        **options.sampling(),
        scheduler=scheduler,
        workers=workers,
        on_progress=_progress if sys.stderr.isatty() else None,
    )
    answer = result.to_json() | {"file": str(result.file)}
    write_result(options.target, lambda: answer, lambda: terminal.fleet_text(answer))
    if answer["failed"]:
        sys.exit(BAD_RECORDS)


def _progress(words: str) -> None:
    click.echo(words, err=True)


@cli.command()
@click.argument("name", metavar="METAL")
@click.option("--amps", type=float, default=1.0, show_default=True, help="Current.")
@click.option("--years", type=float, default=1.0, show_default=True, help="Duration.")
@click.option("--json", "target", metavar="FILE", help="Write JSON; - for output.")
def metal(name: str, amps: float, years: float, target: str | None) -> None:
    """Convert amperes and years to kilograms of METAL, with its source."""
    from corrosion.presentation.answers.metal import metal_loss  # noqa: PLC0415 - only here

    result = metal_loss(name, amps=amps, years=years)
    write_result(target, lambda: result, lambda: terminal.metal_text(result))


@cli.command()
@click.argument(
    "folder",
    type=click.Path(path_type=Path, exists=True, file_okay=False),
    required=False,
)
@click.option("--port", type=click.IntRange(1, 65535), default=8501, show_default=True)
def dashboard(folder: Path | None, port: int) -> None:
    """Open the dashboard on this machine only; FOLDER holds the ship folders."""
    from corrosion.presentation.dashboard.serve import serve  # noqa: PLC0415 - streamlit is slow

    serve(folder, port=port)


for _command in (isolate, hunt, plan):
    cli.add_command(_command)


def main() -> None:
    """Run the command line; leave with an exit code and never with a traceback."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):  # one that cannot write every letter
            stream.reconfigure(errors="backslashreplace")
    try:
        cli.main(standalone_mode=False)
    except click.ClickException as error:
        error.show()
        sys.exit(BAD_USE)
    except click.Abort:
        click.echo("stopped", err=True)
        sys.exit(BAD_RECORDS)
    except Exception as error:
        if os.environ.get("CORROSION_TRACEBACK"):
            raise
        code, words = error_message(error)
        click.echo(words, err=True)
        sys.exit(code)
