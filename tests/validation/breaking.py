"""A study of the study: break one law of the estimate by two, and see a row move.

``PYTHONPATH=tests python -m validation.breaking --ships 24 --keep FILE`` lives the same
ships once for the estimate as it is and once for each broken law, with the same random
numbers, and prints how far the rows that the law governs moved in their paired standard
errors by ship: in the share of intervals that hold, in their score (CRPS), and in where
truths stand in them (mean rank). Beside them stands which shares and ranks went from
meeting their band to missing it. A placebo, the estimate with another seed, shows what
is noise: each ship has sampler's points of its own.
"""

from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import click
import numpy as np
from validation.broken_laws import LAWS

from corrosion.foundation.cache import program
from corrosion.validation.kept import resumed
from corrosion.validation.scores import (
    ROWS,
    Findings,
    Interval,
    crps_of_interval,
    pit_of_interval,
    ratio_by_ship,
)
from corrosion.validation.study import Asked
from corrosion.validation.summary import UNBIASED, counted, worth

LEAST_SHIPS = 10
"""Ships that must have moved before a row is believed."""

Parts = dict[str, list[tuple[float, float, float, float]]]
"""By row, a ship each: sums of values, scores and ranks, and how many."""


def parts(found: list[Findings]) -> Parts:
    """Return what each ship adds to each row."""
    out: Parts = {}
    for name, row in ROWS.items():
        if name.startswith("cpu"):
            continue
        for ship in found:
            given = [x for x in ship.get(name, []) if x is not None]
            items = counted(name, given)
            spans = [x for x in items if isinstance(x, Interval)]
            spans = [x.logged() for x in spans] if row.log else spans
            out.setdefault(name, []).append(
                (
                    sum(map(worth, items)),
                    sum(map(crps_of_interval, spans)),
                    sum(map(pit_of_interval, spans)),
                    float(len(items)),
                )
            )
    return {name: rows for name, rows in out.items() if any(r[-1] for r in rows)}


@dataclass(frozen=True)
class Move:
    """How far one kind of score of a row moved, in its paired standard errors."""

    z: float
    row: str
    kind: str

    def __str__(self) -> str:
        return f"{self.row} ({self.kind}) {self.z:+.1f}"


def moved(intact: Parts, broken: Parts) -> list[Move]:
    """Return how far each row moved, the farthest first.

    Ships that either study gave up are left out of both, and rows of which fewer than
    ten ships moved at all.
    """
    gave_up = np.array(intact["given_up"])[:, 0] + np.array(broken["given_up"])[:, 0]
    both = gave_up == 0.0
    out = []
    for name in sorted(intact.keys() & broken.keys() - {"given_up"}):
        a, b = np.array(intact[name])[both], np.array(broken[name])[both]
        if a[:, -1].any() and b[:, -1].any():
            out += list(_row(name, a, b))
    return sorted(out, key=lambda move: -abs(move.z))


def _row(name: str, a: np.ndarray, b: np.ndarray) -> Iterator[Move]:
    for column, kind in enumerate(("value", "score", "rank")):
        ratios = [x[:, column].sum() / x[:, -1].sum() for x in (a, b)]
        each = [
            (x[:, column] - r * x[:, -1]) / x[:, -1].sum()
            for x, r in zip((a, b), ratios, strict=True)
        ]
        error = float(np.sqrt(((each[1] - each[0]) ** 2).sum()))
        ships = int((a[:, column] != b[:, column]).sum())
        if error > 0.0 and ships >= LEAST_SHIPS:
            yield Move((ratios[1] - ratios[0]) / error, name, kind)


@dataclass(frozen=True)
class Span:
    """A share or mean rank, its standard error by ship, and whether it is green."""

    value: float
    error: float
    green: bool

    def __str__(self) -> str:
        return f"{self.value:.2f} ± {2.0 * self.error:.2f}"


