"""What quicker isolation would have saved, as an object.

One computation behind ``corrosion isolate`` and the dashboard's page.
"""

import math
import re
from collections.abc import Callable, Collection, Sequence
from dataclasses import asdict, dataclass
from typing import Any, Final

import numpy as np

from corrosion.foundation.errors import InputError
from corrosion.foundation.json_values import summary
from corrosion.foundation.kept_objects import kept
from corrosion.foundation.units import MM
from corrosion.inspection.ahead.from_now import FromNow
from corrosion.inspection.ahead.new_faults import new_faults
from corrosion.inspection.ahead.second_faults import second_faults
from corrosion.inspection.whatif import measures as possible
from corrosion.inspection.whatif.durations import durations, kaplan_meier
from corrosion.inspection.whatif.measures import Measure, cleared_within
from corrosion.inspection.whatif.savings import Saved, what_if
from corrosion.presentation.answers.dangers import heading
from corrosion.presentation.answers.kept_answer import kept_answer
from corrosion.records.dates import as_written
from corrosion.records.ship import Ship
from corrosion.results import Estimate

_HOURS: Final = {"s": 1 / 3600, "min": 1 / 60, "h": 1.0, "d": 24.0, "w": 168.0}


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasureChoice:
    """What the form, or the command line, says."""

    transformers: bool = False  # at every earthed shore supply
    isolators: bool = False  # in every protective conductor
    alarm_ohm: float | None = None  # alarm level of an insulation monitor [Ω]
    alarm_hours: float = 4.0  # until it is heeded [h]
    circuits: tuple[str, ...] = ()  # repaired so that they never had a fault
    joint: str | None = None  # zone whose joint is renewed
    painted: str | None = None  # zone that is painted
    paint_date: str = ""  # when, as written


def chosen_measures(ticked: MeasureChoice, ship: Ship) -> list[Measure]:
    """Return the measures that are asked for, in the order of the form.

    Raises InputError if a date is unreadable or a number impossible.
    """
    found = [possible.isolating_transformers()] * ticked.transformers
    found += [possible.galvanic_isolators()] * ticked.isolators
    if ticked.alarm_ohm is not None:
        found += [possible.detected_above(ticked.alarm_ohm, hours=ticked.alarm_hours)]
    if ticked.circuits:
        found += [possible.repaired(ship, ticked.circuits)]
    if ticked.joint is not None:
        found += [possible.renewed_joint(ship, ticked.joint)]
    if ticked.painted is not None:
        when = as_written(ticked.paint_date)
        found += [possible.renewed_paint(ship, ticked.painted, when)]
    return found


def hours_of(limits: str) -> list[float]:
    """Return times such as ``30min,4h,24h,7d`` in hours, ascending.

    Raises InputError if one is unreadable or negative.

    Examples
    --------
    >>> hours_of("7d,4h")
    [4.0, 168.0]
    """
    hours = []
    for text in limits.split(","):
        match = re.fullmatch(r"(\d+(?:\.\d+)?)\s*(min|[shdw]?)", text.strip())
        if match is None:
            msg = (
                f"{text.strip()!r} is not a time; write minutes, hours, days or weeks "
                "from 0 up, such as 30min,4h,24h,7d"
            )
            raise InputError(msg)
        hours.append(float(match[1]) * _HOURS[match[2] or "h"])
    return sorted(set(hours))


def isolation_result(
    result: Estimate,
    limits_h: Sequence[float],
    others: Sequence[Measure] | None = None,
    *,
    on_progress: Callable[[float], None] | None = None,
) -> dict[str, Any]:
    """Return what would have been kept had every fault been cleared within limits.

    ``limits_h``: hours from found to cleared. ``others``: to be integrated with them,
    as they share what none changes: ``measures``, rows as of :func:`measure_savings`.
    """
    measures = [*map(cleared_within, limits_h), *(others or ())]
    rows = measure_savings(result, measures, on_progress=on_progress)
    answer = {
        **heading(result),
        "limits": [
            {"within_hours": hours} | row
            for hours, row in zip(limits_h, rows, strict=False)
        ],
        "second_faults_now": _second_faults_now(result),
        "durations": kept(
            ("durations", result.ship.faults, result.as_of), lambda: _durations(result)
        ),
    }
    return answer if others is None else answer | {"measures": rows[len(limits_h) :]}


