"""The best set of zones where what one reading tells, another need not tell again."""

from collections.abc import Collection, Mapping
from dataclasses import replace
from functools import partial

import numpy as np

from corrosion.foundation.types import Array
from corrosion.inspection.planning.plan import Candidates, Plan, best_plan
from corrosion.inspection.planning.value import Prospect

_ROUNDS = 3
_FURTHER = (10.0, 20.0, 30.0, 40.0)  # hours beyond the plan's [h]
_SAME = 1e-9


def worth_alone(known: Prospect) -> Array:
    """Return what gauging each zone and no other is worth, (zones,) [-].

    To itself and to those that vary with it.
    """
    return np.array([known.worth([zone]).sum() for zone in range(len(known.sd))])


def joint_plan(
    known: Prospect,
    candidates: Candidates,
    *,
    hours: float,
    allowed: Collection[str],
    access_hours: Mapping[str, float] | None = None,
) -> Plan:
    """Return the set of zones that is worth most together within the hours.

    Parameters
    ----------
    known : Prospect
        Of the same zones.
    candidates : Candidates
        Zones that could be gauged, with what each is worth alone.
    hours : float
        Hours altogether. [h]
    allowed : collection of str
        Kinds of access that can be had.
    access_hours : mapping of str to float, optional
        Hours of one kind, where they are fewer. [h]

    Returns
    -------
    Plan
        Its value is that of all its readings together. No better set is found when
        each zone counts with what it adds to the others of the plan.

    Raises
    ------
    InputError
        As :func:`corrosion.inspection.planning.plan.best_plan`.
    """
    best = partial(best_plan, hours=hours, allowed=allowed, access_hours=access_hours)
    plan = _valued(known, best(candidates))
    for _ in range(_ROUNDS):
        value = _beside(known, candidates, plan)
        trial = _valued(known, best(replace(candidates, value=value)))
        if trial.value <= plan.value * (1.0 + _SAME):
            break
        plan = trial
    return plan


def _valued(known: Prospect, plan: Plan) -> Plan:
    return replace(plan, value=float(known.worth(plan.chosen.tolist()).sum()))


def _beside(known: Prospect, candidates: Candidates, plan: Plan) -> Array:
    """Return what each candidate adds to the others of a plan [-]."""
    chosen = set(plan.chosen.tolist())
    added = np.empty(len(candidates.zones))
    for zone in range(len(added)):
        other = float(known.worth(sorted(chosen ^ {zone})).sum())
        added[zone] = plan.value - other if zone in chosen else other - plan.value
    return np.maximum(added, 0.0)


def further_hours(
    known: Prospect,
    candidates: Candidates,
    plan: Plan,
    *,
    hours: float,
    allowed: Collection[str],
    access_hours: Mapping[str, float] | None = None,
) -> tuple[tuple[float, float, float], ...]:
    """Return what each further ten hours would gain.

    Parameters
    ----------
    known : Prospect
        As for :func:`joint_plan`.
    candidates : Candidates
        Zones that could be gauged, with what each is worth alone.
    plan : Plan
        The plan for ``hours``.
    hours : float
        Its hours. [h]
    allowed : collection of str
        Kinds of access that can be had.
    access_hours : mapping of str to float, optional
        Hours of one kind; they do not grow with the hours. [h]

    Returns
    -------
    tuple of (hours, value, gain)
        A row a step: hours altogether [h], value of the plan with them, and its gain
        over the row before [-].
    """
    value, found = plan.value, []
    for further in _FURTHER:
        more = best_plan(
            candidates,
            hours=hours + further,
            allowed=allowed,
            access_hours=access_hours,
        )
        better = max(_valued(known, more).value, value)
        found.append((hours + further, better, better - value))
        value = better
    return tuple(found)
