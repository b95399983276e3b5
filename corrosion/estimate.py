"""The whole job in order, from what the crew wrote down to what to do next."""

import warnings
from collections.abc import Callable
from datetime import date
from pathlib import Path

import numpy as np
from threadpoolctl import (  # type: ignore[import-untyped]  # it carries no types
    threadpool_limits,
)

from corrosion.foundation.errors import InputError, ValidityWarning
from corrosion.foundation.sampling import Draws
from corrosion.foundation.units import YEAR
from corrosion.history.inputs import TimeGrid, sample_inputs
from corrosion.history.integrate import Scenario, integrate_history
from corrosion.history.linearity_report import linearity_sentence
from corrosion.hull.geometry.panels import coverage_warnings
from corrosion.inspection.calibration.calibrate import Calibration, calibrate
from corrosion.inspection.dangers import dangers, without_holes
from corrosion.inspection.date_doubts import date_doubts
from corrosion.inspection.outlook import project
from corrosion.inspection.wastage_doubts import wastage_doubts
from corrosion.leakage.doubts import reading_doubts
from corrosion.leakage.logged_currents import with_logged_currents
from corrosion.records.as_of import as_of_day, end_of_day, records_as_of
from corrosion.records.dates import day_of
from corrosion.records.folder.doubt_list import worst_first
from corrosion.records.ship import Ship
from corrosion.result_tables import fault_table, totals, zone_table
from corrosion.results import Estimate

__all__ = ["Estimate", "estimate", "time_grid_of"]

_PAST = 20  # recorded moments from the first record to the date of the estimate
_AHEAD = (0.5, 1.0, 2.0, 3.0, 4.0, 5.0, 7.0, 10.0, 15.0, 20.0, 30.0)  # [years]


def estimate(
    ship: Ship | str | Path,
    *,
    samples: int = 4096,
    seed: int = 1,
    as_of: date | str | None = None,
    on_progress: Callable[[float], None] | None = None,
) -> Estimate:
    """Estimate what stray currents and the sea have taken from a ship's hull.

    Crew's records become amperes that reach the hull; amperes cross the water where
    the return path lets them; what crosses out of bare steel dissolves it by Faraday's
    law, netted with the natural loss; gaugings correct the samples; and what is left
    is held against the limits at the next docking.

    Parameters
    ----------
    ship : Ship, str or Path
        From :func:`corrosion.read_ship`; or a ship folder.
    samples : int, optional
        Number of samples of the unknowns; a power of two is best. [-]
    seed : int, optional
        Seed of the random numbers; the same seed gives the same digits. [-]
    as_of : date or str, optional
        Date of the estimate, or its text, such as ``2026-11-25`` or ``1990-06`` (its
        last day); None: today. Later entries are left out.
    on_progress : callable, optional
        Called from time to time with the finished fraction, 0 to 1. An exception raised
        in it cancels the estimate and propagates.

    Returns
    -------
    Estimate
        Ranked zones, faults and totals, and the samples behind them.

    Raises
    ------
    InputError
        If the ship has no zones, lies before her building date, or cannot be solved.
    RecordError
        If a ship folder has problems: all of them.

    Examples
    --------
    >>> estimate("data/saltmarsh", samples=16, as_of="2026-06").zones.shape[0]
    28
    """
    if not isinstance(ship, Ship):
        from corrosion.records.folder.read import read_ship  # noqa: PLC0415 - pydantic is slow

        ship = read_ship(ship)
    day = as_of_day(as_of)
    known, left_out = records_as_of(ship, day)
    with (
        threadpool_limits(1, user_api="blas"),  # its threads would change last digits
        warnings.catch_warnings(record=True) as caught,
    ):
        warnings.simplefilter("always", ValidityWarning)
        holed = known
        known = without_holes(known)
        time_grid = time_grid_of(known, day)
        known, hours, logged = with_logged_currents(known)
        draws = Draws(samples, seed, known.assumptions)
        inputs = sample_inputs(known, draws, time_grid, hours)
        (recorded,) = integrate_history(
            [Scenario(inputs, inputs.faults.spans)], on_progress=on_progress
        )
        calibration = calibrate(inputs, recorded)
        history = calibration.moved(inputs, recorded)
        outlook = project(inputs, history, calibration.factors)
        interface = linearity_sentence(inputs, history.nonlinear_seconds)
        threats = dangers(holed, lambda: inputs.faults, as_of=time_grid.as_of)
    zones = zone_table(inputs, history, calibration, outlook)
    by_zone = zones.set_index("zone")["leading_cause"]
    causes = tuple(by_zone[zone.zone] for zone in known.zones)
    recorded_doubts = [
        *((doubt.weight, [str(doubt)]) for doubt in known.doubts),
        (3, reading_doubts(known)),
        (2, [*inputs.faults.doubts, *logged]),
        (1, [*coverage_warnings(known), *left_out]),
    ]
    doubts = [
        *recorded_doubts,
        (3, [one.words for one in calibration.disagreements]),
        (3, date_doubts(known, day, outlook.left)),
        (2, _unsettled(calibration)),
        (1, [*wastage_doubts(inputs, outlook, causes), interface]),
        (1, [str(warning.message) for warning in caught]),
    ]
    return Estimate(
        ship=known,
        as_of=day,
        horizon=day_of(time_grid.horizon),
        samples=samples,
        seed=seed,
        warnings=worst_first(doubts),
        record_warnings=worst_first(recorded_doubts),
        dangers=threats,
        zones=zones,
        faults=fault_table(inputs, history),
        totals=totals(inputs, history, calibration),
        inputs=inputs,
        history=history,
        calibration=calibration,
        outlook=outlook,
    )


def time_grid_of(ship: Ship, day: date) -> TimeGrid:
    """Return the dates of an estimate.

    Raises
    ------
    InputError
        If the day lies before the ship was built.
    """
    start = ship.built.middle
    as_of = end_of_day(day)
    if as_of <= start:
        msg = (
            f"the estimate's date {day.isoformat()} must lie after the ship was built "
            f"({ship.built.text}). Choose a later --as-of."
        )
        raise InputError(msg)
    docking = ship.next_docking
    interval = ship.assumptions.value("docking_interval_years") * YEAR
    horizon = as_of + interval if docking is None else docking.middle
    records_of = [f.found for f in ship.faults] + [g.date for g in ship.gaugings]
    first = min((when.middle for when in records_of), default=start)
    records = np.linspace(max(min(first, as_of), start), as_of, _PAST)
    ahead = as_of + YEAR * np.array(_AHEAD)
    known = [start + 1.0, *records, max(horizon, as_of), *ahead]
    moments = np.unique(np.round(np.clip(known, start + 1.0, None)))
    return TimeGrid(
        start=start,
        as_of=as_of,
        horizon=float(np.round(max(horizon, as_of))),
        moments=moments,
    )


def _unsettled(calibration: Calibration) -> list[str]:
    if calibration.mixed:
        return []
    return [
        "the samples had not settled on what the gaugings say after "
        f"{calibration.sweeps} sweeps: gaugings that contradict each other, or "
        "wrong ones, are the likeliest reason; take the intervals as rough"
    ]
