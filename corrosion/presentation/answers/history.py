"""What became of her plating over the years, as tables for figures.

Everything comes from the samples of an estimate; the loss in each year, by cause, is
two more walks on the same random numbers: without faults, and without shore couples.
"""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pandas as pd

from corrosion.estimate import Estimate, restated
from corrosion.foundation.statistics import summarise
from corrosion.foundation.types import Array
from corrosion.foundation.units import MM, YEAR
from corrosion.history.integrate import keep_books
from corrosion.inspection.calibration.disagreement import deviations
from corrosion.inspection.whatif.measures import isolating_transformers
from corrosion.records.dates import day_of, moment_of
from corrosion.wastage.metals import metal

__all__ = [
    "berth_spans",
    "fan",
    "gauged_in",
    "gaugings",
    "loss_by_year",
    "loss_by_zone",
    "taught",
]

_YEAR_ZERO = 1970.0


def _years(moments: Array) -> Array:
    """Return calendar years with fraction of moments in seconds from 1970-01-01."""
    return np.asarray(_YEAR_ZERO + np.asarray(moments) / YEAR)


def fan(result: Estimate, zone: str) -> pd.DataFrame:
    """Return a zone's mean thickness over the years.

    Parameters
    ----------
    result : Estimate
        The estimate.
    zone : str
        Zone id.

    Returns
    -------
    DataFrame
        ``year`` with fraction, ``p10``, ``p50``, ``p90`` [mm].
    """
    z = result.ship.zone_index(zone)
    low, middle, high = result.outlook.fan[:, :, z] / MM
    moments = result.books.moments
    return pd.DataFrame(
        {"year": _years(moments), "p10": low, "p50": middle, "p90": high}
    )


def gauged_in(result: Estimate, zone: str) -> pd.DataFrame:
    """Return a zone's gaugings: ``year``, ``thickness_mm``, ``sd_mm``, ``kind``."""
    measured = result.lesson.gauged
    rows = [
        {
            "year": float(_years(np.array(row.date.middle))),
            "thickness_mm": row.thickness / MM,
            "sd_mm": float(np.sqrt(measured.variance[k])) / MM,
            "kind": row.kind,
        }
        for k, row in enumerate(result.ship.gaugings)
        if row.zone == zone and measured is not None
    ]
    return pd.DataFrame(rows, columns=["year", "thickness_mm", "sd_mm", "kind"])


def gaugings(result: Estimate) -> pd.DataFrame:
    """Return every gauging beside what was predicted without any.

    Returns
    -------
    DataFrame
        ``zone``, ``date``, ``kind``, ``measured_mm``, ``sd_mm``, ``predicted_mm_p10``,
        ``..._p50``, ``..._p90`` and ``deviations``; a row a gauging.
    """
    lesson, rows = result.lesson, result.ship.gaugings
    if lesson.gauged is None:
        return pd.DataFrame()
    foreseen = summarise(lesson.predicted / MM)
    _, off = deviations(lesson.predicted, lesson.gauged)
    return pd.DataFrame(
        {
            "zone": [row.zone for row in rows],
            "date": [row.date.text for row in rows],
            "kind": [row.kind for row in rows],
            "measured_mm": [row.thickness / MM for row in rows],
            "sd_mm": np.sqrt(lesson.gauged.variance) / MM,
            **{f"predicted_mm_{q}": foreseen[q] for q in ("p10", "p50", "p90")},
            "deviations": off,
        }
    )


def taught(result: Estimate) -> pd.DataFrame:
    """Return what the gaugings changed: each gauged zone's thickness before and after.

    Returns
    -------
    DataFrame
        ``zone``, ``before_mm_p10`` to ``_p90`` from the records alone, ``after_mm_p10``
        to ``_p90``, at the date of the estimate, and ``effective``, the number of
        samples behind the zone.
    """
    case, books = result.case, result.books
    now = int(np.searchsorted(books.moments, case.clock.as_of))
    built = np.array([zone.built for zone in result.ship.zones])
    alone = np.maximum(built * case.zones.rolled - books.mean[:, now], 0.0)
    before, after = summarise(alone / MM), summarise(result.outlook.left / MM)
    table = pd.DataFrame(
        {
            "zone": [zone.zone for zone in result.ship.zones],
            **{f"before_mm_{q}": before[q] for q in ("p10", "p50", "p90")},
            **{f"after_mm_{q}": after[q] for q in ("p10", "p50", "p90")},
            "effective": result.lesson.effective,
        }
    )
    gauged = {row.zone for row in result.ship.gaugings}
    return table[table["zone"].isin(gauged)].reset_index(drop=True)


