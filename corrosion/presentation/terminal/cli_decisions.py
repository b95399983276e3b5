"""The commands that help to decide: what to change, what to open, what to gauge."""

from pathlib import Path
from typing import Any, get_args

import click

from corrosion.foundation.errors import InputError, LookupFailed
from corrosion.presentation.terminal import options as opt
from corrosion.presentation.terminal import output as out
from corrosion.records.kinds import ShipLies


@click.command()
@opt.ship_argument
@opt.estimation_options
def docking(ship: Path, options: opt.Options) -> None:
    """List for the yard: plates to renew, gauge and paint, joints, anodes."""
    from corrosion.presentation.answers.docking import docking_result  # noqa: PLC0415 - only here

    result = opt.run_estimate(opt.load_ship(ship), options)
    out.write_result(
        options.output, docking_result(result), options.units_for(result.ship)
    )


@click.command()
@opt.ship_argument
@click.option(
    "--within", default="4h,24h,7d", show_default=True, help="Limits, found to cleared."
)
@click.option("--transformers", is_flag=True, help="Isolating transformers ashore.")
@click.option("--isolators", is_flag=True, help="Galvanic isolators in the earth.")
@click.option("--alarm", "alarm_ohm", type=float, help="Insulation alarm below, Ω.")
@click.option(
    "--alarm-noticed-after",
    "noticed_after",
    type=click.FloatRange(0.0, 1e6),
    help="Hours from a fault's beginning to its being noticed by the alarm; 4.",
)
@click.option("--heeded", type=click.FloatRange(0.0, 1e6), hidden=True)
@opt.names("--repair", "circuits", help="Circuits repaired for good: L1,L2.")
@click.option("--joint", metavar="ZONE", help="A jointed part whose joint is renewed.")
@click.option("--paint", "painted", metavar="ZONE", help="A zone that is painted...")
@click.option(
    "--painted",
    "paint_date",
    metavar="DATE",
    default="",
    help="...then: 2016, 2016-05 or 2016-05-12.",
)
@opt.PLOT
@opt.estimation_options
def isolate(
    ship: Path,
    within: str,
    plot: Path | None,
    options: opt.Options,
    noticed_after: float | None,
    heeded: float | None,
    **asked: Any,
) -> None:
    """Show what clearing every fault within a limit would have kept.

    And what other measures would have kept, each alone, where any is named.
    """
    from corrosion.presentation.answers import isolation  # noqa: PLC0415 - only here
    from corrosion.presentation.report.svg_curves import saved_steel_svg  # noqa: PLC0415 - likewise
    from corrosion.presentation.tables import whatif  # noqa: PLC0415 - likewise

    limits = isolation.hours_of(within)
    noticed = heeded if noticed_after is None else noticed_after
    if noticed is not None and asked["alarm_ohm"] is None:
        raise click.UsageError(
            "--alarm-noticed-after goes with --alarm: give the alarm level too."
        )
    if (asked["painted"] is None) != (not asked["paint_date"]):
        raise click.UsageError(
            "--paint ZONE and --painted DATE go together: give both."
        )
    if noticed is not None:
        asked["alarm_hours"] = noticed
    choice = isolation.MeasureChoice(**asked)
    records = opt.load_ship(ship)
    # Chosen here already: a wrong name is said before the long work.
    measures = isolation.chosen_measures(choice, records)
    result = opt.run_estimate(records, options)
    answer = isolation.isolation_result(result, limits, measures)
    if plot is not None:
        kept = whatif.limits(answer["limits"]).spreadsheet()
        out.write_plot(saved_steel_svg(kept, options.units_for(records)), plot)
    out.write_result(options.output, answer, options.units_for(records))


