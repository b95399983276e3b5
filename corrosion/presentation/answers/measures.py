"""Which measures are asked for, as something that can be compared, and then done."""

from collections.abc import Iterator
from dataclasses import dataclass

from corrosion.inspection.whatif import measures
from corrosion.inspection.whatif.measures import Measure
from corrosion.records.dates import as_written
from corrosion.records.ship import Ship


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasureChoice:
    """What the form, or the command line, says.

    ``transformers``, ``isolators``: at every earthed shore supply; in every protective
    conductor. ``alarm_ohm``, ``alarm_hours``: alarm level of an insulation monitor [Ω],
    and hours until heeded [h]. ``joint``, ``painted``: zones whose joint is renewed,
    and that is painted.
    """

    transformers: bool = False
    isolators: bool = False
    alarm_ohm: float | None = None
    alarm_hours: float = 4.0
    circuits: tuple[str, ...] = ()  # repaired so that they never had a fault
    joint: str | None = None
    painted: str | None = None
    paint_date: str = ""  # when, as written


def chosen_measures(ticked: MeasureChoice, ship: Ship) -> list[Measure]:
    """Return the measures that are asked for, in the order of the form.

    Raises InputError if a date is unreadable or a number impossible.
    """
    return list(_each(ticked, ship))


def _each(ticked: MeasureChoice, ship: Ship) -> Iterator[Measure]:
    if ticked.transformers:
        yield measures.isolating_transformers()
    if ticked.isolators:
        yield measures.galvanic_isolators()
    if ticked.alarm_ohm is not None:
        yield measures.detected_above(ticked.alarm_ohm, hours=ticked.alarm_hours)
    if ticked.circuits:
        yield measures.repaired(ship, ticked.circuits)
    if ticked.joint is not None:
        yield measures.renewed_joint(ship, ticked.joint)
    if ticked.painted is not None:
        when = as_written(ticked.paint_date)
        yield measures.renewed_paint(ship, ticked.painted, when)
