"""The study of known-truth ships: do intervals hold, and does the ranking find them."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from corrosion.estimate import Estimate, estimate
from corrosion.foundation.types import Array, BoolArray
from corrosion.simulate.ships import AS_OF
from corrosion.simulate.truth import Truth, rehearse

__all__ = ["FIRST", "WORST", "Rehearsed", "Study", "study"]

WORST, FIRST = 5, 8
"""How many of the truly worst zones are sought, among how many first of a list."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rehearsed:
    """One ship, estimated and compared with her truth.

    Attributes
    ----------
    held : mapping of str to ndarray of bool, shape (open,)
        Whether the interval from p10 to p90 holds the truth, by quantity, for each
        zone of which the samples leave it open (no stray current wastes a bilge), or
        for the ship as a whole.
    found, found_naively : int
        How many of the truly worst zones stand first in the estimate, and in a list
        by ampere-hours.
    """

    held: Mapping[str, BoolArray]
    found: int
    found_naively: int


@dataclass(frozen=True, slots=True)
class Study:
    """Many ships, each compared with her truth."""

    ships: tuple[Rehearsed, ...]

    def held(self) -> dict[str, tuple[float, float]]:
        """Return the share of zones whose interval holds the truth, and its error.

        Zones of one ship share unknowns, so that the standard error comes from the
        differences between ships. [-]
        """
        shares = {}
        for name in self.ships[0].held:
            held = np.array([ship.held[name].sum() for ship in self.ships])
            zones = np.array([ship.held[name].size for ship in self.ships])
            share = held.sum() / zones.sum()
            error = np.sqrt(((held - share * zones) ** 2).sum()) / zones.sum()
            shares[name] = (float(share), float(error))
        return shares

    def found(self) -> tuple[float, float]:
        """Return how many of the worst zones a list finds: estimate's and naive."""
        both = np.array([(ship.found, ship.found_naively) for ship in self.ships])
        ours, naive = both.mean(axis=0)
        return float(ours), float(naive)


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
    whole = {
        "ship_stray_kg": (found.lesson.total(books.stray_kg), own.stray_kg),
        "ship_natural_kg": (found.lesson.total(books.natural_kg), own.natural_kg),
    }
    pairs |= {
        name: (one[:, None], true.sum(1)[None]) for name, (one, true) in whole.items()
    }
    worst = np.flatnonzero(truth.outlook.in_first > 0.5)
    names = {found.ship.zones[k].zone for k in worst}
    table = found.zones
    naive = table.sort_values("ceiling_kg_mean", ascending=False, kind="stable")
    return Rehearsed(
        held={name: _held(samples, true[0]) for name, (samples, true) in pairs.items()},
        found=len(names & set(table["zone"][:FIRST])),
        found_naively=len(names & set(naive["zone"][:FIRST])),
    )


def _held(samples: Array, true: Array) -> BoolArray:
    low, high = np.quantile(samples, (0.1, 0.9), axis=0)
    held = (low <= true) & (true <= high)
    return np.asarray(held[np.ptp(samples, axis=0) > 0.0], np.bool_)