@click.command()
@opt.ship_argument
@click.option("--system", help="System whose lamps show the fault.")
@click.option(
    "--ship",
    "lies",
    type=opt.LIES,
    help="How she lies: only what may be opened so is offered.",
)
@click.option(
    "--resume",
    metavar="ID",
    help="Go on with a hunt that was written down in hunts/ID.csv.",
)
@click.option("--conductor", help="Conductor that the lamps point to.")
@opt.names("--worked-on", help="Circuits worked on lately: L1,L2.")
@opt.names(
    "--still-showing",
    metavar="CIRCUITS",
    help="Opened already, and the lamps still show the fault: L1,L2.",
)
@click.option(
    "--gone-with",
    metavar="CIRCUIT",
    help="Opened, and the lamps no longer show the fault.",
)
@opt.names("--closed", help="Of these, closed again: L1,L2.")
@opt.names("--silent", help="Clamped already, and nothing shown: L1,L2.")
@click.option("--shown", metavar="CIRCUIT", help="Clamped, and the clamp showed it.")
@opt.names(
    "--agreed",
    help="Vital circuits for which whoever must agree has agreed, with what takes over "
    "running.",
)
@opt.names("--stayed", hidden=True)
@click.option("--gone", hidden=True)
@opt.estimation_options
def hunt(
    ship: Path,
    system: str | None,
    lies: ShipLies | None,
    options: opt.Options,
    **told: Any,
) -> None:
    """Show the order in which to look, clamp, open breakers and test branches.

    Either anew, with --system and --ship, or a hunt that was written down, with
    --resume.
    """
    from corrosion.inspection.fault_finding.probabilities import Seen  # noqa: PLC0415 - only here
    from corrosion.presentation.answers import hunt as hunts  # noqa: PLC0415 - only here

    seen = Seen(
        conductor=told["conductor"],
        worked_on=frozenset(told["worked_on"]),
        stayed=told["still_showing"] or told["stayed"],
        gone=told["gone_with"] or told["gone"],
        closed=frozenset(told["closed"]),
        silent=told["silent"],
        shown=told["shown"],
        agreed=frozenset(told["agreed"]),
    )
    if told["resume"]:
        wrong = [f"--{k.replace('_', '-')}" for k, v in told.items() if v]
        wrong = [name for name in wrong if name not in ("--resume", "--agreed")]
        if system or lies or wrong:
            raise click.UsageError(
                "--resume goes without --system, --ship and what was done: it is "
                "written in the hunt. Only --agreed may be said beside it."
            )
        known = opt.load_ship(ship)
        progress = hunts.progress_in(known, told["resume"], agreed=seen.agreed)
        answer = hunts.resumed_hunt(known, progress, **options.sampling())
    elif system is None or lies is None:
        missing = "--system" if system is None else "--ship"
        words = f"Missing option '{missing}' (or --resume ID)."
        raise click.UsageError(words)
    else:
        answer = hunts.hunt_result(
            opt.load_ship(ship), system, lies=lies, seen=seen, **options.sampling()
        )
    out.write_result(options.output, answer)


@click.command()
@opt.ship_argument
@click.option("--hours", type=float, required=True, help="Hours at hand.")
@click.option(
    "--access",
    default="inside,diver,dock",
    show_default=True,
    help="Kinds of access that can be had; diver=8: for so many of the hours.",
)
@opt.estimation_options
def plan(ship: Path, hours: float, access: str, options: opt.Options) -> None:
    """Show which zones to gauge with the hours at hand."""
    from corrosion.presentation.answers.plan import gauging_plan  # noqa: PLC0415 - only here

    kinds, own = _accesses(access)
    answer = gauging_plan(
        opt.run_estimate(opt.load_ship(ship), options),
        hours=hours,
        access=kinds,
        access_hours=own,
    )
    out.write_result(options.output, answer)


def _accesses(text: str) -> tuple[set[str], dict[str, float]]:
    """Return the kinds of access of a list such as ``inside,diver=8``, and hours."""
    from corrosion.records.ship import Access  # noqa: PLC0415 - not for `--help`

    kinds, own = set(), {}
    for word in opt.split_list(text):
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
