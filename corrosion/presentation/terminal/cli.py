"""The command line: parse, call, print. No number is computed here."""

import os
import sys
from contextlib import suppress
from io import TextIOWrapper
from pathlib import Path

import click

from corrosion import __version__
from corrosion.presentation.terminal import cli_decisions, cli_records
from corrosion.presentation.terminal import options as opt
from corrosion.presentation.terminal import output as out
from corrosion.presentation.terminal.examples import epilog
from corrosion.records.kinds import ShipLies


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="corrosion")
def cli() -> None:
    """Steel that stray currents dissolve from a ship's hull.

    From what the crew write down about ground faults: which zones to gauge first,
    which fault to hunt first, what quicker isolation would have saved.
    """


@cli.command()
@opt.ship_argument
@click.option(
    "--figure",
    type=click.Choice(["shell", "ranking", "timeline"]),
    default="shell",
    show_default=True,
    help="What --plot draws.",
)
@opt.PLOT
@opt.estimation_options
def estimate(ship: Path, figure: str, plot: Path | None, options: opt.Options) -> None:
    """Rank the zones: steel lost, thickness left, when to inspect, and why."""
    result = opt.run_estimate(opt.load_ship(ship), options)
    if plot is not None:
        from corrosion.presentation.notebook import drawing  # noqa: PLC0415 - plotly is slow

        units = options.units_for(result.ship)
        out.write_plot(drawing(result, figure, units), plot)

    out.write_result(options.output, result, options.units_for(result.ship))


@cli.command()
@opt.ship_argument
@opt.estimation_options
def leakage(ship: Path, options: opt.Options) -> None:
    """Show each fault's resistance, hull current, water share and lamp picture."""
    from corrosion.presentation.answers.leakage import leakage_result  # noqa: PLC0415 - only here

    found = opt.load_ship(ship)
    answer = leakage_result(found, **options.sampling(), on_progress=out.progress())
    out.write_result(options.output, answer)


@cli.command()
@opt.ship_argument
@opt.estimation_options
def hull(ship: Path, options: opt.Options) -> None:
    """Show the hull as the model sees it, and what crosses the water at each berth."""
    from corrosion.presentation.answers.hull import hull_result  # noqa: PLC0415 - only here

    found = opt.load_ship(ship)
    answer = hull_result(found, **options.sampling())
    out.write_result(options.output, answer, options.units_for(found))


@cli.command()
@opt.ship_argument
@click.option(
    "--html",
    "page",
    required=True,
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="Where to write the report.",
)
@click.option(
    "--hours",
    type=float,
    default=40.0,
    show_default=True,
    help="Hours at hand for gauging.",
)
@click.option(
    "--ship",
    "lies",
    type=opt.LIES,
    help="How she lies, for the hunt sheets; none are printed without.",
)
@opt.estimation_options
def report(
    ship: Path, page: Path, hours: float, lies: ShipLies | None, options: opt.Options
) -> None:
    """Write the report: one self-contained HTML file that prints well on A4."""
    from corrosion.presentation import report as made  # noqa: PLC0415 - only here
    from corrosion.presentation.files import writable, write_whole  # noqa: PLC0415 - likewise

    if str(page) != "-":
        writable(page)
    contents = made.gather(
        opt.run_estimate(opt.load_ship(ship), options), hours=hours, lies=lies
    )
    units = options.units_for(contents.result.ship)
    size = write_whole(page, made.report_html(contents, units).encode())
    if str(page) != "-":
        words = f"Wrote {page} ({size / 1000:.0f} kB)."
        click.echo(words, err=options.output.json is not None)
    if options.output.json is not None or options.output.csv is not None:
        out.write_result(options.output, contents)


@cli.command()
@click.argument("folder", type=opt.FOLDER)
@click.option("--scheduler", help="Address of a running Dask cluster.")
@click.option(
    "--workers", type=click.IntRange(1), help="Processes of this machine; one a core."
)
@opt.strict_option
@opt.estimation_options
def fleet(
    folder: Path, scheduler: str | None, workers: int | None, options: opt.Options
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
    out.write_result(options.output, answer, options.units_for())
    if answer["failed"]:
        sys.exit(out.BAD_RECORDS)
    opt.refuse_doubts(
        f"{row['folder']}: {row['warnings']} of them; see corrosion check"
        for row in answer["ships"]
        if row["warnings"]
    )


def _progress(words: str) -> None:
    click.echo(words, err=True)


@cli.command()
@click.argument("name", metavar="METAL")
@click.option("--amps", type=float, default=1.0, show_default=True, help="Current.")
@click.option("--years", type=float, default=1.0, show_default=True, help="Duration.")
@out.output_options
def metal(name: str, amps: float, years: float, output: out.Output) -> None:
    """Convert amperes and years to kilograms of METAL, with its source."""
    from corrosion.presentation.answers.metal import metal_loss  # noqa: PLC0415 - only here

    out.write_result(output, metal_loss(name, amps=amps, years=years))


@cli.command()
@click.argument("folder", type=opt.FOLDER, required=False)
@click.option("--port", type=click.IntRange(1, 65535), default=8501, show_default=True)
@click.option(
    "--for-phones",
    "phones",
    metavar="ADDRESS",
    help="Serve telephones on this one address of this machine instead: hunt and log "
    "form only, behind a code that opens once.",
)
def dashboard(folder: Path | None, port: int, phones: str | None) -> None:
    """Open the dashboard on this machine only; FOLDER holds the ship folders."""
    from corrosion.presentation.dashboard.serve import serve  # noqa: PLC0415 - streamlit is slow

    serve(folder, port=port, phones=phones, tell=_progress)


for _part in (cli_decisions, cli_records):
    for _command in vars(_part).values():
        if isinstance(_command, click.Command):
            cli.add_command(_command)
for _name, _command in cli.commands.items():
    _command.epilog = epilog(_name)


def main() -> None:
    """Run the command line; leave with an exit code and never with a traceback."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):  # one that cannot write every letter
            stream.reconfigure(errors="backslashreplace")
    try:
        with out.doubts_told():
            cli.main(standalone_mode=False)
        sys.stdout.flush()
    except click.ClickException as error:
        error.show()
        sys.exit(out.BAD_USE)
    except (click.Abort, KeyboardInterrupt):
        sys.exit(out.INTERRUPTED)
    except Exception as error:
        if os.environ.get("CORROSION_TRACEBACK"):
            raise
        code, words = out.error_message(error)
        if isinstance(error, OSError):  # let nothing more go where nothing is taken
            os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        with suppress(OSError):  # where nothing can be told, the code tells
            out.say(words, err=True)
        sys.exit(code)
