"""Where model and gauging disagree, by how much, and what would explain it."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from corrosion.foundation import assumptions
from corrosion.foundation.types import Array
from corrosion.foundation.units import MM
from corrosion.inspection.calibration.measurements import Gauged

__all__ = ["Disagreement", "deviations", "disagreements", "explanation"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Disagreement:
    """One gauging that the estimate did not foresee.

    Attributes
    ----------
    zone : str
        Zone id.
    gauging : int
        Position among the gaugings.
    residual : float
        Gauged minus predicted; negative: thinner than predicted. [m]
    deviations : float
        The same in standard deviations, with its sign. [-]
    words : str
        One sentence: the zone, the size, and the likeliest explanations.
    """

    zone: str
    gauging: int
    residual: float
    deviations: float
    words: str


def deviations(predicted: Array, gauged: Gauged) -> tuple[Array, Array]:
    """Return how far each gauging lies from the estimate made without it.

    Parameters
    ----------
    predicted : ndarray, shape (S, G)
        Thickness at the gauging's date, before any gauging was used. [m]
    gauged : Gauged
        What was measured, G entries.

    Returns
    -------
    residual : ndarray, shape (G,)
        Gauged minus mean of the prediction. [m]
    deviations : ndarray, shape (G,)
        The residual over the standard deviation of prediction, allowance and
        measurement together. [-]
    """
    residual = gauged.thickness - predicted.mean(axis=0)
    own = np.array([gauged.within(np.array([g]))[0, 0] for g in range(residual.size)])
    variance = predicted.var(axis=0) + own
    return residual, residual / np.sqrt(variance)


def explanation(residual: float, *, thickness: float, built: float) -> str:
    """Return the likeliest explanations of a disagreement, by its sign and size.

    Parameters
    ----------
    residual : float
        Gauged minus predicted. [m]
    thickness : float
        What was gauged. [m]
    built : float
        Thickness as built, as it is written. [m]

    Returns
    -------
    str
        Words, the likeliest first.

    Examples
    --------
    >>> explanation(2e-3, thickness=0.014, built=0.010)
    'an unrecorded doubler or insert, or a built thickness written too small'
    """
    step = assumptions.value("plate_step_mm") * MM
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
    predicted: Array,
    gauged: Gauged,
    zones: Sequence[str],
    built: Array,
    least: float | None = None,
) -> tuple[Disagreement, ...]:
    """Return the zones whose gaugings the estimate did not foresee, the worst first.

    Parameters
    ----------
    predicted : ndarray, shape (S, G)
        Thickness at the gauging's date, before any gauging was used. [m]
    gauged : Gauged
        What was measured, G entries.
    zones : sequence of str
        Zone ids, in the order of the zone axis.
    built : ndarray, shape (Z,)
        Thickness as built. [m]
    least : float, optional
        How many standard deviations count as a disagreement; None: row
        ``disagreement_deviations`` of the basis table. [-]

    Returns
    -------
    tuple of Disagreement
        One a zone, its worst gauging; empty where model and gaugings agree.
    """
    enough = assumptions.value("disagreement_deviations") if least is None else least
    residual, deviation = deviations(predicted, gauged)
    worst = np.argsort(-np.abs(deviation), kind="stable")
    found: list[Disagreement] = []
    for index in worst[np.abs(deviation[worst]) >= enough]:
        place = int(gauged.zone[index])
        if any(one.zone == zones[place] for one in found):
            continue
        zone, off = zones[place], float(residual[index])
        why = explanation(
            off, thickness=float(gauged.thickness[index]), built=float(built[place])
        )
        words = (
            f"zone {zone}: gauged {gauged.thickness[index] / MM:.1f} mm, "
            f"{abs(off) / MM:.1f} mm {'thinner' if off < 0 else 'thicker'} than "
            f"estimated from the records ({abs(deviation[index]):.1f} standard "
            f"deviations); likeliest: {why}"
        )
        found.append(
            Disagreement(
                zone=zone,
                gauging=int(index),
                residual=off,
                deviations=float(deviation[index]),
                words=words,
            )
        )
    return tuple(found)
