"""The whole job in order, from what the crew wrote down to what to do next."""

import warnings
from collections.abc import Callable
from datetime import date
from functools import partial
from pathlib import Path

from threadpoolctl import (  # type: ignore[import-untyped]  # it carries no types
    threadpool_limits,
)

from corrosion.foundation.defaults import SAMPLES
from corrosion.foundation.errors import ValidityWarning
from corrosion.foundation.kept_objects import kept
from corrosion.foundation.memory import gives_memory_back
from corrosion.foundation.parallel import Begun
from corrosion.foundation.sampling import Draws
from corrosion.history.alike_states import alike_sentence
from corrosion.history.kept_history import kept_history, kept_inputs
from corrosion.history.linearity_report import linearity_sentence
from corrosion.history.loss import LossHistory
from corrosion.history.time_grid import time_grid_of
from corrosion.history.time_steps import Scenario, most_standing
from corrosion.hull.geometry.panels import coverage_warnings
from corrosion.inspection.ahead.new_faults import new_faults, with_new_faults
from corrosion.inspection.calibration.calibrate import Calibration, calibrate
from corrosion.inspection.dangers import dangers, without_holes
from corrosion.inspection.doubts import anode_doubts, date_doubts, wastage_doubts
from corrosion.inspection.outlook import Outlook, project
from corrosion.inspection.ranking import Cause
from corrosion.leakage.doubts import reading_doubts
from corrosion.leakage.logged_currents import with_logged_currents
from corrosion.records.as_of import (
    anywhere,
    as_of_day,
    records_as_of,
    without_remarks,
)
from corrosion.records.dates import day_of
from corrosion.records.folder.doubt_list import worst_first
from corrosion.records.ship import Ship
from corrosion.result_tables import ResultTable, fault_table, totals, zone_table
from corrosion.results import Estimate


@gives_memory_back
def estimate(
    ship: Ship | str | Path,
    *,
    samples: int = SAMPLES,
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
        Number of samples of the unknowns; multiples of 256 are best. [-]
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
    written, left_out = records_as_of(ship, day)
    with (
        threadpool_limits(1, user_api="blas"),  # its threads would change last digits
        warnings.catch_warnings(record=True) as caught,
    ):
        warnings.simplefilter("always", ValidityWarning)
        # What the crew write down about faults, as it was known on the day, ...
        known = without_holes(written)
        time_grid = time_grid_of(known, day)
        known, hours, logged = with_logged_currents(known)
        # ... becomes amperes that reach the hull: all that is not known is drawn, ...
        draws = Draws(samples, seed, known.assumptions)
        inputs = kept_inputs(known, draws, time_grid, hours)
        # ... the share of them that crosses the water, and steel dissolved by zone.
        holes = {row.zone for row in written.gaugings if row.thickness <= 0.0}

        doubted: list[Begun[list[str]]] = []

        def corrected() -> tuple[Calibration, LossHistory, Outlook]:
            recorded = kept_history(inputs, hours, on_progress)
            doubted.append(Begun(partial(reading_doubts, known)))  # a core is idle
            # Gaugings correct it, ...
            calibration, gauged = calibrate(inputs, recorded, holed=holes)
            new = new_faults(inputs)
            history, *earlier = (
                with_new_faults(inputs, each, new)
                for each in (gauged, *calibration.moved_earlier(inputs, recorded))
            )
            # ... and what is left is held against the limits at the next docking.
            outlook = project(
                inputs,
                history,
                calibration.factors,
                list(zip(earlier, calibration.earlier, strict=True)),
            )
            return calibration, history, outlook

        # Another command, or page, asks the same again.
        calibration, history, outlook = kept(
            (
                "estimate",
                without_remarks(anywhere(known)),
                draws,
                time_grid,
                hours,
                sorted(holes),
            ),
            corrected,
            known=(known, draws, draws.assumptions, time_grid),
            large=True,
            lines=True,
        )
        if on_progress is not None:
            on_progress(1.0)
        interface = linearity_sentence(inputs, history.nonlinear_seconds)
        most = most_standing(Scenario(inputs, inputs.faults.spans))
        threats = dangers(written, lambda: inputs.faults, as_of=time_grid.as_of)
    zones = zone_table(inputs, history, outlook)
    by_readings = doubted[0].result() if doubted else reading_doubts(known)
    of_records = [
        *((doubt.weight, [str(doubt)]) for doubt in known.doubts),
        (3, by_readings),
        (2, [*inputs.faults.doubts, *logged]),
        (1, [*coverage_warnings(known), *left_out]),
    ]
    doubts = [
        *of_records,
        (3, calibration.lessons),
        (3, date_doubts(known, day, outlook.left)),
        (2, calibration.unsettled),
        (2, anode_doubts(inputs, history)),
        (2, alike_sentence(most)),
        (1, [*wastage_doubts(inputs, outlook, _leading_causes(zones, known))]),
        (1, [interface, *(str(warning.message) for warning in caught)]),
    ]
    return Estimate(
        ship=known,
        as_of=day,
        horizon=day_of(time_grid.horizon),
        samples=samples,
        seed=seed,
        warnings=worst_first(doubts),
        record_warnings=worst_first(of_records),
        dangers=threats,
        zone_table=zones,
        fault_table=fault_table(inputs, history),
        totals=totals(inputs, history),
        inputs=inputs,
        history=history,
        calibration=calibration,
        outlook=outlook,
    )


def _leading_causes(zones: ResultTable, ship: Ship) -> tuple[Cause, ...]:
    """Return what takes most from each zone, in the order of her file."""
    by_zone = {row["zone"]: row["leading_cause"] for row in zones.rows}
    return tuple(by_zone[zone.zone] for zone in ship.zones)
