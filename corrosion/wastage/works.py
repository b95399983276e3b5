"""Works on plates: pits filled or welded, plates renewed, doublers.

A plate that is renewed begins anew: of whatever adds up over the years, only what came
about since stands in it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np

from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.records.ship import Ship, WorkKind

_KINDS = ("pits filled", "pits welded", "renewed", "doubler")


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateWork:
    """One row of works.csv that changes plates or pits, or a look at them in vain.

    Arrays are of shape (zones,) where no other is said.
    """

    moment: float  # when [s]
    # ``pits filled``, ``pits welded``, ``renewed`` or ``doubler``; ``pits left``: a
    # yard that put other plates right found nothing to do
    work: WorkKind | Literal["pits left"]
    zones: BoolArray  # which zones
    share: float  # share of each that was worked on [-]
    # thickness of new plate less that of the plate as built, or of a
    # doubler that counts [m]
    gain: Array

    @property
    def renewed(self) -> Array:
        """Share of each zone whose plate is new after it, shape (zones,) [-]."""
        return np.where(self.zones, self.share * (self.work == "renewed"), 0.0)

    @property
    def added(self) -> Array:
        """By how much it makes each zone thicker than as built, shape (zones,) [m]."""
        plate = self.work in ("renewed", "doubler")
        return np.where(self.zones, self.share * self.gain * plate, 0.0)


def in_plate(values: Array, moments: Array, works: Sequence[PlateWork]) -> Array:
    """Return what of a sum over the years came about in the plate that is there.

    Parameters
    ----------
    values : ndarray, shape (..., moments, zones)
        Sums up to each moment since her building. [m]
    moments : ndarray, shape (moments,)
        Ascending; the date of each renewal is among them, and what is recorded of it
        is the state before it. [s]
    works : sequence of PlateWork
        In order of time.

    Returns
    -------
    ndarray, shape (..., moments, zones)
        The same where no plate is renewed. [m]
    """
    for work in works:
        before = int(np.count_nonzero(moments <= work.moment))
        if not work.renewed.any() or before in (0, len(moments)):
            continue
        values = values.copy()
        gone = work.renewed * values[..., before - 1 : before, :]
        values[..., before:, :] -= gone
    return values


def of_all_plates(values: Array, moments: Array, works: Sequence[PlateWork]) -> Array:
    """Return what came about since her building: what left with old plates as well.

    Parameters
    ----------
    values : ndarray, shape (..., moments, zones)
        As :func:`in_plate` returns them. [m]
    moments : ndarray, shape (moments,)
        As there. [s]
    works : sequence of PlateWork
        In order of time.

    Returns
    -------
    ndarray, shape (..., moments, zones)
        As :func:`in_plate` takes them. [m]
    """
    whole = values
    for work in works:
        before = int(np.count_nonzero(moments <= work.moment))
        if work.renewed.any() and before not in (0, len(moments)):
            whole = whole.copy()
            gone = work.renewed * values[..., before - 1 : before, :]
            whole[..., before:, :] += gone
    return whole


def left_by_welds(most: Array, works: Sequence[PlateWork], moment: float) -> Array:
    """Return how deep the deepest pit of each zone stayed when pits were welded.

    Parameters
    ----------
    most : ndarray, shape (samples, zones)
        What a yard leaves that welds. [m]
    works : sequence of PlateWork
        In order of time.
    moment : float
        Welds before it count, in the plate that is there. [s]

    Returns
    -------
    ndarray, shape (samples, zones)
        Depths; 0: nothing was welded. [m]
    """
    welded = np.zeros(most.shape[1], np.bool_)
    for work in works:
        if work.moment < moment:
            welded &= work.renewed < 1.0
            if work.work == "pits welded":
                welded |= work.zones & (work.share > 0.0)
    return np.where(welded, most, 0.0)


def plate_age(
    moments: Array, start: float, zones: int, works: Sequence[PlateWork]
) -> Array:
    """Return the mean age of the plate of each zone.

    Parameters
    ----------
    moments : ndarray, shape (moments,)
        Ascending. [s]
    start : float
        When she was built; zero before it. [s]
    zones : int
        How many there are.
    works : sequence of PlateWork
        In order of time.

    Returns
    -------
    ndarray, shape (moments, zones)
        Of a zone that was renewed in part, old and new together. [s]

    Examples
    --------
    A quarter of a plate of 20 years was renewed at 12:

    >>> work = PlateWork(
    ...     moment=12.0, work="renewed", zones=np.array([True]), share=0.25,
    ...     gain=np.zeros(1),
    ... )
    >>> plate_age(np.array([12.0, 20.0]), 0.0, 1, [work]).ravel().tolist()
    [12.0, 17.0]
    """
    stops = np.array([work.moment for work in works])
    every = np.concatenate([moments, stops])
    order = np.argsort(every, kind="stable")
    age = np.tile(np.maximum(every - start, 0.0)[:, None], (1, zones))
    age[order] = in_plate(age[order], every[order], works)
    return age[: len(moments)]


def plate_gain(moments: Array, zones: int, works: Sequence[PlateWork]) -> Array:
    """Return how much thicker than as built works made plates.

    Parameters
    ----------
    moments : ndarray, shape (moments,)
        Ascending. [s]
    zones : int
        How many there are.
    works : sequence of PlateWork
        In order of time.

    Returns
    -------
    ndarray, shape (moments, zones)
        Of new plate, and of doublers that count. [m]
    """
    gain = np.zeros((len(moments), zones))
    for work in works:
        after = moments > work.moment
        gain[after] += work.added - work.renewed * gain[after]
    return gain


def plate_spans(
    works: Sequence[PlateWork], until: Array, zone: IntArray
) -> Iterator[tuple[float, float, Array]]:
    """Yield spans of time between renewals, and what part of each plate is so old.

    Parameters
    ----------
    works : sequence of PlateWork
        In order of time.
    until : ndarray, shape (n,)
        At which moments plates are looked at. [s]
    zone : ndarray of int, shape (n,)
        Whose plates.

    Yields
    ------
    start, end : float
        Of the span. [s]
    share : ndarray, shape (n,)
        Share of the plate that was there in that span already. [-]
    """
    some = [work for work in works if work.renewed.any()]
    cuts = [-np.inf, *(work.moment for work in some), np.inf]
    for k, (start, end) in enumerate(pairwise(cuts)):
        share = np.ones(len(until))
        for work in some[k:]:
            share *= 1.0 - work.renewed[zone] * (work.moment < until)
        yield start, end, share


def plate_works(ship: Ship) -> tuple[PlateWork, ...]:
    """Return the works on her plates in order of time; what only paints is not one.

    A doubler that does not count for the limit changes nothing: the plate beneath it
    goes on as before.
    """
    built = np.array([zone.built for zone in ship.zones])
    found = []
    for work in ship.works:
        if work.work not in _KINDS or (work.work == "doubler" and not work.counts):
            continue
        thick = built if work.thickness is None else np.full_like(built, work.thickness)
        found.append(
            PlateWork(
                moment=work.date.middle,
                work=work.work,
                zones=np.array([work.covers(z) for z in ship.zones], dtype=np.bool_),
                share=work.share,
                gain=thick if work.work == "doubler" else thick - built,
            )
        )
    return tuple(sorted(found, key=lambda work: work.moment))
