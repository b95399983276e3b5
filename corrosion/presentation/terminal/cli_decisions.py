"""The commands that help to decide: what to change, what to open, what to gauge."""

from pathlib import Path
from typing import Any, get_args

import click

from corrosion.foundation.errors import InputError, LookupFailed
from corrosion.presentation import terminal
from corrosion.presentation.terminal.options import (
    SHIP,
    Options,
    estimation_options,
    load_ship,
    run_estimate,
    split_list,
    write_result,
)
from corrosion.records.ship import Access

__all__ = ["hunt", "isolate", "plan"]


@click.command()
@SHIP
@click.option(
    "--within", default="4h,24h,7d", show_default=True, help="Limits, found to cleared."
)
@click.option("--transformers", is_flag=True, help="Isolating transformers ashore.")
@click.option("--isolators", is_flag=True, help="Galvanic isolators in the earth.")
@click.option("--alarm", "alarm_ohm", type=float, help="Insulation alarm below, Ω.")
@click.option(
    "--heeded",
    type=click.FloatRange(0.0, 1e6),
    help="Hours from a fault's beginning to its being noticed by the alarm; 4.",
)
@click.option("--repair", default="", help="Circuits repaired for good: L1,L2.")
@click.option("--joint", metavar="ZONE", help="A jointed part whose joint is renewed.")
@click.option("--paint", metavar="ZONE", help="A zone that is painted...")
@click.option("--painted", metavar="DATE", help="...then: 2016, 2016-05 or 2016-05-12.")
@estimation_options
def isolate(  # noqa: PLR0913 - one argument an option of the command
    ship: Path,
    within: str,
    heeded: float | None,
    repair: str,
    paint: str | None,
    painted: str | None,
    options: Options,
    **ticked: Any,
) -> None:
    """Show what clearing every fault within a limit would have kept.

    And what other measures would have kept, each alone, where any is named.
    """
    from corrosion.presentation.answers import isolation  # noqa: PLC0415 - only here
    from corrosion.presentation.answers.measures import MeasureChoice, chosen_measures  # noqa: PLC0415

    limits = isolation.hours_of(within)
    if heeded is not None and ticked["alarm_ohm"] is None:
        raise click.UsageError("--heeded goes with --alarm: give the alarm level too.")
    if (paint is None) != (painted is None):
        raise click.UsageError(
            "--paint ZONE and --painted DATE go together: give both."
        )
    asked = MeasureChoice(
        circuits=split_list(repair),
        alarm_hours=4.0 if heeded is None else heeded,
        painted=paint,
        paint_date=painted or "",
        **ticked,
    )
    records = load_ship(ship)
    chosen_measures(asked, records)  # a wrong name is said before the long work
    result = run_estimate(records, options)
    answer = isolation.isolation_result(result, limits) | isolation.measures_result(
        result, asked
    )
    write_result(
        options.target, lambda: answer, lambda: terminal.isolation_text(answer)
    )


@click.command()
@SHIP
@click.option("--system", required=True, help="System whose lamps show the fault.")
@click.option("--conductor", help="Conductor that the lamps point to.")
@click.option("--worked-on", default="", help="Circuits worked on lately: L1,L2.")
@click.option("--stayed", default="", help="Opened already; the indication stayed.")
@click.option("--gone", metavar="CIRCUIT", help="Opened, and the indication went.")
@estimation_options
def hunt(  # noqa: PLR0913 - one argument an option of the command
    ship: Path,
    system: str,
    conductor: str | None,
    worked_on: str,
    stayed: str,
    gone: str | None,
    options: Options,
) -> None:
    """Show the order in which to open breakers and test branches."""
    from corrosion.inspection.fault_finding.probabilities import Seen  # noqa: PLC0415 - only here
    from corrosion.presentation.answers.hunt import hunt_result  # noqa: PLC0415 - only here

    seen = Seen(
        conductor=conductor,
        worked_on=frozenset(split_list(worked_on)),
        stayed=split_list(stayed),
        gone=gone,
    )
    answer = hunt_result(load_ship(ship), system, seen=seen, as_of=options.as_of)
    write_result(options.target, lambda: answer, lambda: terminal.hunt_text(answer))


@click.command()
@SHIP
@click.option("--hours", type=float, required=True, help="Hours at hand.")
@click.option(
    "--access",
    default="inside,diver,dock",
    show_default=True,
    help="Kinds of access that can be had; diver=8: for so many of the hours.",
)
@estimation_options
def plan(ship: Path, hours: float, access: str, options: Options) -> None:
    """Show which zones to gauge with the hours at hand."""
    from corrosion.presentation.answers.plan import gauging_plan  # noqa: PLC0415 - only here

    kinds, own = _accesses(access)
    answer = gauging_plan(
        run_estimate(load_ship(ship), options),
        hours=hours,
        access=kinds,
        access_hours=own,
    )
    write_result(options.target, lambda: answer, lambda: terminal.plan_text(answer))


def _accesses(text: str) -> tuple[set[str], dict[str, float]]:
    """Return the kinds of access of a list such as ``inside,diver=8``, and hours."""
    kinds, own = set(), {}
    for word in split_list(text):
        kind, limited, hours = (part.strip() for part in word.partition("="))
        if kind not in get_args(Access):
            raise LookupFailed.among("access", kind, get_args(Access))
        kinds.add(kind)
        if limited:
            own[kind] = _hours(hours, word)
    return kinds, own


def _hours(text: str, word: str) -> float:
    try:
        hours = float(text)
    except ValueError:
        hours = -1.0
    if not 0.0 <= hours < float("inf"):
        msg = f"{word!r} is not an access with its hours; write it as diver=8"
        raise InputError(msg)
    return hours
