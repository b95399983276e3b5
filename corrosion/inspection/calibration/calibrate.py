"""From gaugings to a lesson: which samples to believe, zone by zone."""

from dataclasses import dataclass

import numpy as np

from corrosion.foundation.types import Array, IntArray
from corrosion.history.inputs import Books, Case
from corrosion.inspection.calibration.disagreement import Disagreement, disagreements
from corrosion.inspection.calibration.likelihood import departure, learn
from corrosion.inspection.calibration.measurements import Gauged, gauged
from corrosion.inspection.calibration.weights import resample
from corrosion.inspection.outlook import deepest

__all__ = ["Lesson", "learn_from_gaugings", "predicted_thickness", "shared_unknowns"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Lesson:
    """What the gaugings taught.

    Attributes
    ----------
    picks : ndarray of int, shape (samples, zones)
        Which samples stand, with equal weight, for each zone.
    shared : ndarray of int, shape (samples,)
        Which stand for what is not of one zone.
    normal : ndarray, shape (samples, zones)
        Standard normal numbers of each zone's departure from the model. [-]
    built : float
        When she was built. [s]
    effective : ndarray, shape (zones,)
        Effective number of samples behind each zone.
    tempered : bool
        Whether the gaugings said more than the samples could follow.
    gauged : Gauged or None
        The measurements as arrays; None: there are none.
    predicted : ndarray, shape (samples, gaugings)
        Thickness at each gauging as estimated without any. [m]
    disagreements : tuple of Disagreement
        Gaugings that the estimate did not foresee, the worst first.
    """

    picks: IntArray
    shared: IntArray
    normal: Array
    built: float
    effective: Array
    tempered: bool
    gauged: Gauged | None
    predicted: Array
    disagreements: tuple[Disagreement, ...]

    def departure(self, moment: float) -> Array:
        """Return what to add to each zone's thickness at a moment [m].

        So that it meets its gaugings; a ship never gauged keeps what the model says.
        """
        if self.gauged is None:
            return np.zeros_like(self.normal)
        age = max(moment - self.built, 0.0)
        return departure(self.predicted, self.gauged, self.normal, age=age)

    def pick(self, values: Array) -> Array:
        """Return samples of equal weight of a quantity of zones, (samples, zones)."""
        return np.take_along_axis(values, self.picks, axis=0)

    def total(self, values: Array) -> Array:
        """Return samples of equal weight of a sum over zones, shape (samples,).

        Of whole samples, so that zones that share an unknown stay as alike as they
        are, brought to the mean of what each zone learned by itself: in proportion
        where every sum is a loss, else by a shift.
        """
        whole = values.sum(axis=1)[self.shared]
        wanted, mean = self.pick(values).mean(axis=0).sum(), whole.mean()
        if mean > 0.0 and (whole >= 0.0).all():
            return np.asarray(whole * (wanted / mean))
        return np.asarray(whole + (wanted - mean))


def learn_from_gaugings(case: Case, books: Books) -> Lesson:
    """Weigh the samples by every gauging and return what they teach.

    Parameters
    ----------
    case : Case
        The ship with everything drawn.
    books : Books
        What was lost, sample by sample.

    Returns
    -------
    Lesson
        Without gaugings, every sample in its place.
    """
    ship, samples = case.ship, case.draws.samples
    names = [zone.zone for zone in ship.zones]
    if not ship.gaugings:
        own = np.arange(samples)
        return Lesson(
            picks=np.repeat(own[:, None], len(names), axis=1),
            shared=own,
            normal=case.zones.departure,
            built=case.clock.start,
            effective=np.full(len(names), float(samples)),
            tempered=False,
            gauged=None,
            predicted=np.zeros((samples, 0)),
            disagreements=(),
        )
    measured = gauged(ship.gaugings, names, built=case.clock.start)
    predicted = predicted_thickness(case, books)
    taught = learn(predicted, measured, len(names), shared_unknowns(case))
    lost = (books.stray_kg + books.natural_kg).sum(axis=1)
    return Lesson(
        picks=resample(taught.weights, lost),
        shared=resample(taught.shared[:, None], lost)[:, 0],
        normal=case.zones.departure,
        built=case.clock.start,
        effective=taught.effective,
        tempered=bool((taught.temper < 1.0).any() or taught.shared_temper < 1.0),
        gauged=measured,
        predicted=predicted,
        disagreements=disagreements(
            predicted, measured, names, np.array([zone.built for zone in ship.zones])
        ),
    )


def predicted_thickness(case: Case, books: Books) -> Array:
    """Return the thickness at each gauging as estimated without any.

    Parameters
    ----------
    case : Case
        The ship with everything drawn.
    books : Books
        What was lost, sample by sample.

    Returns
    -------
    ndarray, shape (samples, gaugings)
        Mean of the zone, or under its deepest pit where the least was written; at the
        middle of the date as written, between recorded moments. [m]
    """
    ship, moments = case.ship, books.moments
    thickness = np.empty((case.draws.samples, len(ship.gaugings)))
    for k, row in enumerate(ship.gaugings):
        z = ship.zone_index(row.zone)
        when = np.clip(row.date.middle, moments[0], moments[-1])
        after = int(np.clip(np.searchsorted(moments, when), 1, len(moments) - 1))
        part = (when - moments[after - 1]) / (moments[after] - moments[after - 1])
        ends = []
        for at in (after - 1, after):
            if row.kind == "mean":
                ends.append(books.mean[:, at, z])
            else:
                ends.append(deepest(case, books, at)[:, z])
        lost = (1.0 - part) * ends[0] + part * ends[1]
        thickness[:, k] = ship.zones[z].built * case.zones.rolled[:, z] - lost
    return thickness


def shared_unknowns(case: Case) -> Array:
    """Return the unknowns that all zones share, shape (samples, unknowns)."""
    zones, paths = case.zones, case.paths
    return np.stack(
        [
            zones.natural_ship,
            zones.fraction,
            zones.initial[:, 0],
            zones.rate[:, 0],
            paths.interface,
            paths.interface_mains,
            paths.coating,
            paths.structure,
            paths.shore_earth,
            paths.couple,
        ],
        axis=1,
    )
