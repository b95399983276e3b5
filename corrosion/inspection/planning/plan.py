"""Which zones to gauge with the hours at hand, as an integer programme."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from corrosion.foundation.errors import InputError
from corrosion.foundation.types import Array, BoolArray, IntArray

_ROUNDING: Final = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidates:
    """Zones that could be gauged, one entry a zone.

    Attributes
    ----------
    zones : tuple of str
        Zone ids.
    value : ndarray, shape (Z,)
        Value of gauging each, from
        :func:`corrosion.inspection.planning.joint.worth_alone`; 0 or more. [-]
    hours : ndarray, shape (Z,)
        Hours to gauge each. [h]
    access : tuple of str
        How each is reached: ``inside``, ``diver`` or ``dock``.

    Raises
    ------
    InputError
        If the lengths differ, a value is negative, or an hour count not positive.
    """

    zones: tuple[str, ...]
    value: Array
    hours: Array
    access: tuple[str, ...]

    def __post_init__(self) -> None:
        counts = {len(self.zones), self.value.size, self.hours.size, len(self.access)}
        if len(counts) != 1:
            msg = "Candidates: needs one value, hours and access for each zone."
            raise InputError(msg)
        for name, values, good, least in (
            ("value", self.value, self.value >= 0.0, "0 or more"),
            ("hours", self.hours, self.hours > 0.0, "more than 0 h"),
        ):
            bad = np.flatnonzero(~good)
            if bad.size:
                msg = (
                    f"Candidates: {name} must be {least}, got {values[bad[0]]:g} for "
                    f"zone {self.zones[bad[0]]} ({bad.size} of {values.size})."
                )
                raise InputError(msg)


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """The zones to gauge."""

    zones: tuple[str, ...]  # the most valuable an hour first
    chosen: IntArray  # their positions among the candidates, in the same order
    # value, hours_used: summed value [-] and hours [h]
    value: float
    hours_used: float
    # how far a better set could lie above this one, relative; 0: proven best [-]
    gap: float


def best_plan(
    candidates: Candidates,
    *,
    hours: float,
    allowed: Collection[str],
    access_hours: Mapping[str, float] | None = None,
) -> Plan:
    """Return the set of zones with the greatest summed value within the hours.

    Parameters
    ----------
    candidates : Candidates
        Zones that could be gauged; one without value is never chosen.
    hours : float
        Hours altogether. [h]
    allowed : collection of str
        Kinds of access that can be had.
    access_hours : mapping of str to float, optional
        Hours of one kind of access, where they are fewer than ``hours``. [h]

    Returns
    -------
    Plan
        Proven best by the solver where ``gap`` is 0.

    Raises
    ------
    InputError
        If no zone can be reached that way, or the hours are fewer than the cheapest
        reachable zone takes.

    Notes
    -----
    Maximise Σ v x over x ∈ {0, 1} with Σ h x ≤ hours, and ≤ its own hours for each
    kind of access: solved by branch and bound (``scipy.optimize.milp``).

    Examples
    --------
    >>> zones = Candidates(
    ...     zones=("A", "B", "C"),
    ...     value=np.array([3.0, 2.0, 2.0]),
    ...     hours=np.array([5.0, 3.0, 3.0]),
    ...     access=("inside",) * 3,
    ... )
    >>> best_plan(zones, hours=6.0, allowed={"inside"}).zones
    ('B', 'C')
    """
    from scipy.optimize import (  # noqa: PLC0415 - importing corrosion stays light
        Bounds,
        LinearConstraint,
        milp,
    )

    access = np.array(candidates.access)
    limits = dict.fromkeys(sorted(allowed), hours) | dict(access_hours or {})
    room = np.array([limits[kind] if kind in allowed else 0.0 for kind in access])
    reachable = np.isin(access, list(allowed))
    _check_hours(candidates, hours, np.minimum(room, hours), reachable)
    usable = reachable & (candidates.value > 0.0)
    kinds = [kind for kind in limits if kind in allowed]
    rows = [candidates.hours] + [candidates.hours * (access == kind) for kind in kinds]
    result = milp(
        -candidates.value / max(candidates.value.max(), np.finfo(np.float64).tiny),
        integrality=np.ones(access.size, np.int64),
        bounds=Bounds(0.0, usable.astype(np.float64)),
        constraints=LinearConstraint(
            np.array(rows), ub=np.array([hours] + [limits[kind] for kind in kinds])
        ),
        options={"mip_rel_gap": 0.0},
    )
    if result.x is None:
        msg = f"the solver found no set of zones ({result.message})."
        raise InputError(msg)
    chosen = np.flatnonzero(result.x > 0.5)
    rate = candidates.value[chosen] / candidates.hours[chosen]
    chosen = chosen[np.argsort(-rate, kind="stable")]
    return Plan(
        zones=tuple(candidates.zones[index] for index in chosen),
        chosen=chosen,
        value=float(candidates.value[chosen].sum()),
        hours_used=float(candidates.hours[chosen].sum()),
        gap=float(result.mip_gap) if result.mip_gap > _ROUNDING else 0.0,
    )


def _check_hours(
    candidates: Candidates, hours: float, room: Array, reachable: BoolArray
) -> None:
    if not 0.0 < hours < np.inf:
        msg = f"hours must be more than 0, got {hours:g}."
        raise InputError(msg)
    if not reachable.any():
        kinds = ", ".join(sorted(set(candidates.access)))
        msg = f"no zone can be reached with that access; they need: {kinds}."
        raise InputError(msg)
    if not (reachable & (candidates.hours <= room)).any():
        cheapest = int(np.argmin(np.where(reachable, candidates.hours, np.inf)))
        msg = (
            f"{hours:g} hours are fewer than the cheapest zone takes "
            f"({candidates.zones[cheapest]}: {candidates.hours[cheapest]:g} hours). "
            "Give more hours or another access."
        )
        raise InputError(msg)


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOut:
    """What stays ungauged."""

    zones: tuple[str, ...]  # the greatest risk first
    priority: Array  # (L,) chance times consequence of each [-]
    share: float  # their part of the ship's summed risk [-]


def left_out(candidates: Candidates, plan: Plan, priority: Array) -> LeftOut:
    """Return the zones that a plan leaves ungauged, and their risk.

    Parameters
    ----------
    candidates : Candidates
        The zones that the plan was made from.
    plan : Plan
        The chosen zones.
    priority : ndarray, shape (Z,)
        Chance times consequence of each candidate. [-]

    Returns
    -------
    LeftOut
        The zones, the greatest risk first.
    """
    rest = np.setdiff1d(np.arange(priority.size), plan.chosen)
    rest = rest[np.argsort(-priority[rest], kind="stable")]
    whole = float(priority.sum())
    return LeftOut(
        zones=tuple(candidates.zones[index] for index in rest),
        priority=priority[rest],
        share=float(priority[rest].sum()) / whole if whole > 0.0 else 0.0,
    )