def spans(every: Parts) -> dict[str, Span]:
    """Return shares and mean ranks that have a band, by row and by ``row (rank)``.

    However few the ships: as :func:`corrosion.validation.scores.judge` has it, green
    is what meets its band within two standard errors.
    """
    out = {}
    for name, rows in every.items():
        kept = [row for row in rows if row[-1]]
        bands = {name: (0, ROWS[name].band)}
        if ROWS[name].kind == "interval":
            bands[f"{name} (rank)"] = (2, UNBIASED)
        for words, (column, band) in bands.items():
            if band is not None and len(kept) >= LEAST_SHIPS:
                sums, counts = ([row[k] for row in kept] for k in (column, -1))
                value, error = ratio_by_ship(sums, counts)
                low, high = value - 2.0 * error, value + 2.0 * error
                out[words] = Span(value, error, band[0] <= high and low <= band[1])
    return out


def turned_red(intact: Parts, broken: Parts) -> dict[str, str]:
    """Return what met its band and does not any more, the farthest first."""
    before, after = spans(intact), spans(broken)
    red = {
        words: (abs(after[words].value - span.value), f"{span} to {after[words]}")
        for words, span in before.items()
        if span.green and words in after and not after[words].green
    }
    return {words: red[words][1] for words in sorted(red, key=lambda w: -red[w][0])}


def line(
    words: str, scenario: str, intact: Parts, broken: Parts, rows: Collection[str]
) -> str:
    """Return what one broken law did to some rows, a line."""
    intact, broken = (
        {row: each[row] for row in (*rows, "given_up") if row in each}
        for each in (intact, broken)
    )
    far = moved(intact, broken)
    red = [f"{row}: {how}" for row, how in turned_red(intact, broken).items()]
    told, turned = "; ".join(map(str, far[:3])), "; ".join(red[:3])
    turned += f" and {len(red) - 3} more" if len(red) > 3 else ""
    return f"| {words} | {scenario} | {told} | {turned or '-'} |"


@click.command()
@click.option("--ships", default=24, show_default=True)
@click.option("--samples", default=64, show_default=True)
@click.option("--seed", default=1, show_default=True)
@click.option("--limit", default=20.0, show_default=True)
@click.option("--only", default="", help="Laws whose ``scenario: words`` contain this.")
@click.option("--placebo", is_flag=True, help="Another seed, too, on every row.")
@click.option("--processes", default=1, show_default=True)
@click.option(
    "--keep",
    "file",
    type=click.Path(path_type=Path, dir_okay=False),
    help="JSON lines to resume from.",
)
def main(  # noqa: PLR0913 - one argument an option of the command
    ships: int,
    samples: int,
    seed: int,
    limit: float,
    only: str,
    *,
    placebo: bool,
    processes: int,
    file: Path | None,
) -> None:
    """Break each law in turn."""
    chosen = [law for law in LAWS if only in f"{law.scenario}: {law.words}"]
    plain = Asked(samples=samples, seed=seed, quick=True, limit=limit, scenario="")

    def run(asked: Asked, words: str) -> Parts:
        study = {"scenario": asked.scenario, "samples": samples, "seed": seed}
        study |= {"law": words, "program": program()[:12]}
        found = resumed(asked, range(ships), processes, file, study)
        return parts(found)

    for scenario in dict.fromkeys(law.scenario for law in chosen):
        asked = replace(plain, scenario=scenario)
        intact = run(asked, "")
        green = [
            f"{words} {span}" for words, span in spans(intact).items() if span.green
        ]
        click.echo(f"{scenario}, {ships} ships, {samples} samples; green: ")
        click.echo("  " + ", ".join(green))
        for law in (law for law in chosen if law.scenario == scenario):
            broken = run(replace(asked, law=law, assume=law.assume), law.words)
            click.echo(line(law.words, scenario, intact, broken, law.rows))
        if placebo:
            other = run(replace(asked, estimate_seed=501), "another seed")
            click.echo(line("(another seed)", scenario, intact, other, intact))


if __name__ == "__main__":
    main()
