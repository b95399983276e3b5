"""From gaugings to a calibration: which samples to believe, zone by zone."""

from dataclasses import dataclass

import numpy as np

from corrosion.foundation.types import Array, IntArray
from corrosion.history.inputs import ModelInputs
from corrosion.history.loss import LossHistory
from corrosion.inspection.calibration.disagreement import Disagreement, disagreements
from corrosion.inspection.calibration.likelihood import discrepancy, learn
from corrosion.inspection.calibration.measurements import Gauged, gauged
from corrosion.inspection.calibration.weights import resample
from corrosion.inspection.outlook import deepest

__all__ = ["Calibration", "calibrate", "predicted_thickness", "shared_unknowns"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Calibration:
    """What the gaugings taught.

    Attributes
    ----------
    resample_index : ndarray of int, shape (samples, zones)
        Which samples stand, with equal weight, for each zone.
    shared : ndarray of int, shape (samples,)
        Which stand for what is not of one zone.
    normal : ndarray, shape (samples, zones)
        Standard normal numbers of each zone's discrepancy from the model. [-]
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

    resample_index: IntArray
    shared: IntArray
    normal: Array
    built: float
    effective: Array
    tempered: bool
    gauged: Gauged | None
    predicted: Array
    disagreements: tuple[Disagreement, ...]

    def discrepancy(self, moment: float) -> Array:
        """Return what to add to each zone's thickness at a moment [m].

        So that it meets its gaugings; a ship never gauged keeps what the model says.
        """
        if self.gauged is None:
            return np.zeros_like(self.normal)
        age = max(moment - self.built, 0.0)
        return discrepancy(self.predicted, self.gauged, self.normal, age=age)

    def pick(self, values: Array) -> Array:
        """Return samples of equal weight of a quantity of zones, (samples, zones)."""
        return np.take_along_axis(values, self.resample_index, axis=0)

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


def calibrate(inputs: ModelInputs, history: LossHistory) -> Calibration:
    """Weigh the samples by every gauging and return what they teach.

    Parameters
    ----------
    inputs : ModelInputs
        The ship with everything drawn.
    history : LossHistory
        What was lost, sample by sample.

    Returns
    -------
    Calibration
        Without gaugings, every sample in its place.
    """
    ship, samples = inputs.ship, inputs.draws.samples
    names = [zone.zone for zone in ship.zones]
    if not ship.gaugings:
        own = np.arange(samples)
        return Calibration(
            resample_index=np.repeat(own[:, None], len(names), axis=1),
            shared=own,
            normal=inputs.zones.departure,
            built=inputs.time_grid.start,
            effective=np.full(len(names), float(samples)),
            tempered=False,
            gauged=None,
            predicted=np.zeros((samples, 0)),
            disagreements=(),
        )
    measured = gauged(ship.gaugings, names, built=inputs.time_grid.start)
    predicted = predicted_thickness(inputs, history)
    taught = learn(predicted, measured, len(names), shared_unknowns(inputs))
    lost = history.lost_kg.sum(axis=1)
    return Calibration(
        resample_index=resample(taught.weights, lost),
        shared=resample(taught.shared[:, None], lost)[:, 0],
        normal=inputs.zones.departure,
        built=inputs.time_grid.start,
        effective=taught.effective,
        tempered=bool((taught.temper < 1.0).any() or taught.shared_temper < 1.0),
        gauged=measured,
        predicted=predicted,
        disagreements=disagreements(
            predicted, measured, names, np.array([zone.built for zone in ship.zones])
        ),
    )


def predicted_thickness(inputs: ModelInputs, history: LossHistory) -> Array:
    """Return the thickness at each gauging as estimated without any.

    Parameters
    ----------
    inputs : ModelInputs
        The ship with everything drawn.
    history : LossHistory
        What was lost, sample by sample.

    Returns
    -------
    ndarray, shape (samples, gaugings)
        Mean of the zone, or under its deepest pit where the least was written; at the
        middle of the date as written, between recorded moments. [m]
    """
    ship, moments = inputs.ship, history.moments
    thickness = np.empty((inputs.draws.samples, len(ship.gaugings)))
    for k, row in enumerate(ship.gaugings):
        z = ship.zone_index(row.zone)
        when = np.clip(row.date.middle, moments[0], moments[-1])
        after = int(np.clip(np.searchsorted(moments, when), 1, len(moments) - 1))
        part = (when - moments[after - 1]) / (moments[after] - moments[after - 1])
        ends = []
        for at in (after - 1, after):
            if row.kind == "mean":
                ends.append(history.mean[:, at, z])
            else:
                ends.append(deepest(inputs, history, at)[:, z])
        lost = (1.0 - part) * ends[0] + part * ends[1]
        thickness[:, k] = ship.zones[z].built * inputs.zones.rolled[:, z] - lost
    return thickness


def shared_unknowns(inputs: ModelInputs) -> Array:
    """Return the unknowns that all zones share, shape (samples, unknowns)."""
    zones, paths = inputs.zones, inputs.paths
    return np.stack(
        [
            zones.natural_normal,
            zones.ac_normal,
            np.asarray(zones.paint.law.initial)[:, 0],
            np.asarray(zones.paint.law.life)[:, 0],
            paths.interface,
            paths.interface_mains,
            paths.coating,
            paths.structure,
            paths.shore_earth,
            paths.couple,
        ],
        axis=1,
    )
