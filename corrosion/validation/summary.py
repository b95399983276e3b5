"""Sums up what ships gave: a share or mean, its error by ship, and its verdict."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from corrosion.validation.scenarios import SCENARIOS
from corrosion.validation.scores import (
    ROWS,
    Findings,
    Interval,
    Item,
    Verdict,
    crps_of_interval,
    judge,
    pit_of_interval,
    ratio_by_ship,
)

UNBIASED: Final = (0.4, 0.6)
"""Mean rank of truths in answers that are neither too high nor too low.

A normal answer off by a quarter of its standard deviation stands at the edge.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Scored:
    """One row of a scenario, summed up."""

    row: str
    band: tuple[float, float] | None
    # value, error: share or mean, and its standard error by ship
    value: float
    error: float
    # ships, items, points, silent: ships and items counted; answers left out as points;
    # keys not answered
    ships: int
    items: int
    points: int
    silent: int
    crps: float  # of intervals, in the row's unit; NaN of other rows
    # rank, rank_error: mean of where truths stand in the answers, 0.5 where they are
    # unbiased, and its standard error by ship; NaN of other rows
    rank: float
    rank_error: float
    ranks: tuple[float, ...]  # where truths stand in the answers' laws, 0 to 1
    # verdict, rank_verdict: see `corrosion.validation.scores.judge`; of the mean rank
    # against `UNBIASED`, told only where a scenario moves the world's medians
    verdict: Verdict
    rank_verdict: Verdict


def score(scenario: str, found: list[Findings]) -> list[Scored]:
    """Return every row of a scenario that any ship gave something to."""
    bands: Mapping[str, tuple[float, float]] = SCENARIOS[scenario].bands
    due = None if SCENARIOS[scenario].what.shifts else UNBIASED
    return [
        _scored(
            name, bands.get(name, row.band), due, [ship.get(name, []) for ship in found]
        )
        for name, row in ROWS.items()
        if any(ship.get(name) for ship in found)
    ]


def _scored(
    name: str,
    band: tuple[float, float] | None,
    due: tuple[float, float] | None,
    found: list[list[Item | None]],
) -> Scored:
    answered = [[item for item in ship if item is not None] for ship in found]
    silent = sum(map(len, found)) - sum(map(len, answered))
    kept = [counted(name, ship) for ship in answered]
    points = sum(map(len, answered)) - sum(map(len, kept))
    kept = [ship for ship in kept if ship]
    items = [item for ship in kept for item in ship]
    spans = [item for item in items if isinstance(item, Interval)]
    if ROWS[name].log:
        spans = [span.logged() for span in spans]
    value, error = _by_ship([[worth(item) for item in ship] for ship in kept])
    ranks = [
        [pit_of_interval(x) for x in ship if isinstance(x, Interval)] for ship in kept
    ]
    rank, rank_error = _by_ship(ranks)
    return Scored(
        row=name,
        band=band,
        value=value,
        error=error,
        ships=len(kept),
        items=len(items),
        points=points,
        silent=silent,
        crps=float(np.mean([crps_of_interval(x) for x in spans] or np.nan)),
        rank=rank,
        rank_error=rank_error,
        ranks=tuple(pit_of_interval(x) for x in spans),
        verdict=judge(value, error, len(kept), band) if kept else "no answer",
        rank_verdict=judge(rank, rank_error, len(kept), due if spans else None),
    )


def _by_ship(values: list[list[float]]) -> tuple[float, float]:
    """Return the mean of what ships gave, and its error; NaN of nothing."""
    if not any(values):
        return np.nan, np.nan
    return ratio_by_ship([sum(ship) for ship in values], [*map(len, values)])


def counted(name: str, items: list[Item]) -> list[Item]:
    """Return what counts of what one ship gave to a row."""
    least = ROWS[name].least
    spans = [x.above(least) if isinstance(x, Interval) else x for x in items]
    return [x for x in spans if not (isinstance(x, Interval) and x.says_nothing)]


def worth(item: Interval | float) -> float:
    """Return what an item counts: an interval that holds, one; a number, itself."""
    return float(item.holds) if isinstance(item, Interval) else item
