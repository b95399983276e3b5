"""What an estimate starts from and what it leaves: the case, the clock, the books."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array, IntArray
from corrosion.hull.injection import cable_share, entry_zones
from corrosion.hull.shore_evidence import fit_shore, hull_ohms, shore_readings
from corrosion.hull.uncertain import PathUnknowns, draw_paths
from corrosion.hull.water_currents import Hull, build_hull
from corrosion.leakage.fault_currents import FaultUnknowns, sample_faults
from corrosion.leakage.standing_times import Stay, periods
from corrosion.records.ship import Ship
from corrosion.wastage.faraday import mass_loss
from corrosion.wastage.metals import metal
from corrosion.wastage.uncertain import ZoneUnknowns, draw_zones

__all__ = [
    "LossHistory",
    "ModelInputs",
    "TimeGrid",
    "empty_history",
    "naive_loss",
    "sample_inputs",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeGrid:
    """The dates of an estimate, in seconds from 1970-01-01.

    Attributes
    ----------
    start, as_of, horizon : float
        When she was built, the date of the estimate, the next docking.
    moments : ndarray, shape (moments,)
        Dates at which the loss is recorded, ascending; ``as_of`` and ``horizon`` are
        among them.
    """

    start: float
    as_of: float
    horizon: float
    moments: Array


@dataclass(frozen=True, slots=True, kw_only=True)
class ModelInputs:
    """A ship with everything drawn that is not known about her.

    Attributes
    ----------
    ship : Ship
        The ship as she is known.
    draws : Draws
        The random numbers.
    time_grid : TimeGrid
        The dates of the estimate.
    hull : Hull
        Her water, steel and areas.
    cables : ndarray, shape (zones,)
        Share of her cabling in way of each zone. [-]
    faults : FaultUnknowns
        When each stood, its resistance, conductor and current.
    entry : ndarray of int, shape (samples, faults)
        Zone in which each fault's current enters the steel.
    periods : sequence of Period
        How she lay, one after another.
    paths : PathUnknowns
        What decides where a current crosses into the water.
    zones : ZoneUnknowns
        What decides how fast each zone is lost.
    dissolution : ndarray, shape (zones,)
        Charge that dissolves a cubic metre of each. [C/m³]
    """

    ship: Ship
    draws: Draws
    time_grid: TimeGrid
    hull: Hull
    cables: Array
    faults: FaultUnknowns
    entry: IntArray
    periods: Sequence[Stay]
    paths: PathUnknowns
    zones: ZoneUnknowns
    dissolution: Array


@dataclass(frozen=True, slots=True, kw_only=True)
class LossHistory:
    """What was lost, sample by sample; up to the date of the estimate where not said.

    Attributes
    ----------
    moments : ndarray, shape (moments,)
        When the state was recorded, ascending. [s]
    mean : ndarray, shape (samples, moments, zones)
        Loss of thickness up to each recorded moment, mean over the zone. [m]
    worn, since : ndarray, shape (samples, moments, zones)
        At steel that has been bare since the zone was last painted: what was lost
        evenly before that and from the inner face, and what its outer face lost
        since. [m]
    bare : ndarray, shape (samples, moments, zones)
        Bare share. [-]
    natural_kg, stray_kg, couple_kg : ndarray, shape (samples, zones)
        Metal lost without stray currents (both faces), what these add, and the share
        of that which the couple with the shore earth is charged. It goes on where a
        plate is gone by the model alone: what a gauging shows to be there still wastes,
        and what stands behind a hole does. [kg]
    natural_spot, stray_spot : ndarray, shape (samples, zones)
        Depth at bare steel, likewise. [m]
    peak : ndarray, shape (samples, zones)
        Highest alternating current density at bare steel, counted as so much of mains
        frequency as dissolves as much. [A/m²]
    charge, water_charge : ndarray, shape (samples, faults)
        Charge that reached the hull (of rms for alternating current), and the part
        of it that left into the water. [C]
    seconds : ndarray, shape (samples, faults)
        How long each fault stood. [s]
    fault_kg : ndarray, shape (samples, faults)
        Metal that each fault is charged. [kg]
    charged : ndarray, shape (faults, zones)
        The same by zone, mean of the samples. [kg]
    nonlinear_seconds : ndarray, shape (samples, periods)
        For how long the interface of steel and water was taken as bending. [s]
    """

    moments: Array
    mean: Array
    worn: Array
    since: Array
    bare: Array
    natural_kg: Array
    stray_kg: Array
    couple_kg: Array
    natural_spot: Array
    stray_spot: Array
    peak: Array
    charge: Array
    water_charge: Array
    seconds: Array
    fault_kg: Array
    charged: Array
    nonlinear_seconds: Array


def sample_inputs(ship: Ship, draws: Draws, time_grid: TimeGrid) -> ModelInputs:
    """Draw everything that is not known about a ship, and make her hull ready."""
    hull = build_hull(ship)
    cables = cable_share(ship, hull.body)
    faults = sample_faults(ship, draws)
    end = float(time_grid.moments[-1])
    paths, zones = draw_paths(draws), draw_zones(ship, draws)
    readings = shore_readings(ship)
    ohms = [
        np.zeros(draws.samples)
        if read.amps is None
        else hull_ohms(hull, read.berth, paths, zones.bare(read.moment, slice(None)))
        for read in readings
    ]
    return ModelInputs(
        ship=ship,
        draws=draws,
        time_grid=time_grid,
        hull=hull,
        cables=cables,
        faults=faults,
        entry=entry_zones(ship, cables, faults.place),
        periods=periods(ship, draws, start=time_grid.start, end=end),
        paths=fit_shore(paths, readings, ohms, draws),
        zones=zones,
        dissolution=np.array(
            [metal(zone.metal).charge_per_volume for zone in ship.zones]
        ),
    )


def empty_history(inputs: ModelInputs, moments: Array) -> LossHistory:
    """Return a history of zeros, to be recorded at some moments."""
    samples, zones = inputs.draws.samples, len(inputs.ship.zones)
    faults = len(inputs.ship.faults)
    by_moment, by_zone = (samples, len(moments), zones), (samples, zones)
    return LossHistory(
        moments=moments,
        mean=np.zeros(by_moment),
        worn=np.zeros(by_moment),
        since=np.zeros(by_moment),
        bare=np.zeros(by_moment),
        natural_kg=np.zeros(by_zone),
        stray_kg=np.zeros(by_zone),
        couple_kg=np.zeros(by_zone),
        natural_spot=np.zeros(by_zone),
        stray_spot=np.zeros(by_zone),
        peak=np.zeros(by_zone),
        charge=np.zeros((samples, faults)),
        water_charge=np.zeros((samples, faults)),
        seconds=np.zeros((samples, faults)),
        fault_kg=np.zeros((samples, faults)),
        charged=np.zeros((faults, zones)),
        nonlinear_seconds=np.zeros((samples, len(inputs.periods))),
    )


def naive_loss(inputs: ModelInputs, history: LossHistory) -> tuple[Array, Array]:
    """Return what a naive reckoning charges, by fault and by zone.

    Parameters
    ----------
    inputs : ModelInputs
        The ship with everything drawn.
    history : LossHistory
        What was lost.

    Returns
    -------
    by_fault, by_zone : ndarray, shape (samples, faults) and (samples, zones)
        Every ampere, direct or alternating, dissolves metal where it entered. [kg]
    """
    rate = np.array([mass_loss(1.0, zone.metal) for zone in inputs.ship.zones])
    by_fault = history.charge * rate[inputs.entry]
    by_zone = np.zeros_like(history.natural_kg)
    rows = np.arange(len(by_zone))
    for k in range(by_fault.shape[1]):
        by_zone[rows, inputs.entry[:, k]] += by_fault[:, k]
    return by_fault, by_zone
