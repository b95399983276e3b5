"""Commands about the records and the JSON themselves: new, check, columns, schema."""

import json
import sys
from pathlib import Path

import click

from corrosion.presentation.terminal.options import BAD_RECORDS, SHIP

__all__ = ["check", "columns", "new", "schema"]


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
def new(folder: Path) -> None:
    """Write a small ship folder to fill in, with comments."""
    from corrosion.records.folder.template import write_example  # noqa: PLC0415 - only here

    write_example(folder)
    click.echo(
        f"Wrote an invented example to {folder}; columns.md says what each column "
        f"means. Change it to your ship, then run: corrosion check {folder}"
    )


@click.command()
@SHIP
@click.option("--strict", is_flag=True, help="Leave with exit code 1 on any doubt.")
def check(ship: Path, *, strict: bool) -> None:
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
    if strict and many:
        sys.exit(BAD_RECORDS)


@click.command()
@click.argument("table", required=False)
def columns(table: str | None) -> None:
    """Say what each column of TABLE means, its unit, and what a blank says."""
    from corrosion.records.folder.column_docs import columns_text  # noqa: PLC0415 - only here

    click.echo(columns_text(table), nl=False)


@click.command()
@click.argument("command", required=False)
def schema(command: str | None) -> None:
    """Print the JSON Schema of what COMMAND writes with --json, or of all."""
    from corrosion.presentation.json_document import json_schema  # noqa: PLC0415 - only here

    click.echo(json.dumps(json_schema(command), ensure_ascii=False, indent=2))
