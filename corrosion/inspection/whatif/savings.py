"""What measures would have kept: the history again, on the same random numbers."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from corrosion.foundation.memory import gives_memory_back
from corrosion.foundation.types import Array
from corrosion.foundation.units import HOUR
from corrosion.history.inputs import ModelInputs
from corrosion.history.integrate import integrate_history
from corrosion.history.loss import LossHistory, naive_loss
from corrosion.history.time_steps import Scenario
from corrosion.inspection.ahead.from_now import FromNow, from_now
from corrosion.inspection.ahead.new_faults import (
    NewFaults,
    new_faults,
    with_new_faults,
)
from corrosion.inspection.calibration.calibrate import Calibration
from corrosion.inspection.outlook import project
from corrosion.inspection.whatif.measures import Measure


@dataclass(frozen=True, slots=True, kw_only=True)
class Saved:
    """What one measure would have kept, sample by sample."""

    measure: Measure  # what is changed
    history: LossHistory  # the history as it would have been
    # shape (samples,): taken from the ship by faults and couple with the measure [kg]
    stray_kg: Array
    # kept_kg, given_up_kg, shape (samples,): what the measure keeps, and what is lost
    # with it that was not without: a current that is gone spares nothing either. Zone
    # by zone and state by state, never the difference of two sums [kg]
    kept_kg: Array
    given_up_kg: Array
    # shape (samples,): what a naive reckoning would say that it saves [kg]
    saved_ceiling_kg: Array
    # shape (samples, zones): depth at bare steel kept in each zone [m]
    saved_depth: Array
    # shape (samples,): hours for which faults would not have stood [h]
    fault_hours: Array
    # shape (zones,): chance of each zone to be below a limit at the horizon [-]
    chance_below: Array
    from_now: FromNow  # what it keeps from the date of the estimate on


@gives_memory_back
def what_if(
    inputs: ModelInputs,
    calibration: Calibration,
    measures: Sequence[Measure],
    *,
    on_progress: Callable[[float], None] | None = None,
) -> list[Saved]:
    """Integrate the history with each measure beside that without, on the same numbers.

    Parameters
    ----------
    inputs : ModelInputs
        The ship as she was, with everything drawn.
    calibration : Calibration
        What her gaugings taught; it stands for every measure.
    measures : sequence of Measure
        What to change, one at a time.
    on_progress : callable, optional
        As for :func:`corrosion.estimate`.

    Returns
    -------
    list of Saved
        One a measure, in order.
    """
    grid = inputs.time_grid
    ahead = (grid.as_of <= grid.moments) & (grid.moments <= grid.horizon)
    moments = grid.moments[ahead]  # all: pits grow from one to the next
    scenarios = [Scenario(inputs, inputs.faults.spans)]
    for measure in measures:
        changed = measure.inputs(inputs)
        scenarios.append(
            Scenario(
                changed, measure.spans(changed, changed.faults.spans), measure.since
            )
        )
    recorded, *others = integrate_history(scenarios, moments, on_progress=on_progress)
    new = new_faults(inputs)
    ceiling = naive_loss(inputs, recorded)[0].sum(axis=1)
    base = with_new_faults(inputs, calibration.moved(inputs, recorded), new)
    return [
        _saved(measure, scenario, (base, history), calibration, new, ceiling)
        for measure, scenario, history in zip(
            measures, scenarios[1:], others, strict=True
        )
    ]


def _saved(
    measure: Measure,
    scenario: Scenario,
    histories: tuple[LossHistory, LossHistory],
    calibration: Calibration,
    new: NewFaults,
    ceiling: Array,
) -> Saved:
    """Return what a measure keeps.

    ``histories``: without it as the gaugings say it went, and with it by the records
    alone; ``ceiling``: by a naive reckoning without it [kg].
    """
    inputs, (base, recorded) = scenario.inputs, histories
    history, *earlier = (
        with_new_faults(inputs, each, new)
        for each in (
            calibration.moved(inputs, recorded),
            *calibration.moved_earlier(inputs, recorded),
        )
    )
    others = list(zip(earlier, calibration.earlier, strict=True))
    return Saved(
        measure=measure,
        history=history,
        stray_kg=history.stray_kg.sum(axis=1),
        kept_kg=history.kept_kg.sum(axis=1),
        given_up_kg=history.given_up_kg.sum(axis=1),
        saved_ceiling_kg=ceiling - naive_loss(inputs, recorded)[0].sum(axis=1),
        saved_depth=base.spot - history.spot,
        fault_hours=(base.seconds - history.seconds).sum(axis=1) / HOUR,
        chance_below=project(inputs, history, calibration.factors, others).chance_ahead,
        from_now=from_now(inputs, scenario.intervals, (base, history), new),
    )
