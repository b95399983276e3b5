"""What to measure next: which unknown drives a zone's result, and how to settle it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from corrosion.foundation.types import Array
from corrosion.history.inputs import ModelInputs
from corrosion.history.loss import LossHistory
from corrosion.inspection.cautions import NEEDS, SHORE, Needs
from corrosion.inspection.outlook import Outlook
from corrosion.records.ship import Access

_FAULTS = 5  # the faults that took most from the zone


@dataclass(frozen=True, slots=True, kw_only=True)
class Influence:
    """One unknown that drives a zone's margin, and what would settle it."""

    unknown: str  # what is not known, in words
    share: float  # share of the spread of the zone's margin that goes with it [-]
    measure: str  # what to measure or to write down


_GAUGE: Final = "gauge the zone: the mean of several readings"
_PIT: Final = "look for its deepest pit, and measure it with a pit gauge"
_PAINT: Final = "look at its paint, and write down the bare per cent and the date"
_CLAMP: Final = "measure the direct current in the shore's protective conductor"
_ELECTRODE: Final = "have the shore supply's earth electrode measured"
_NOTHING: Final = (
    "nothing aboard settles it; clear alternating faults as if it were high"
)


def influences(
    inputs: ModelInputs,
    history: LossHistory,
    outlook: Outlook,
    zone: int,
) -> tuple[Influence, ...]:
    """Return the unknowns that drive a zone's margin at the horizon.

    Returns
    -------
    tuple of Influence
        The greatest share first, by squared rank correlation with the lesser of the
        two margins (mean thickness and deepest pit over their limits).
    """
    row = inputs.ship.zones[zone]
    left = outlook.left_ahead[:, zone] - row.limit
    under = outlook.under_pit_ahead[:, zone] - row.pit_limit
    unknowns = _of_zone(inputs, history, zone) | _of_ship(inputs, history)
    unknowns |= _of_faults(inputs, history, zone)
    shares = rank_shares(
        {name: values for name, (values, _) in unknowns.items()},
        np.minimum(left, under),
    )
    return tuple(
        Influence(unknown=name, share=shares[name], measure=unknowns[name][1])
        for name in sorted(shares, key=lambda name: -shares[name])
    )


def needs_of(measure: str, access: Access) -> Needs:
    """Return who it takes, at the least, to make a measurement at a zone.

    Parameters
    ----------
    measure : str
        As :func:`best_measurements` names it.
    access : {'inside', 'diver', 'dock'}
        How the zone is reached.
    """
    if measure in (_GAUGE, _PIT, _PAINT):
        return NEEDS[access]
    if measure == _NOTHING:
        return "anyone"
    return "licensed electrician" if measure == _ELECTRODE else NEEDS["clamp"]


def caution_of(measure: str) -> str | None:
    """Return what can hurt whoever makes a measurement on the shore supply, or None."""
    return SHORE if measure in (_CLAMP, _ELECTRODE) else None


def rank_shares(unknowns: Mapping[str, Array], outcome: Array) -> dict[str, float]:
    """Return how much of a result's spread goes with each unknown.

    Parameters
    ----------
    unknowns : mapping of str to ndarray, shape (S,)
        Samples of each unknown, in any unit: only their order is used.
    outcome : ndarray, shape (S,)
        The result in the same samples, in any unit.

    Returns
    -------
    dict of str to float
        Squared rank correlation (Spearman): share of the variance of the result's
        ranks; 0 where either does not vary. [-]

    Notes
    -----
    It sees what rises or falls throughout; an unknown that acts only together with
    another shows less than it does.

    Examples
    --------
    >>> rising = np.arange(5.0)
    >>> rank_shares({"a": 0 * rising, "b": rising}, rising**3)
    {'a': 0.0, 'b': 1.0}
    """
    shares = dict.fromkeys(unknowns, 0.0)
    if np.ptp(outcome) > 0.0:
        after = _ranks(outcome)
        for name, values in unknowns.items():
            if np.ptp(values) > 0.0:  # the correlation with a constant is undefined
                shares[name] = float(np.corrcoef(_ranks(values), after)[0, 1] ** 2)
    return shares


def _ranks(values: Array) -> Array:
    """Return the rank of each value; equal ones share the mean of theirs."""
    _, place, count = np.unique(values, return_inverse=True, return_counts=True)
    return np.asarray((np.cumsum(count) - 0.5 * (count - 1))[place])


def best_measurements(found: Sequence[Influence]) -> list[tuple[str, float]]:
    """Return what to measure, each with the share of the spread it would settle.

    Parameters
    ----------
    found : sequence of Influence
        The unknowns that drive a zone's margin.

    Returns
    -------
    list of (str, float)
        Measurement and share [-], the greatest first; unknowns that one measurement
        settles are counted together.

    Examples
    --------
    >>> rows = [Influence(unknown=u, share=0.25, measure="gauge") for u in "ab"]
    >>> best_measurements(rows)
    [('gauge', 0.5)]
    """
    shares: dict[str, float] = {}
    for one in found:
        shares[one.measure] = shares.get(one.measure, 0.0) + one.share
    return sorted(shares.items(), key=lambda item: -item[1])


def _of_zone(
    inputs: ModelInputs, history: LossHistory, zone: int
) -> dict[str, tuple[Array, str]]:
    unknowns = inputs.zones
    bare = unknowns.bare(inputs.time_grid.as_of, slice(None))[:, zone]
    return {
        "how much of the zone is bare": (bare, _PAINT),
        "how fast the zone corrodes by nature": (
            history.natural_sea_kg[:, zone],
            _GAUGE,
        ),
        "what its inner face has lost": (history.natural_inside_kg[:, zone], _GAUGE),
        "how thick it was rolled": (unknowns.rolled[:, zone], _GAUGE),
        "how unevenly it pits": (unknowns.pitting[:, zone], _PIT),
        "its deepest pit": (unknowns.deepest[:, zone], _PIT),
    }


def _of_ship(inputs: ModelInputs, history: LossHistory) -> dict[str, tuple[Array, str]]:
    zones, paths = inputs.zones, inputs.paths
    anywhere = "gauge zones anywhere on the ship: each teaches the others"
    return {
        "how fast the ship corrodes by nature": (
            history.natural_sea_kg.sum(axis=1),
            anywhere,
        ),
        "how fast her paint breaks down": (
            np.asarray(zones.paint.law.life)[:, 0],
            _PAINT,
        ),
        "the shore earth's resistance": (
            paths.shore_earth * paths.earth_factor,
            _ELECTRODE,
        ),
        "the couple with the shore earth": (paths.couple * paths.couple_factor, _CLAMP),
        "how much steel an alternating current dissolves": (
            zones.ac_normal,
            _NOTHING,
        ),
    }


def _of_faults(
    inputs: ModelInputs, history: LossHistory, zone: int
) -> dict[str, tuple[Array, str]]:
    took = history.charged[:, zone]
    worst = [k for k in np.argsort(-took)[:_FAULTS] if took[k] > 0.0]
    names = {int(k): inputs.ship.faults[int(k)].fault for k in worst}
    return {
        f"the charge of fault {name}": (
            history.charge[:, k],
            f"measure the hull current of {name}, or find out when it began",
        )
        for k, name in names.items()
    }
