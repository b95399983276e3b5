"""Everything of one plate on one time axis, as tables and spans of years."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np
import pandas as pd

from corrosion.foundation.units import YEAR
from corrosion.presentation.answers.history import fan, zone_gaugings
from corrosion.records.dates import When
from corrosion.records.ship import Berth
from corrosion.results import Estimate

_LEAST_KG: Final = 1e-6  # a fault that took less took nothing
_FAULTS: Final = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Stay:
    """What held over a span of years."""

    kind: str  # fault; a supply, dock or aground; older paint or paint
    begun: float  # calendar year with fraction
    ended: float  # the same
    words: str  # what it was


@dataclass(frozen=True, slots=True, kw_only=True)
class Slope:
    """The line through the last two mean gaugings: where it stands, and its slope."""

    from_year: float  # of the earlier gauging
    from_mm: float  # its thickness [mm]
    year: float  # of the later one
    mm: float  # its thickness [mm]

    @property
    def mm_a_year(self) -> float:
        """Millimetres lost a year; negative where the plate seems to have grown."""
        return (self.from_mm - self.mm) / (self.year - self.from_year)


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneHistory:
    """One zone over the years."""

    zone: str  # its id
    fan: pd.DataFrame  # as :func:`~corrosion.presentation.answers.history.fan`
    gaugings: pd.DataFrame  # as ``zone_gaugings`` beside it
    limit_mm: float  # least mean thickness allowed [mm]
    now: float  # date of the estimate, a calendar year with fraction
    horizon: float  # next docking, likewise
    slope: Slope | None  # None where there are not two mean gaugings
    faults: tuple[Stay, ...]  # that stood, the most metal first
    berths: tuple[Stay, ...]  # how she lay, in order of time
    paint: tuple[Stay, ...]  # which coat, in order of time


def _year(seconds: float) -> float:
    return 1970.0 + seconds / YEAR


def zone_history(result: Estimate, zone: str) -> ZoneHistory:
    """Return what happened to a zone.

    Raises UnknownNameError if there is no such zone.
    """
    grid = result.inputs.time_grid
    one = result.ship.zones[result.ship.zone_index(zone)]
    gauged = zone_gaugings(result, zone)
    return ZoneHistory(
        zone=zone,
        fan=fan(result, zone),
        gaugings=gauged,
        limit_mm=1e3 * one.limit,
        now=_year(grid.as_of),
        horizon=_year(grid.horizon),
        slope=_slope(gauged),
        faults=tuple(_faults(result, zone)),
        berths=tuple(_berths(result)),
        paint=tuple(_paint(result, one.painted or result.ship.last_docking, zone)),
    )


def _slope(gauged: pd.DataFrame) -> Slope | None:
    means = gauged[gauged["kind"] == "mean"].sort_values("year").tail(2)
    years, mm = means["year"].to_numpy(), means["thickness_mm"].to_numpy()
    if len(means) < 2 or years[0] == years[1]:
        return None
    return Slope(
        from_year=float(years[0]),
        from_mm=float(mm[0]),
        year=float(years[1]),
        mm=float(mm[1]),
    )


def _faults(result: Estimate, zone: str) -> Iterator[Stay]:
    """Yield the faults that took metal of the zone, the most first."""
    took = result.history.charged[:, result.ship.zone_index(zone)]
    spans = result.inputs.faults.spans
    for f in np.argsort(-took, kind="stable")[:_FAULTS]:
        if took[f] > _LEAST_KG:
            row = result.ship.faults[f]
            yield Stay(
                kind="fault",
                begun=_year(float(np.median(spans.began[:, f]))),
                ended=_year(float(np.median(spans.ended[:, f]))),
                words=f"{row.fault} {row.circuit or row.source}: took {took[f]:.2g} kg",
            )


def _berths(result: Estimate) -> Iterator[Stay]:
    """Yield how she lay; berths of one kind that follow each other as one."""
    grid = result.inputs.time_grid
    runs: list[Stay] = []
    rows = result.ship.berths
    # Where nothing is planned the present berth lasts, but what is drawn ends today:
    # no stay of the records reaches further.
    planned = any(b.start is not None and b.start.earliest > grid.as_of for b in rows)
    for berth in rows:
        begun = _year(grid.start if berth.start is None else berth.start.middle)
        until = grid.horizon if planned else grid.as_of
        ended = _year(until if berth.end is None else berth.end.middle)
        if begun >= ended:  # planned for after the next docking
            continue
        kind = _lay(berth)
        if runs and runs[-1].kind == kind:
            last = runs.pop()
            words = f"{last.words}; {berth.berth}"
            runs.append(Stay(kind=kind, begun=last.begun, ended=ended, words=words))
        else:
            runs.append(Stay(kind=kind, begun=begun, ended=ended, words=berth.berth))
    yield from runs


def _lay(berth: Berth) -> str:
    return berth.supply if berth.lies == "afloat" else berth.lies


def _paint(result: Estimate, painted: When | None, zone: str) -> Iterator[Stay]:
    """Yield the coats that are written down: what was before, and the last."""
    grid = result.inputs.time_grid
    start, now = _year(grid.start), _year(grid.as_of)
    dates = [
        w.date for w in result.ship.works if w.work == "painted" and w.zone == zone
    ]
    dates += [painted] if painted else []
    years = sorted({min(max(_year(d.middle), start), now) for d in dates})
    edges = [start, *years, now]
    for begun, ended in pairwise(edges):
        first = begun == start
        yield Stay(
            kind="older paint" if first else "paint",
            begun=begun,
            ended=ended,
            words="before the first painting that is written"
            if first
            else f"painted {begun:.0f}",
        )
