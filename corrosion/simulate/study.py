"""The study of known-truth ships: do intervals hold, and does the ranking find them."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from corrosion.estimate import Estimate, estimate
from corrosion.simulate.ships import AS_OF
from corrosion.simulate.truth import Truth, rehearse
from corrosion.types import Array

__all__ = ["FIRST", "WORST", "Rehearsed", "Study", "study"]

WORST, FIRST = 5, 8
"""How many of the truly worst zones are sought, among how many first of a list."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rehearsed:
    """One ship, estimated and compared with her truth.

    Attributes
    ----------
    place : mapping of str to ndarray, shape (zones,)
        Share of the samples below the truth, by quantity; NaN where the samples leave
        nothing open. [-]
    found, found_naively : int
        How many of the truly worst zones stand first in the estimate, and in a list
        by ampere-hours.
    """

    place: Mapping[str, Array]
    found: int
    found_naively: int


@dataclass(frozen=True, slots=True)
class Study:
    """Many ships, each compared with her truth."""

    ships: tuple[Rehearsed, ...]

    def held(self) -> dict[str, float]:
        """Return the share of zones whose 80 % interval holds the truth."""
        return {
            name: float(np.mean((place >= 0.1) & (place <= 0.9)))
            for name, place in self.places().items()
        }

    def places(self) -> dict[str, Array]:
        """Return the places of the truth among the samples, all ships together."""
        names = self.ships[0].place
        every = {n: np.concatenate([s.place[n] for s in self.ships]) for n in names}
        return {name: p[~np.isnan(p)] for name, p in every.items()}

    def found(self) -> tuple[float, float]:
        """Return how many of the worst zones a list finds: estimate's and naive."""
        both = np.array([(s.found, s.found_naively) for s in self.ships])
        one, other = both.mean(axis=0)
        return float(one), float(other)


def study(ships: int, *, samples: int, seed: int) -> Iterator[Rehearsed]:
    """Rehearse ships one after another.

    Parameters
    ----------
    ships, samples, seed : int
        How many ships; samples of each estimate; seed of the first.

    Yields
    ------
    Rehearsed
        One a ship.
    """
    for k in range(ships):
        records, truth = rehearse(seed * 100_000 + k)
        found = estimate(records, samples=samples, seed=k, as_of=AS_OF)
        yield _compared(found, truth)


def _compared(found: Estimate, truth: Truth) -> Rehearsed:
    books, own, pick = found.books, truth.books, found.lesson.pick
    now = int(np.searchsorted(books.moments, found.case.clock.as_of))
    pairs = {
        "mean_loss_mm": (pick(books.mean[:, now]), own.mean[:, now]),
        "stray_kg": (pick(books.stray_kg), own.stray_kg),
        "natural_kg": (pick(books.natural_kg), own.natural_kg),
        "left_mm": (found.outlook.left, truth.outlook.left),
    }
    worst = np.flatnonzero(truth.outlook.in_first > 0.5)
    names = {found.ship.zones[k].zone for k in worst}
    table = found.zones
    naive = table.sort_values("ceiling_kg_mean", ascending=False, kind="stable")
    return Rehearsed(
        place={
            name: _place(samples, true[0]) for name, (samples, true) in pairs.items()
        },
        found=len(names & set(table["zone"][:FIRST])),
        found_naively=len(names & set(naive["zone"][:FIRST])),
    )


def _place(samples: Array, true: Array) -> Array:
    below = (samples < true).mean(axis=0)
    return np.where(np.ptp(samples, axis=0) > 0.0, below, np.nan)
