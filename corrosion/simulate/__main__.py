"""The study at the command line: ``python -m corrosion.simulate --ships 200``."""

import sys
from pathlib import Path

import click

from corrosion.records.folder.write import write_ship
from corrosion.simulate.study import FIRST, WORST, Study, study
from corrosion.simulate.truth import rehearse

__all__ = ["main"]


@click.command()
@click.option("--ships", type=click.IntRange(1), default=200, show_default=True)
@click.option("--samples", type=click.IntRange(1), default=512, show_default=True)
@click.option("--seed", type=click.IntRange(0), default=1, show_default=True)
@click.option(
    "--keep",
    type=click.Path(path_type=Path),
    help="Write the folder of one invented ship here, to rehearse with her, and stop.",
)
def main(ships: int, samples: int, seed: int, keep: Path | None) -> None:
    """Invent ships, draw what is true of them, and compare the estimate with it."""
    if keep is not None:
        write_ship(rehearse(seed)[0], keep)
        return
    with click.progressbar(
        study(ships, samples=samples, seed=seed), length=ships, file=sys.stderr
    ) as rehearsed:
        result = Study(tuple(rehearsed))
    click.echo(f"{ships} invented ships, {samples} samples, seed {seed}")
    click.echo("share of zones, and of ships, whose 80 % interval holds the truth:")
    for name, (share, error) in result.held().items():
        click.echo(f"  {name:15} {100.0 * share:5.1f} ± {100.0 * error:.1f} %")
    ours, naive = result.found()
    click.echo(
        f"of the truly worst {WORST} zones, among the first {FIRST}: "
        f"{ours:.2f} in the estimate, {naive:.2f} in a list by ampere-hours"
    )


if __name__ == "__main__":
    main()
