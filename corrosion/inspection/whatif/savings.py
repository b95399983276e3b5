"""What measures would have kept: the history again, on the same random numbers."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from corrosion.foundation.types import Array
from corrosion.foundation.units import HOUR
from corrosion.history.inputs import LossHistory, ModelInputs, naive_loss
from corrosion.history.integrate import integrate_history
from corrosion.inspection.calibration.calibrate import Calibration
from corrosion.inspection.outlook import project
from corrosion.inspection.whatif.measures import Measure

__all__ = ["Saved", "what_if"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Saved:
    """What one measure would have kept, sample by sample.

    Attributes
    ----------
    measure : Measure
        What is changed.
    history : LossHistory
        The history as it would have been.
    stray_kg, saved_kg, saved_ceiling_kg : ndarray, shape (samples,)
        Stray loss of the ship with the measure, what it saves of it, and what a
        naive reckoning would say that it saves. [kg]
    saved_depth : ndarray, shape (samples, zones)
        Depth at bare steel kept in each zone. [m]
    fault_hours : ndarray, shape (samples,)
        Hours for which faults would not have stood. [h]
    chance_below : ndarray, shape (zones,)
        Chance of each zone to be below a limit at the horizon. [-]
    """

    measure: Measure
    history: LossHistory
    stray_kg: Array
    saved_kg: Array
    saved_ceiling_kg: Array
    saved_depth: Array
    fault_hours: Array
    chance_below: Array


def what_if(
    inputs: ModelInputs,
    base: LossHistory,
    calibration: Calibration,
    measures: Sequence[Measure],
    *,
    on_progress: Callable[[float], None] | None = None,
) -> list[Saved]:
    """Integrate the history again with each measure, on the base's random numbers.

    Parameters
    ----------
    inputs : ModelInputs
        The ship as she was, with everything drawn.
    base : LossHistory
        What was lost.
    calibration : Calibration
        What her gaugings taught; it stands for every measure.
    measures : sequence of Measure
        What to change, one at a time.
    on_progress : callable, optional
        Is given the share of each walk that is done; what it raises stops them. [-]

    Returns
    -------
    list of Saved
        One a measure, in order. Measures that only change when faults stood share
        one walk through time.
    """
    moments = np.array(sorted({inputs.time_grid.as_of, inputs.time_grid.horizon}))
    cases = [measure.inputs(inputs) for measure in measures]
    kept: dict[int, LossHistory] = {}
    for other in {id(one): one for one in cases}.values():
        mine = [k for k, one in enumerate(cases) if one is other]
        spans = [measures[k].spans(other, other.faults.spans) for k in mine]
        kept |= zip(
            mine,
            integrate_history(other, spans, moments, on_progress=on_progress),
            strict=True,
        )
    return [
        _saved(measure, cases[k], base, kept[k], calibration)
        for k, measure in enumerate(measures)
    ]


def _saved(
    measure: Measure,
    inputs: ModelInputs,
    base: LossHistory,
    history: LossHistory,
    calibration: Calibration,
) -> Saved:
    ceiling, ceiling_before = (
        naive_loss(inputs, kept)[0].sum(axis=1)[calibration.shared]
        for kept in (history, base)
    )
    spot, spot_before = (
        calibration.pick(history.stray_spot),
        calibration.pick(base.stray_spot),
    )
    hours = (base.seconds - history.seconds).sum(axis=1)[calibration.shared] / HOUR
    return Saved(
        measure=measure,
        history=history,
        stray_kg=calibration.total(history.stray_kg),
        saved_kg=calibration.total(base.stray_kg - history.stray_kg),
        saved_ceiling_kg=ceiling_before - ceiling,
        saved_depth=spot_before - spot,
        fault_hours=hours,
        chance_below=project(inputs, history, calibration).chance_ahead,
    )
