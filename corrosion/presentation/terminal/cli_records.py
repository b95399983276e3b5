"""Commands about the records and the JSON themselves, which compute nothing."""

import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Final, cast

import click

from corrosion.presentation.terminal import options as opt
from corrosion.presentation.terminal import output as out

if TYPE_CHECKING:
    from corrosion.records.kinds import RecorderWrites
    from corrosion.records.ship import Ship

_DOC_WIDTH: Final = 88
_ALWAYS: Final = ("zone", "system", "fault", "berth", "gauging", "circuit")


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
def new(folder: Path) -> None:
    """Write a small ship folder to fill in, with comments."""
    from corrosion.records.folder.first_ship import write_example  # noqa: PLC0415 - only here

    write_example(folder)
    out.say(
        f"Wrote an invented example to {folder}; columns.md says what each column "
        f"means. Change it to your ship, then run: corrosion check {folder}"
    )


@click.command()
@opt.ship_argument
def check(ship: Path) -> None:
    """Read everything; print every problem and every doubt."""
    from corrosion.records.folder.read import read_ship  # noqa: PLC0415 - pydantic is slow

    found = read_ship(ship)
    doubts = opt.record_doubts(found)  # or what would stop an estimate
    for doubt in doubts:
        out.say(f"doubt: {doubt}")
    counted = ", ".join(
        f"{len(rows)} {word}{'s' * (len(rows) != 1)}"
        for word in (*_ALWAYS, "reading", "work", "anode", "potential", "hunt")
        for rows in [getattr(found, f"{word}s")]
        if rows or word in _ALWAYS
    )
    for words in _rounds(found):
        out.say(words)
    many = f"{len(doubts)} doubt{'s' * (len(doubts) != 1)}"
    out.say(f"{found.name}: {counted}: no problem, {many}")
    if doubts and opt.strict():
        sys.exit(out.BAD_RECORDS)


def _rounds(ship: "Ship") -> Iterator[str]:
    """Yield how often each system was found healthy, and when last."""
    for system in ship.systems:
        rounds = ship.rounds(system.name)
        if rounds:
            many = f"{len(rounds)} round{'s' * (len(rounds) != 1)}"
            yield f"{system.name}: {many} without a fault, the last {rounds[-1].text}"


@click.command()
@click.argument(
    "logs",
    nargs=-1,
    required=True,
    type=click.Path(path_type=Path, exists=True, dir_okay=False),
)
@click.option(
    "--gap",
    metavar="TIME",
    help="A longer step is a gap: 30s, 10min, 2h; five usual steps.",
)
@click.option(
    "--writes",
    type=click.Choice(["on-change", "at-intervals"]),
    help="How the recorder writes; as its rows look.",
)
@out.output_options
def charge(
    logs: tuple[Path, ...], gap: str | None, writes: str | None, output: out.Output
) -> None:
    """Integrate hull-current logs: ampere-hours, hours covered, gaps."""
    from corrosion.foundation.units import HOUR  # noqa: PLC0415 - not for `--help`
    from corrosion.presentation.answers.charge import log_charge  # noqa: PLC0415 - only here
    from corrosion.presentation.answers.isolation import hours_of  # noqa: PLC0415 - likewise

    seconds = None if gap is None else hours_of(gap)[0] * HOUR
    told = cast("RecorderWrites | None", writes and writes.replace("-", " "))
    out.write_result(output, log_charge(logs, gap=seconds, writes=told))


@click.command()
@opt.ship_argument
@out.output_options
def surveys(ship: Path, output: out.Output) -> None:
    """Show insulation surveys by circuit: at one temperature, with their trend."""
    from corrosion.presentation.answers.surveys import surveys_result  # noqa: PLC0415 - only here

    out.write_result(output, surveys_result(opt.load_ship(ship)))


@click.command()
@click.argument("table", required=False)
def columns(table: str | None) -> None:
    """Say what each column of TABLE means, its unit, and what a blank says."""
    from corrosion.records.folder.column_docs import columns_text  # noqa: PLC0415 - only here

    wide = min(out.terminal_width(), _DOC_WIDTH) if sys.stdout.isatty() else _DOC_WIDTH
    click.echo(columns_text(table, wide), nl=False)


@click.command()
@click.argument("command", required=False)
def schema(command: str | None) -> None:
    """Print the JSON Schema of what COMMAND writes with --json, or of all."""
    from corrosion.presentation.json_document import json_schema  # noqa: PLC0415 - only here

    click.echo(json.dumps(json_schema(command), ensure_ascii=False, indent=2))


@click.command("import")
@opt.ship_argument
@click.argument("file", type=click.Path(path_type=Path, exists=True, dir_okay=False))
@click.option(
    "--unit",
    "units",
    multiple=True,
    metavar="COLUMN=UNIT",
    help="Unit of a column of the sheet, as thickness_mm=in.",
)
@click.option("--yes", is_flag=True, help="Add the rows without asking.")
def import_(ship: Path, file: Path, units: tuple[str, ...], *, yes: bool) -> None:
    """Take a workbook (.xlsx) or CSV into SHIP, after showing what it understood.

    Headings are matched where they are plain, units are asked for where neither
    heading nor cells tell, and nothing is saved before you agree. `corrosion undo`
    takes it back.
    """
    from corrosion.records.imports.accept import preview, save  # noqa: PLC0415 - only here
    from corrosion.records.imports.proposal import propose_file  # noqa: PLC0415 - likewise

    told = dict(one.partition("=")[::2] for one in units)
    found = propose_file(ship, file, told)
    asked = {q.column: q for one in found for q in one.questions}
    if asked and not yes and sys.stdin.isatty():
        for column, question in asked.items():
            told[column] = click.prompt(
                f"{question.words} Its unit", default=question.likely or None
            )
        found = propose_file(ship, file, told)
    for line in preview(found):
        out.say(line)
    opt.refuse_doubts(doubt for one in found for doubt in one.doubts)
    many = sum(len(one.rows) for one in found)
    unread = any(one.problems or one.questions for one in found)
    if many and not unread and not (yes or click.confirm("Add them?", default=False)):
        click.echo("Nothing was saved.")
        return
    save(ship, found)
    out.say(f"Added {many} row{'s' * (many != 1)}. To take it back: corrosion undo")


@click.command()
@opt.ship_argument
def undo(ship: Path) -> None:
    """Take the last save into SHIP back; once more takes back the one before it."""
    from corrosion.records.folder.kept import undo as take_back  # noqa: PLC0415 - only here

    saves = take_back(ship)
    names = ", ".join(one.file for one in saves)
    out.say(f"Took back the save of {saves[0].time:%Y-%m-%d %H:%M} UTC: {names}.")
