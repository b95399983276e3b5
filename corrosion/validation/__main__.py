"""The study at the command line: ``python -m corrosion.validation --ships 200``."""

import json
import signal
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from typing import Any, TypeVar

import click

from corrosion.foundation.cache import program
from corrosion.validation.kept import read_kept, resumed
from corrosion.validation.report import columns, page, table
from corrosion.validation.scenarios import SCENARIOS
from corrosion.validation.study import Asked
from corrosion.validation.summary import Scored, score

_F = TypeVar("_F", bound=Callable[..., Any])


def _file(option: str, name: str, words: str) -> Callable[[_F], _F]:
    kind = click.Path(path_type=Path, dir_okay=False)
    return click.option(option, name, type=kind, help=words)


@click.command()
@click.option(
    "--scenario",
    "names",
    multiple=True,
    type=click.Choice([*SCENARIOS, "all"]),
    default=["well specified"],
    show_default=True,
    help="May be given several times; all: every one.",
)
@click.option("--ships", type=click.IntRange(1), default=200, show_default=True)
@click.option("--samples", type=click.IntRange(8), default=256, show_default=True)
@click.option("--seed", type=click.IntRange(0), default=1, show_default=True)
@click.option("--processes", type=click.IntRange(1), default=1, show_default=True)
@click.option("--quick", is_flag=True, help="One estimate a ship: fewer rows.")
@click.option(
    "--limit",
    type=click.FloatRange(0.0),
    default=120.0,
    show_default=True,
    help="Seconds of processor of an estimate after which a ship is given up; 0: none.",
)
@_file(
    "--keep",
    "file",
    "JSON lines to which each ship is added when done; ships of "
    "the same study and program that it holds are not lived again.",
)
@click.option(
    "--kept-only",
    is_flag=True,
    help="Score what --keep holds, of any state of the program; live no ship.",
)
@_file("--html", "report", "Write a report with pictures, one file.")
@_file("--markdown", "markdown", "Write all scenarios side by side, a table.")
@_file("--json", "target", "Write every row of every scenario.")
def main(  # noqa: PLR0913 - one argument an option of the command
    names: tuple[str, ...],
    ships: int,
    samples: int,
    seed: int,
    processes: int,
    *,
    quick: bool,
    limit: float,
    file: Path | None,
    kept_only: bool,
    report: Path | None,
    markdown: Path | None,
    target: Path | None,
) -> None:
    """Live ships, let people write them down, and hold the estimate to the truth.

    A row passes where its value, plus or minus two standard errors by ship, meets its
    band. Fewer than 200 ships claim nothing. With --keep a study can be stopped,
    resumed and extended.
    """
    if kept_only and file is None:
        raise click.UsageError("--kept-only needs --keep FILE")
    signal.signal(signal.SIGTERM, signal.default_int_handler)  # ends its workers too
    chosen = list(SCENARIOS) if "all" in names else list(names)
    results: dict[str, list[Scored]] = {}
    for name in chosen:
        asked = Asked(
            scenario=name, samples=samples, seed=seed, quick=quick, limit=limit
        )
        study = {"scenario": name, "samples": samples, "seed": seed, "quick": quick}
        if kept_only and file:
            found = [rows for _, rows in sorted(read_kept(file, study).items())]
        else:
            study["program"] = program()[:12]
            found = resumed(asked, range(ships), processes, file, study)
        if not found:
            click.echo(f"{name}: 0 ships")
            continue
        results[name] = score(name, found)
        click.echo(
            f"{name}: {SCENARIOS[name].words}; {len(found)} ships, {samples} samples, "
            f"seed {seed}"
        )
        click.echo(table(results[name]))
    stated = {
        "ships": ships,
        "samples": samples,
        "seed": seed,
        "quick": quick,
        "limit": limit,
    }
    if target is not None:
        rows = {name: [asdict(row) for row in all_] for name, all_ in results.items()}
        whole = {**stated, "scenarios": rows}
        target.write_text(json.dumps(whole, indent=1), encoding="utf-8")
    if markdown is not None:
        markdown.write_text(columns(results), encoding="utf-8")
    if report is not None:
        report.write_text(page(results, stated), encoding="utf-8")


if __name__ == "__main__":
    main()
