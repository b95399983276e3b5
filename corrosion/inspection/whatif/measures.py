"""What would have been kept: the same records, the same random numbers, one change.

Each measure changes when faults stood, how she lay or what she was like, and the
history is integrated again (:mod:`corrosion.inspection.whatif.savings`). What is not
known keeps the numbers that it had, so that a measure that changes nothing saves
exactly nothing, and a difference is signal.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from corrosion.foundation.errors import InputError, LookupFailed
from corrosion.foundation.units import HOUR
from corrosion.history.inputs import ModelInputs, sample_inputs
from corrosion.inspection.cautions import SHORE, Needs
from corrosion.leakage.standing_times import FaultIntervals
from corrosion.leakage.time_intervals import Stay
from corrosion.records.dates import When
from corrosion.records.ship import Berth, Ship


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """One change, in words, and what it does to a case and to when faults stood."""

    words: str  # what is changed
    # from the case as it was to the case as it would have been; the same object where
    # only the faults' times change
    inputs: Callable[[ModelInputs], ModelInputs] = lambda inputs: inputs
    # from the case and when its faults stood to when they would have
    spans: Callable[[ModelInputs, FaultIntervals], FaultIntervals] = lambda _, spans: (
        spans
    )
    since: float = -np.inf  # before which nothing is otherwise [s]
    needs: Needs = "licensed electrician"  # who it takes, at the least
    caution: str | None = None  # what can hurt whoever does it


def cleared_within(hours: float) -> Measure:
    """Return the measure: every fault cleared within some hours of being found.

    Parameters
    ----------
    hours : float
        From a fault's being found to its being cleared, not negative. [h]

    Returns
    -------
    Measure
        The measure.

    Raises
    ------
    InputError
        If the hours are negative or not a number.
    """
    if not 0.0 <= hours < np.inf:
        msg = f"a limit must be 0 hours or more, got {hours:g}. Write 4h, 24h or 7d."
        raise InputError(msg)
    seconds = hours * HOUR

    def sooner(_: ModelInputs, spans: FaultIntervals) -> FaultIntervals:
        return replace(spans, ended=np.minimum(spans.ended, spans.found + seconds))

    return Measure(words=f"every fault cleared within {hours:g} h", spans=sooner)


def detected_above(alarm_ohm: float, *, hours: float) -> Measure:
    """Return the measure: an insulation monitor that finds what falls below its alarm.

    Parameters
    ----------
    alarm_ohm : float
        Ground faults of a lower resistance raise the alarm. [Ω]
    hours : float
        From a fault's beginning to its being noticed. [h]

    Returns
    -------
    Measure
        The measure.

    Raises
    ------
    InputError
        If the alarm level is not positive or the hours are negative.
    """
    if not (alarm_ohm > 0.0 and hours >= 0.0):
        msg = (
            "an insulation monitor needs an alarm level above 0 Ω and 0 hours or more "
            f"to be noticed, got {alarm_ohm:g} Ω and {hours:g} h."
        )
        raise InputError(msg)

    def noticed(inputs: ModelInputs, spans: FaultIntervals) -> FaultIntervals:
        shown = inputs.faults.resistance < alarm_ohm  # NaN: no network, never shown
        found = np.minimum(spans.found, spans.began + hours * HOUR)
        gain = np.where(shown, spans.found - found, 0.0)
        return FaultIntervals(
            began=spans.began, found=spans.found - gain, ended=spans.ended - gain
        )

    words = f"an insulation monitor set at {alarm_ohm:g} Ω, heeded within {hours:g} h"
    return Measure(words=words, spans=noticed)


def repaired(ship: Ship, circuits: Sequence[str]) -> Measure:
    """Return the measure: some circuits repaired so that they never had a fault.

    Raises
    ------
    LookupFailed
        If no fault names such a circuit.
    """
    known = sorted({f.circuit for f in ship.faults if f.circuit is not None})
    for circuit in circuits:
        if circuit not in known:
            raise LookupFailed.among("circuit with faults", circuit, known)
    hit = np.array([f.circuit in circuits for f in ship.faults], dtype=np.bool_)

    def spared(_: ModelInputs, spans: FaultIntervals) -> FaultIntervals:
        return replace(spans, ended=np.where(hit, spans.began, spans.ended))

    return Measure(words=f"circuits {', '.join(circuits)} repaired", spans=spared)


def _at_berths(
    change: Callable[[Berth], Berth],
) -> Callable[[ModelInputs], ModelInputs]:
    def changed(inputs: ModelInputs) -> ModelInputs:
        ship = replace(inputs.ship, berths=tuple(map(change, inputs.ship.berths)))
        lain = [
            Stay(berth=change(p.berth), start=p.start, end=p.end)
            for p in inputs.periods
        ]
        return replace(inputs, ship=ship, periods=lain)

    return changed


def isolating_transformers() -> Measure:
    """Return the measure: every earthed shore supply through an isolating transformer.

    No conductor is tied to the shore earth any more and no protective conductor is
    needed from the shore, so that nothing drives a current through the water.
    """

    def isolated(berth: Berth) -> Berth:
        if berth.supply != "shore earthed":
            return berth
        return replace(
            berth,
            supply="shore isolated",
            earth_cable=None,
            earth_none=True,
            earth_couple=None,
        )

    return Measure(
        words="an isolating transformer at every earthed shore supply",
        caution=SHORE,
        inputs=_at_berths(isolated),
    )


def galvanic_isolators() -> Measure:
    """Return the measure: a galvanic isolator in every protective conductor."""
    return Measure(
        words="a galvanic isolator in every protective conductor",
        caution=SHORE,
        inputs=_at_berths(lambda berth: replace(berth, galvanic_isolator=True)),
    )


def _with_joint(inputs: ModelInputs, zone: str) -> ModelInputs:
    """Return the case with a part's joint renewed, and all else drawn as it was."""
    new = inputs.draws.value("renewed_joint_ohm")
    zones = tuple(
        replace(row, bond=new, turning=new) if row.zone == zone else row
        for row in inputs.ship.zones
    )
    return sample_inputs(
        replace(inputs.ship, zones=zones), inputs.draws, inputs.time_grid
    )


def renewed_joint(ship: Ship, zone: str) -> Measure:
    """Return the measure: the joint of a part renewed.

    Raises
    ------
    LookupFailed
        If there is no such zone.
    InputError
        If the zone has no joint.
    """
    if ship.zones[ship.zone_index(zone)].bond is None:
        msg = f"zone {zone} is welded plating and has no joint to renew"
        raise InputError(msg)
    return Measure(
        words=f"the joint of {zone} renewed",
        needs="competent person",
        inputs=lambda inputs: _with_joint(inputs, zone),
    )


def renewed_paint(ship: Ship, zone: str, when: When) -> Measure:
    """Return the measure: a zone painted anew at a date, in the past or to come.

    What went before that date stays as it was, and so does what came after the next
    painting that is written; in between what was seen of the old paint is not counted.

    Raises
    ------
    LookupFailed
        If there is no such zone.
    """
    at = ship.zone_index(zone)
    return Measure(
        words=f"{zone} painted in {when.text}",
        since=when.middle if not ship.anodes else -np.inf,  # they are consumed
        needs="competent person",
        inputs=lambda inputs: replace(
            inputs, zones=inputs.zones.with_paint(at, when.middle)
        ),
    )
