"""What it says of a plate that it was renewed: it was about at its limit."""

from dataclasses import replace

import numpy as np

from corrosion.foundation.units import MM, YEAR
from corrosion.inspection.calibration.measurements import Measured
from corrosion.inspection.calibration.plate_dates import WHOLE
from corrosion.inspection.calibration.readings import Surfaces
from corrosion.records.ship import Ship
from corrosion.wastage.works import plate_age, plate_gain, plate_works


def with_renewals(rows: Measured | None, ship: Ship, as_of: float) -> Measured | None:
    """Return the rows of a ship's gaugings, and one for each plate that was renewed.

    Parameters
    ----------
    rows : Measured or None
        Of her gaugings; None: there are none.
    ship : Ship
        With her works.
    as_of : float
        Date of the estimate: later works are planned. [s]

    Returns
    -------
    Measured or None
        Rows of gaugings first.

    Notes
    -----
    A yard renews a plate at the docking at which it finds it worn to its limit: since
    the docking before, half an interval ago in the mean, it wore beyond it. Some are
    renewed before, or for damage: the spread, and the odds of a row to be wrong.
    """
    given, works = ship.assumptions, plate_works(ship)
    interval = given.value("docking_interval_years") * YEAR
    lines = {w.line for w in ship.works if w.zone in ("all", "underwater")}
    found: list[tuple[int, float, float, float]] = []
    for work in ship.works:
        when = float(np.floor(work.date.middle)) - 1.0
        renewed = work.work == "renewed" and work.share >= WHOLE
        if not renewed or work.line in lines or when > as_of:
            continue
        at, day = ship.zone_index(work.zone), np.array([when])
        plate = ship.zones[at]
        whole = plate.built + plate_gain(day, len(ship.zones), works)[0, at]
        start, worn = ship.built.middle, whole - plate.limit
        age = float(plate_age(day, start, len(ship.zones), works)[0, at])
        if age > 0.0 and worn > 0.0:
            beyond = min(0.5 * interval / age, 0.5)
            found.append((at, when, worn * (1.0 + beyond), worn))
    if not found:
        return rows
    zone, moment, gone, worn = (np.array(one) for one in zip(*found, strict=True))
    sd = np.hypot(
        given.value("renewed_wear_sd") * worn, given.value("gauging_sd_mm") * MM
    )
    chance = given.value("renewed_otherwise_chance")
    count, (days, campaign) = zone.size, np.unique(moment, return_inverse=True)
    first = (
        _none(given.value("gauging_bias_prepared_mm") * MM) if rows is None else rows
    )
    surfaces = first.surfaces
    looked = np.zeros((days.size, surfaces.mean.size))
    looked[:, 0] = 1.0  # prepared: no bias but the instrument's
    return replace(
        first,
        lead=np.append(first.lead, np.full(count, -1)),
        zone=np.append(first.zone, zone),
        campaign=np.append(first.campaign, len(surfaces.chance) + campaign),
        moment=np.append(first.moment, moment),
        gone=np.append(first.gone, gone),
        sd=np.append(first.sd, sd),
        times=np.append(first.times, np.zeros(count)),  # no crew's slips
        backed=np.append(first.backed, np.full(count, chance / (1.0 - chance))),
        replaced=np.append(first.replaced, np.zeros(count)),
        pitted=np.append(first.pitted, np.zeros(count, np.bool_)),
        spots=np.append(first.spots, np.full(count, np.inf)),
        surfaces=replace(surfaces, chance=np.vstack([surfaces.chance, looked])),
    )


def _none(even: float) -> Measured:
    """Return no rows, and one surface with a standard deviation of its bias [m]."""
    none, number = np.zeros(0), np.zeros(0, np.int64)
    return Measured(
        row=number,
        lead=number,
        zone=number,
        campaign=number,
        moment=none,
        gone=none,
        sd=none,
        times=none,
        backed=none,
        replaced=none,
        pitted=np.zeros(0, np.bool_),
        spots=none,
        surfaces=Surfaces(
            mean=np.zeros(1), sd=np.array([even]), chance=np.zeros((0, 1))
        ),
    )
