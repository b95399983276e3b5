"""The commands that help to decide: what to change, what to open, what to gauge."""

from pathlib import Path
from typing import Any, get_args

import click

from corrosion import printing
from corrosion.console import SHIP, Options, computing, estimated, give, names, read
from corrosion.errors import LookupFailed
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
    "alarm_hours",
    type=float,
    default=4.0,
    show_default=True,
    help="Hours from alarm to cleared.",
)
@click.option("--repair", default="", help="Circuits repaired for good: L1,L2.")
@click.option("--joint", metavar="ZONE", help="A jointed part whose joint is renewed.")
@click.option("--paint", "painted", metavar="ZONE", help="A zone that is painted...")
@click.option("--painted", "paint_date", default="", help="...in: a date as written.")
@computing
def isolate(
    ship: Path, within: str, repair: str, options: Options, **ticked: Any
) -> None:
    """Show what clearing every fault within a limit would have kept.

    And what other measures would have kept, each alone, where any is named.
    """
    from corrosion.answers import isolation  # noqa: PLC0415 - only here
    from corrosion.answers.measures import Ticked  # noqa: PLC0415 - only here

    limits = isolation.hours_of(within)
    asked = Ticked(circuits=names(repair), **ticked)
    result = estimated(ship, options)
    answer = isolation.isolating(result, limits) | isolation.others(result, asked)
    give(options.target, lambda: answer, lambda: printing.isolation_text(answer))


@click.command()
@SHIP
@click.option("--system", required=True, help="System whose lamps show the fault.")
@click.option("--conductor", help="Conductor that the lamps point to.")
@click.option("--worked-on", default="", help="Circuits worked on lately: L1,L2.")
@click.option("--stayed", default="", help="Opened already; the indication stayed.")
@click.option("--gone", metavar="CIRCUIT", help="Opened, and the indication went.")
@computing
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
    from corrosion.answers.hunt import hunting  # noqa: PLC0415 - only here
    from corrosion.inspection.chances import Seen  # noqa: PLC0415 - only here

    seen = Seen(
        conductor=conductor,
        worked_on=frozenset(names(worked_on)),
        stayed=names(stayed),
        gone=gone,
    )
    answer = hunting(read(ship), system, seen=seen, as_of=options.as_of)
    give(options.target, lambda: answer, lambda: printing.hunt_text(answer))


@click.command()
@SHIP
@click.option("--hours", type=float, required=True, help="Hours at hand.")
@click.option(
    "--access",
    default="inside,diver,dock",
    show_default=True,
    help="Kinds of access that can be had.",
)
@computing
def plan(ship: Path, hours: float, access: str, options: Options) -> None:
    """Show which zones to gauge with the hours at hand."""
    from corrosion.answers.plan import planning  # noqa: PLC0415 - only here

    kinds = set(names(access))
    for kind in sorted(kinds):
        if kind not in get_args(Access):
            raise LookupFailed.among("access", kind, get_args(Access))
    answer = planning(estimated(ship, options), hours=hours, access=kinds)
    give(options.target, lambda: answer, lambda: printing.plan_text(answer))
