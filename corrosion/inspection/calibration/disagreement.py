"""Where model and gauging disagree, by how much, and what would explain it."""

from dataclasses import dataclass

import numpy as np

from corrosion.foundation.types import Array
from corrosion.foundation.units import MM
from corrosion.inspection.calibration.measurements import Measured
from corrosion.records.ship import Ship


@dataclass(frozen=True, slots=True, kw_only=True)
class Disagreement:
    """One gauging that the estimate did not foresee."""

    zone: str  # zone id
    gauging: int  # position among the gaugings
    residual: float  # gauged minus predicted; negative: thinner than predicted [m]
    deviations: float  # the same in standard deviations, with its sign [-]
    words: str  # one sentence: the zone, the size, and the likeliest explanations


def deviations(
    predicted: Array, measured: Measured, built: Array
) -> tuple[Array, Array]:
    """Return how far each gauging lies from the estimate made without it.

    Parameters
    ----------
    predicted : ndarray, shape (samples, rows)
        Thickness at the gauging's date, before any gauging was used. [m]
    measured : Measured
        What was measured.
    built : ndarray, shape (rows,)
        Thickness as ordered. [m]

    Returns
    -------
    residual : ndarray, shape (rows,)
        Gauged, less the mean bias of its campaign, minus mean of the prediction. [m]
    deviations : ndarray, shape (rows,)
        The residual over the standard deviation of prediction and measurement. [-]
    """
    read = built - measured.gone - measured.bias
    residual = read - predicted.mean(axis=0)
    return residual, residual / np.sqrt(predicted.var(axis=0) + measured.variance)


def explanation(residual: float, *, thickness: float, built: float, step: float) -> str:
    """Return the likeliest explanations of a disagreement, by its sign and size.

    Parameters
    ----------
    residual : float
        Gauged minus predicted. [m]
    thickness : float
        What was gauged. [m]
    built : float
        Thickness as built, as it is written. [m]
    step : float
        One step of plate thickness. [m]

    Returns
    -------
    str
        Words, the likeliest first.

    Examples
    --------
    >>> explanation(2e-3, thickness=0.014, built=0.010, step=1e-3)
    'an unrecorded doubler or insert, or a built thickness written too small'
    """
    if residual > 0.0 and thickness > built + step:
        return "an unrecorded doubler or insert, or a built thickness written too small"
    if residual > 0.0:
        return (
            "paint or protection better than written, a plate renewed since, or paint "
            "measured along with the plate"
        )
    if -residual <= step:
        return (
            "a built thickness written too large (by one step of plate thickness), or "
            "coating worse than written"
        )
    return (
        "another source of loss than those in the log (a fault never found, a couple, "
        "wear, loss from the inner face), or a wrong built thickness"
    )


def disagreements(
    predicted: Array, measured: Measured, ship: Ship
) -> tuple[Disagreement, ...]:
    """Return the zones whose gaugings the estimate did not foresee, the worst first.

    Parameters
    ----------
    predicted : ndarray, shape (samples, rows)
        Thickness at the gauging's date, before any gauging was used. [m]
    measured : Measured
        What was measured.
    ship : Ship
        With ``disagreement_deviations`` among her assumptions: how many standard
        deviations count.

    Returns
    -------
    tuple of Disagreement
        One a zone, its worst gauging; empty where model and gaugings agree.
    """
    given = ship.assumptions
    built = np.array([zone.built for zone in ship.zones])[measured.zone]
    residual, deviation = deviations(predicted, measured, built)
    worst = np.argsort(-np.abs(deviation), kind="stable")
    found: dict[str, Disagreement] = {}
    for index in worst[
        np.abs(deviation[worst]) >= given.value("disagreement_deviations")
    ]:
        zone, off = ship.zones[measured.zone[index]].zone, float(residual[index])
        if zone in found:
            continue
        read = float(built[index] - measured.gone[index])
        why = explanation(
            off,
            thickness=read,
            built=float(built[index]),
            step=given.value("plate_step_mm") * MM,
        )
        words = (
            f"zone {zone}: gauged {read / MM:.1f} mm, "
            f"{abs(off) / MM:.1f} mm {'thinner' if off < 0 else 'thicker'} than "
            f"estimated from the records ({abs(deviation[index]):.1f} standard "
            f"deviations); likeliest: {why}"
        )
        found[zone] = Disagreement(
            zone=zone,
            gauging=int(measured.lead[index]),
            residual=off,
            deviations=float(deviation[index]),
            words=words,
        )
    return tuple(found.values())
