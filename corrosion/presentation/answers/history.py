"""What became of her plating over the years, as tables for figures.

Everything comes from the samples of an estimate; the loss in each year, by cause, is
two more histories with the same random numbers: without faults, without shore couples.
"""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pandas as pd

from corrosion.foundation.statistics import summarise
from corrosion.foundation.types import Array
from corrosion.foundation.units import MM, YEAR
from corrosion.history.integrate import integrate_history
from corrosion.history.time_steps import Scenario
from corrosion.inspection.calibration.disagreement import deviations
from corrosion.records.dates import day_of, moment_of
from corrosion.results import Estimate

_YEAR_ZERO = 1970.0
_BY_YEAR = ("couple", "natural", "own_metals", "unexplained", "spared")


def _years(moments: Array) -> Array:
    """Return calendar years with fraction of moments in seconds from 1970-01-01."""
    return np.asarray(_YEAR_ZERO + np.asarray(moments) / YEAR)


def fan(result: Estimate, zone: str) -> pd.DataFrame:
    """Return a zone's mean thickness over the years.

    Returns ``year`` with fraction, ``p10``, ``p50``, ``p90`` [mm].
    """
    z = result.ship.zone_index(zone)
    low, middle, high = result.outlook.fan[:, :, z] / MM
    moments = result.history.moments
    return pd.DataFrame(
        {"year": _years(moments), "p10": low, "p50": middle, "p90": high}
    )


def zone_gaugings(result: Estimate, zone: str) -> pd.DataFrame:
    """Return a zone's gaugings: ``year``, ``thickness_mm``, ``sd_mm``, ``kind``."""
    measured = result.calibration.measured
    rows = [
        {
            "year": float(_years(np.array(row.date.middle))),
            "thickness_mm": row.thickness / MM,
            "sd_mm": float(np.sqrt(measured.variance[measured.row[k]])) / MM,
            "kind": row.kind,
        }
        for k, row in enumerate(result.ship.gaugings)
        if row.zone == zone and measured is not None
    ]
    return pd.DataFrame(rows, columns=["year", "thickness_mm", "sd_mm", "kind"])


def gaugings(result: Estimate) -> pd.DataFrame:
    """Return every gauging beside what was predicted without any.

    Returns ``zone``, ``date``, ``kind``, ``measured_mm``, ``sd_mm``,
    ``predicted_mm_p10``, ``..._p50``, ``..._p90``, ``deviations``, ``disagrees``,
    ``chance_wrong`` and ``bias_mm``; a row a gauging.
    """
    calibration, rows = result.calibration, result.ship.gaugings
    measured = calibration.measured
    if measured is None:
        return pd.DataFrame()
    foreseen = {
        q: values[measured.row]
        for q, values in summarise(calibration.predicted / MM).items()
    }
    enough = result.ship.assumptions.value("disagreement_deviations")
    built = np.array([zone.built for zone in result.ship.zones])[measured.zone]
    off = deviations(calibration.predicted, measured, built)[1][measured.row]
    return pd.DataFrame(
        {
            "zone": [row.zone for row in rows],
            "date": [row.date.text for row in rows],
            "kind": [row.kind for row in rows],
            "measured_mm": [row.thickness / MM for row in rows],
            "sd_mm": np.sqrt(measured.variance[measured.row]) / MM,
            **{f"predicted_mm_{q}": foreseen[q] for q in ("p10", "p50", "p90")},
            "deviations": off,
            "disagrees": np.abs(off) >= enough,
            "chance_wrong": calibration.wrong[measured.row],
            "bias_mm": np.median(calibration.bias, axis=0)[measured.row] / MM,
        }
    )