def measure_savings(
    result: Estimate,
    measures: Sequence[Measure],
    *,
    on_progress: Callable[[float], None] | None = None,
) -> list[dict[str, Any]]:
    """Return what each measure would have kept, in numbers for people.

    ``measures``: what to change, one at a time; kept by their words.
    """

    def rows() -> list[dict[str, Any]]:
        found = what_if(
            result.inputs, result.calibration, measures, on_progress=on_progress
        )
        return [_row(result, saved) for saved in found]

    return kept_answer(result, ("saved", [one.words for one in measures]), rows)


def choice_savings(
    result: Estimate,
    ticked: MeasureChoice,
    words: Collection[str] | None = None,
    *,
    on_progress: Callable[[float], None] | None = None,
) -> list[dict[str, Any]]:
    """Return the same of the measures that are asked for; ``words``: of these alone."""
    asked = chosen_measures(ticked, result.ship)
    some = [one for one in asked if words is None or one.words in words]
    return measure_savings(result, some, on_progress=on_progress)


def _row(result: Estimate, saved: Saved) -> dict[str, Any]:
    depth = saved.saved_depth.mean(axis=0)
    best = int(depth.argmax())
    row: dict[str, Any] = {
        "measure": saved.measure.words,
        "needs": saved.measure.needs,
        "caution": saved.measure.caution,
        "stray_kg": summary(saved.stray_kg),
        "saved_kg": summary(saved.kept_kg),
        "kept_kg": summary(saved.kept_kg),
        "given_up_kg": summary(saved.given_up_kg),
        "saved_ceiling_kg": summary(saved.saved_ceiling_kg),
        "fault_hours_saved": summary(saved.fault_hours),
        "zones_below_limit": float(saved.chance_below.sum()),
        "most_kept_zone": result.ship.zones[best].zone,
        "most_kept_mm": summary(saved.saved_depth[:, best] / MM),
        "from_now": _from_now(result, saved.from_now),
    }
    prices = result.ship.prices
    if prices.steel_per_kg is not None:
        row["saved_money"] = summary(saved.kept_kg * prices.steel_per_kg)
    if prices.steel_per_m2 is not None:  # what need not be renewed, if all below were
        spared = result.outlook.chance_ahead - saved.chance_below
        area = float(spared @ result.inputs.hull.body.area)
        row["spared_renewal_money"] = area * prices.steel_per_m2
    return row


def _second_faults_now(result: Estimate) -> dict[str, float]:
    """Return the second faults to expect until the docking, with nothing changed."""
    inputs = result.inputs
    new, until = new_faults(inputs), inputs.time_grid.horizon
    return asdict(second_faults(inputs, inputs.faults.spans, new, until))


def _from_now(result: Estimate, ahead: FromNow) -> dict[str, Any]:
    # A zone that loses nothing with the measure never comes as thin: the delay has
    # no number then, and no mean of the others would say anything.
    known = bool(np.isfinite(ahead.months).all())
    return {
        "kept_kg": summary(ahead.kept_kg),
        "zone": result.ship.zones[ahead.zone].zone,
        "months": summary(ahead.months) if known else None,
        "second_faults": asdict(ahead.second_faults),
    }


def _durations(result: Estimate) -> dict[str, Any]:
    faults = [f for f in result.ship.faults if f.source == "ground fault"]
    if not faults:
        return {"median_hours": None, "curve": [], "note": "no ground fault is written"}
    stood = durations(faults, result.inputs.time_grid.as_of)
    curve = kaplan_meier(stood.from_found, stood.cleared)
    return {
        "median_hours": None if math.isinf(curve.median) else curve.median,
        "curve": curve.curve(),
        "note": stood.note,
    }
