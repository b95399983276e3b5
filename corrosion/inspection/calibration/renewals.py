"""What it says of a plate that it was renewed: it was about at its limit."""

from dataclasses import replace

import numpy as np

from corrosion.foundation.types import Array, IntArray
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
    even = given.value("gauging_bias_prepared_mm") * MM
    backed = np.full(zone.size, chance / (1.0 - chance))
    return beside(_none(even) if rows is None else rows, zone, moment, gone, sd, backed)


def beside(
    rows: Measured,
    zone: IntArray,
    moment: Array,
    gone: Array,
    sd: Array,
    backed: Array,
) -> Measured:
    """Return rows of gaugings, and after them what else tells of mean thickness.

    Of prepared plate, a campaign each day: no bias but the instrument's.

    Parameters
    ----------
    rows : Measured
        Of gaugings.
    zone : ndarray of int, shape (n,)
        Whose plates.
    moment, gone, sd, backed : ndarray, shape (n,)
        As in `Measured`. [s], [m], [m] and [-]

    Returns
    -------
    Measured
        The rows given come first.
    """
    count, (days, campaign) = zone.size, np.unique(moment, return_inverse=True)
    surfaces = rows.surfaces
    looked = np.zeros((days.size, surfaces.mean.size))
    looked[:, 0] = 1.0
    return replace(
        rows,
        lead=np.append(rows.lead, np.full(count, -1)),
        zone=np.append(rows.zone, zone),
        campaign=np.append(rows.campaign, len(surfaces.chance) + campaign),
        moment=np.append(rows.moment, moment),
        gone=np.append(rows.gone, gone),
        sd=np.append(rows.sd, sd),
        times=np.append(rows.times, np.zeros(count)),  # no crew's slips
        backed=np.append(rows.backed, backed),
        replaced=np.append(rows.replaced, np.zeros(count)),
        pitted=np.append(rows.pitted, np.zeros(count, np.bool_)),
        spots=np.append(rows.spots, np.full(count, np.inf)),
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