def calibrated_thickness(result: Estimate) -> pd.DataFrame:
    """Return what the gaugings changed: each gauged zone's thickness before and after.

    Returns ``zone``, ``before_mm_p10`` to ``_p90`` from the records alone,
    ``after_mm_p10`` to ``_p90``, at the date of the estimate.
    """
    before = summarise(result.calibration.before / MM)
    after = summarise(result.outlook.left / MM)
    table = pd.DataFrame(
        {
            "zone": [zone.zone for zone in result.ship.zones],
            **{f"before_mm_{q}": before[q] for q in ("p10", "p50", "p90")},
            **{f"after_mm_{q}": after[q] for q in ("p10", "p50", "p90")},
        }
    )
    gauged = {row.zone for row in result.ship.gaugings}
    return table[table["zone"].isin(gauged)].reset_index(drop=True)


def loss_by_zone(result: Estimate) -> pd.DataFrame:
    """Return each zone's loss by cause, most of stray loss first.

    Returns ``zone``, ``name``, ``stray_kg_mean`` (of faults and couple together),
    ``couple_kg_mean``, ``own_metals_kg_mean``, ``natural_kg_mean`` and
    ``ceiling_kg_mean`` [kg].
    """
    zones = result.zones.sort_values("stray_kg_mean", ascending=False)
    wanted = ["zone", "name", "stray_kg_mean", "couple_kg_mean", "own_metals_kg_mean"]
    wanted += ["natural_kg_mean", "ceiling_kg_mean"]
    return zones[wanted].reset_index(drop=True)


def loss_by_year(
    result: Estimate,
    *,
    most: int = 25,
    on_progress: Callable[[float], None] | None = None,
) -> pd.DataFrame:
    """Return the steel lost in each of the last years, by cause.

    Parameters
    ----------
    result : Estimate
        The estimate; its random numbers are used again.
    most : int, optional
        How many years at most, up to the date of the estimate.
    on_progress : callable, optional
        As for :func:`corrosion.estimate`; one more integration.

    Returns
    -------
    DataFrame
        ``year`` and the means ``stray_kg_mean`` (of faults and couple together),
        ``couple_kg_mean``, ``natural_kg_mean``, ``own_metals_kg_mean``,
        ``unexplained_kg_mean`` and ``spared_kg_mean`` [kg]; a row a calendar year, her
        first and the last one not full.
    """
    inputs, calibration = result.inputs, result.calibration
    last = result.as_of.year
    first = max(day_of(inputs.time_grid.start).year, last - most + 1)
    starts = [moment_of(result.as_of.replace(y, 1, 1)) for y in range(first, last + 1)]
    moments = np.unique(
        [*np.maximum(starts, inputs.time_grid.start + 1.0), inputs.time_grid.as_of]
    )
    time_grid = replace(inputs.time_grid, moments=moments)
    inputs = replace(inputs, time_grid=time_grid)
    (recorded,) = integrate_history(
        [Scenario(inputs, inputs.faults.spans)],
        moments,
        causes=True,
        on_progress=on_progress,
    )
    history = calibration.moved(inputs, recorded)
    by_year = {
        name: np.diff([kg[:, at].mean(axis=0).sum() for at in range(len(moments))])
        for name, kg in history.causes.items()
    }
    couple = by_year["couple"]
    return pd.DataFrame(
        {
            "year": np.arange(first, first + len(couple)),
            "stray_kg_mean": by_year["faults"] + couple,
            **{f"{name}_kg_mean": by_year[name] for name in _BY_YEAR},
        }
    )


def berth_intervals(result: Estimate) -> pd.DataFrame:
    """Return how she lay: ``berth``, ``supply``, datetimes ``start`` and ``end``."""
    time_grid = result.inputs.time_grid
    rows = [
        b
        for b in result.ship.berths
        if b.start is None or b.start.earliest <= time_grid.as_of  # else a plan
    ]
    starts = [time_grid.start if b.start is None else b.start.middle for b in rows]
    ends = [time_grid.as_of if b.end is None else b.end.middle for b in rows]
    limits = time_grid.start, time_grid.as_of
    return pd.DataFrame(
        {
            "berth": [b.berth for b in rows],
            "supply": [b.supply for b in rows],
            "start": pd.to_datetime(np.clip(starts, *limits), unit="s").floor("s"),
            "end": pd.to_datetime(np.clip(ends, *limits), unit="s").floor("s"),
        }
    )
