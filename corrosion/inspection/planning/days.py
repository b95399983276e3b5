"""A plan of gaugings laid out over working days."""

from dataclasses import dataclass

from corrosion.foundation.errors import InputError
from corrosion.inspection.planning.plan import Candidates, Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """One working day of one kind of access."""

    day: int  # number, from 1
    access: str  # how the zones are reached
    zones: tuple[str, ...]  # what is gauged
    hours: float  # hours of work [h]


def by_days(candidates: Candidates, plan: Plan, *, day_hours: float) -> tuple[Day, ...]:
    """Return the plan's zones laid out over working days.

    Days of one kind of access follow each other, so that divers or a dock are called
    once. A zone is finished on the day on which it was begun; one that takes longer
    than a day fills days of its own.

    Parameters
    ----------
    candidates : Candidates
        The zones that the plan was made from.
    plan : Plan
        The chosen zones.
    day_hours : float
        Working hours of one day, > 0. [h]

    Returns
    -------
    tuple of Day
        First fit, the longest zones first.

    Raises
    ------
    InputError
        If ``day_hours`` is not positive.
    """
    if not day_hours > 0.0:
        msg = f"by_days: day_hours must be > 0 h, got {day_hours:g} h."
        raise InputError(msg)
    longest = sorted(plan.chosen, key=lambda index: -candidates.hours[index])
    days: list[Day] = []
    for kind in dict.fromkeys(candidates.access[index] for index in plan.chosen):
        loads: list[tuple[list[str], float]] = []
        for index in longest:
            if candidates.access[index] == kind:
                zone, hours = candidates.zones[index], float(candidates.hours[index])
                loads = _fit(loads, zone, hours, day_hours)
        days += [
            Day(day=number, access=kind, zones=tuple(zones), hours=used)
            for number, (zones, used) in enumerate(loads, start=len(days) + 1)
        ]
    return tuple(days)


def _fit(
    loads: list[tuple[list[str], float]], zone: str, hours: float, day_hours: float
) -> list[tuple[list[str], float]]:
    """Put a zone into the first day with room, or into new ones."""
    for place, (zones, used) in enumerate(loads):
        if used + hours <= day_hours * (1.0 + 1e-9):
            return [*loads[:place], ([*zones, zone], used + hours), *loads[place + 1 :]]
    full, rest = divmod(hours, day_hours)
    new = [([zone], day_hours)] * int(full) + ([([zone], rest)] if rest else [])
    return [*loads, *new]