def loss_by_zone(result: Estimate) -> pd.DataFrame:
    """Return each zone's loss by cause, most of stray loss first.

    Returns
    -------
    DataFrame
        ``zone``, ``name``, ``stray_kg_mean`` (of faults and couple together),
        ``couple_kg_mean``, ``natural_kg_mean`` and ``ceiling_kg_mean`` [kg].
    """
    zones = result.zones.sort_values("stray_kg_mean", ascending=False)
    wanted = ["zone", "name", "stray_kg_mean", "couple_kg_mean"]
    wanted += ["natural_kg_mean", "ceiling_kg_mean"]
    return zones[wanted].reset_index(drop=True)


def loss_by_year(
    result: Estimate,
    *,
    most: int = 25,
    tell: Callable[[float], None] | None = None,
) -> pd.DataFrame:
    """Return the steel lost in each of the last years, by cause.

    Parameters
    ----------
    result : Estimate
        The estimate; its random numbers are used again.
    most : int, optional
        How many years at most, up to the date of the estimate.
    tell : callable, optional
        As for :func:`corrosion.estimate`; two walks, one after the other.

    Returns
    -------
    DataFrame
        ``year`` and the means ``stray_kg_mean`` (of faults and couple together),
        ``couple_kg_mean`` and ``natural_kg_mean`` [kg]; a row a calendar year, her
        first and the last one not full.
    """
    case, lesson = result.case, result.lesson
    last = result.as_of.year
    first = max(day_of(case.clock.start).year, last - most + 1)
    starts = [moment_of(result.as_of.replace(y, 1, 1)) for y in range(first, last + 1)]
    moments = np.unique([*np.maximum(starts, case.clock.start + 1.0), case.clock.as_of])
    clock = replace(case.clock, moments=moments)
    case = replace(case, clock=clock)
    spared = isolating_transformers().case(case)
    spans = case.faults.spans
    never = replace(spans, ended=spans.began)
    with restated(result.ship):
        whole, quiet = keep_books(case, [spans, never], moments, tell=tell)
        (natural,) = keep_books(spared, [never], moments, tell=tell)
    area = case.hull.body.area
    heavy = np.array([metal(zone.metal).density for zone in result.ship.zones])
    masses = [
        [lesson.pick(kept.mean[:, at]).mean(axis=0) @ (area * heavy) for at in moments]
        for kept, moments in (
            (one, range(len(moments))) for one in (whole, quiet, natural)
        )
    ]
    stray, couple, left = np.diff(np.array(masses), axis=1)
    return pd.DataFrame(
        {
            "year": np.arange(first, first + len(stray)),
            "stray_kg_mean": stray - left,
            "couple_kg_mean": couple - left,
            "natural_kg_mean": left,
        }
    )


def berth_spans(result: Estimate) -> pd.DataFrame:
    """Return how she lay: ``berth``, ``supply``, datetimes ``start`` and ``end``."""
    clock = result.case.clock
    rows = result.ship.berths
    starts = [clock.start if b.start is None else b.start.middle for b in rows]
    ends = [clock.as_of if b.end is None else b.end.middle for b in rows]
    limits = clock.start, clock.as_of
    return pd.DataFrame(
        {
            "berth": [b.berth for b in rows],
            "supply": [b.supply for b in rows],
            "start": pd.to_datetime(np.clip(starts, *limits), unit="s").floor("s"),
            "end": pd.to_datetime(np.clip(ends, *limits), unit="s").floor("s"),
        }
    )
