"""A study of the study: break one law of the estimate by two, and see a row move.

``PYTHONPATH=tests python -m validation.breaking --ships 36`` lives the same ships once
for the estimate as it is and once for each broken law, with the same random numbers,
and prints which rows moved most in their paired standard errors by ship: in the share
of intervals that hold, in their score (CRPS), and in where truths stand in them (mean
rank). Beside them stands which row's score got worse, and which rows went from meeting
their band to missing it. A placebo, the estimate with another seed, shows what is
noise.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import click
import numpy as np
from validation.broken_laws import HELD_BACK, LAWS, Broken

from corrosion.validation.rows import ROWS, Findings
from corrosion.validation.scores import (
    Interval,
    crps_of_interval,
    pit_of_interval,
    ratio_by_ship,
)
from corrosion.validation.study import Asked, run_ships
from corrosion.validation.summary import counted, worth

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

    @property
    def worse(self) -> bool:
        """Whether a score, the only kind that has a better side, got worse."""
        return self.kind == "score" and self.z > 0.0


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


def meets(name: str, rows: list[tuple[float, ...]]) -> bool | None:
    """Return whether a row's span meets its band, however few the ships."""
    band = ROWS[name].band
    if band is None:
        return None
    value, error = ratio_by_ship([r[0] for r in rows], [r[-1] for r in rows])
    return band[0] <= value + 2.0 * error and value - 2.0 * error <= band[1]


def turned_red(intact: Parts, broken: Parts) -> list[str]:
    """Return the rows that met their band and do not any more."""
    return [
        name
        for name, rows in broken.items()
        if name in intact
        and meets(name, [*intact[name]])
        and meets(name, [*rows]) is False
    ]


def line(words: str, scenario: str, intact: Parts, broken: Parts) -> str:
    """Return what one broken law did, a line."""
    far = moved(intact, broken)
    worse = next((move for move in far if move.worse), None)
    red = ", ".join(turned_red(intact, broken))
    told = "; ".join(map(str, far[:3]))
    return f"| {words} | {scenario} | {told} | {worse or '-'} | {red or '-'} |"


@click.command()
@click.option("--ships", default=36, show_default=True)
@click.option("--samples", default=64, show_default=True)
@click.option("--seed", default=1, show_default=True)
@click.option("--limit", default=20.0, show_default=True)
@click.option("--only", default="", help="Laws whose words contain this.")
def main(ships: int, samples: int, seed: int, limit: float, only: str) -> None:
    """Break each law in turn."""
    chosen = [law for law in (*LAWS, *HELD_BACK) if only in law.words]
    plain = Asked(samples=samples, seed=seed, quick=True, limit=limit, scenario="")
    for scenario in dict.fromkeys(law.scenario for law in chosen):
        asked = replace(plain, scenario=scenario)
        intact = parts(list(run_ships(asked, ships, 1)))
        green = [name for name, rows in intact.items() if meets(name, [*rows])]
        click.echo(f"{scenario}, {ships} ships, {samples} samples; rows that meet: ")
        click.echo("  " + ", ".join(green))
        other = parts(list(run_ships(replace(asked, estimate_seed=2), ships, 1)))
        click.echo(line("(placebo: another seed)", scenario, intact, other))
        for law in chosen:
            if law.scenario == scenario:
                click.echo(_one(law, asked, intact, ships))


def _one(law: Broken, asked: Asked, intact: Parts, ships: int) -> str:
    broken = replace(asked, law=law, assume=law.assume)
    found = parts(list(run_ships(broken, ships, 1)))
    held = " (held back)" if law in HELD_BACK else ""
    return line(law.words + held, law.scenario, intact, found)


if __name__ == "__main__":
    main()
