"""Thickness measurements as rows: averaged, grouped by campaign, with their errors."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from corrosion.foundation.assumptions import Assumptions
from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.foundation.units import MM, YEAR
from corrosion.inspection.calibration.plate_dates import gauged_at, replaced_since
from corrosion.inspection.calibration.readings import Surfaces
from corrosion.inspection.calibration.slips import surfaces_of
from corrosion.records.measured import Gauging
from corrosion.records.ship import Ship
from corrosion.wastage.works import PlateWork, plate_gain, plate_works

_NEAR: Final = 2.0 * YEAR  # campaigns nearer one another share a knot's end
_AHEAD: Final = (5.0, 10.0, 20.0)  # ends of knots after the last campaign [years]
_CAMPAIGN: Final = 0.5 * YEAR  # readings within belong to one campaign
_MOST: Final = 12  # campaigns that are told apart, and knots that end with one
_OUTLIER: Final = 4.0  # deviations from the median at which a reading stands alone
_AGREE: Final = 2.0  # deviations within which two readings bear each other out


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """Thickness measurements as rows, one a zone, day, campaign and kind.

    Arrays are of shape (rows,) where no other is said.
    """

    row: IntArray  # shape (gaugings,): the row of each gauging of the records
    lead: IntArray  # the first gauging behind each row
    # zone, campaign: zone of each row, and the campaign whose bias it shares
    zone: IntArray
    campaign: IntArray
    moment: Array  # when [s]
    gone: Array  # thickness of the plate as new less thickness read [m]
    sd: Array  # standard uncertainty, the campaign's bias left out [m]
    # how many gaugings each is the mean of; 0: how often this crew slips says
    # nothing of it [-]
    times: Array
    backed: Array  # odds of each to be wrong over those of a single reading [-]
    # odds of each to be of a plate that was renewed since, and nobody wrote it [-]
    replaced: Array
    pitted: BoolArray  # which are the least thickness found, or the depth of a pit
    # of how many spots each of these is the least; infinite: it was looked for [-]
    spots: Array
    surfaces: Surfaces  # by how much each campaign may read too thick

    def spots_of(self, zones: int) -> tuple[Array, Array]:
        """Return of how many spots each zone's last least reading is, and its date.

        Both (zones,) [-] and [s]; infinite where a pit was looked for or none was read.
        """
        spots, moment = np.full((2, zones), np.inf)
        for row in np.flatnonzero(self.pitted)[np.argsort(self.moment[self.pitted])]:
            spots[self.zone[row]] = self.spots[row]
            moment[self.zone[row]] = self.moment[row]
        return spots, moment

    @property
    def variance(self) -> Array:
        """Variance of each row with its campaign's bias, shape (rows,) [m²]."""
        spread = self.surfaces.moments[1][self.campaign]
        return np.asarray(self.sd**2 + spread**2)

    @property
    def bias(self) -> Array:
        """Mean of the bias of each row's campaign, (rows,) [m]."""
        return self.surfaces.moments[0][self.campaign]


def measured(ship: Ship) -> Measured:
    """Return a ship's gaugings as rows.

    Several readings of one zone, day, campaign and kind tell one mean, by the inverse
    of their variances; one that lies far from their median stands alone, so that a slip
    spoils no mean. The depth of a pit is one more row, of the least thickness. Where
    campaigns are so many that no more is learned of rates by telling all apart, those
    near in time are one, and readings of a zone in it one mean: each zone knows of a
    bounded number of rows, however often she was gauged.
    """
    given, works = ship.assumptions, plate_works(ship)
    rows = ship.gaugings
    campaigns, all_apart = _campaigns(rows)
    sd, date = np.array([_own_sd(row, given) for row in rows]), gauged_at(ship)
    whole = [_whole(*one, ship, works) for one in zip(rows, date, strict=True)]
    gone = np.array(whole) - [row.thickness for row in rows]
    zone_of = np.array([ship.zone_index(row.zone) for row in rows], np.int64)
    groups: dict[tuple[object, ...], list[int]] = {}
    for k, row in enumerate(rows):
        zone, when = int(zone_of[k]), float(date[k])
        before = sum(bool(one.zones[zone]) for one in works if one.moment < when)
        day = int(when // 86400) if all_apart else before
        groups.setdefault((zone, day, int(campaigns[k]), row.kind), []).append(k)
    members = [one for group in groups.values() for one in _apart(group, gone, sd)]
    place = np.empty(len(rows), np.int64)
    for at, member in enumerate(members):
        place[member] = at
    weight = sd**-2.0
    total = np.array([weight[member].sum() for member in members])
    spot = given.value("gauging_spot_mm") * MM
    pit = given.value("model_sd_mm") * MM
    # a pit gauge reads from the plate around: with the mean it tells the least
    gauge = [k for k, row in enumerate(rows) if row.kind == "mean" and row.pit_depth]
    depth = np.array([0.0 if row.pit_depth is None else row.pit_depth for row in rows])
    lead = np.array([*(member[0] for member in members), *gauge], np.int64)
    pitted = np.array([rows[k].kind == "least" for k in lead], np.bool_)
    pitted[len(members) :] = True
    mean = np.array([(weight * gone)[member].sum() for member in members]) / total
    read = np.concatenate([mean, (gone + depth)[gauge]])
    own = np.concatenate([1.0 / total, sd[gauge] ** 2])
    uncertain = np.sqrt(own + np.where(pitted, pit, spot) ** 2)
    zones = zone_of[lead]
    moment = np.array([*(date[member].mean() for member in members), *date[gauge]])
    borne_out = _agree(zones, date[lead] // 86400, read, uncertain, pitted)
    least = given.value("gauging_readings_least")
    several = ~pitted & np.array([rows[k].readings >= least for k in lead])
    times = [float(len(member)) for member in members]
    found = Measured(
        row=place,
        lead=lead,
        zone=zones,
        campaign=campaigns[lead],
        moment=moment,
        gone=read,
        sd=uncertain,
        times=np.array([*times, *(1.0 for _ in gauge)]),
        backed=np.where(several, given.value("gauging_slip_of_mean"), 1.0)
        * np.where(borne_out, given.value("gauging_slip_borne_out"), 1.0),
        replaced=np.zeros(zones.size),
        pitted=pitted,
        spots=np.array([_spots(rows[k], given) for k in lead]),
        surfaces=surfaces_of(rows, campaigns, given),
    )
    means = np.where(pitted, np.nan, read + found.bias)
    grown = replaced_since(ship, (zones, moment), means, found.variance)
    return replace(found, replaced=grown)


def _whole(row: Gauging, when: float, ship: Ship, works: Sequence[PlateWork]) -> float:
    """Return the thickness of a plate when it was new [m]: that was there that day."""
    if row.built is not None:
        return row.built
    zone, day = ship.zone_index(row.zone), np.array([when])
    gain = float(plate_gain(day, len(ship.zones), works)[0, zone])
    return ship.zones[zone].built + gain


def knots(measured: Measured | None, start: float, last: float) -> tuple[Array, int]:
    """Return the edges of the knots [s], and how many knots the readings know of.

    A knot ends with each campaign: readings tell no more of the rate between two. From
    the last one on they are as long as the wander remembers.

    Parameters
    ----------
    measured : Measured or None
        What was read; None: nothing.
    start, last : float
        When she was built, and the last moment looked at. [s]

    Returns
    -------
    edges : ndarray, shape (knots + 1,)
        From her building on. [s]
    known : int
        Knots that readings tell of.
    """
    ends: list[float] = []
    if measured is not None:
        span = float(np.ptp(measured.moment))
        near = max(_NEAR, span / _MOST)
        for moment in np.unique(measured.moment)[::-1]:
            if (not ends or ends[-1] - moment > near) and moment - start > _NEAR:
                ends.append(float(moment))
        ends.reverse()
    known = max(len(ends), 1 if measured is not None else 0)
    if measured is not None and not ends:
        ends = [float(max(measured.moment.max(), start + _NEAR))]
    since = ends[-1] if ends else start
    later = [since + years * YEAR for years in _AHEAD]
    step = later[-1] - later[-2]
    while later[-1] < last:
        later.append(later[-1] + step)
    return np.array([start, *ends, *later]), known


def _agree(
    zone: IntArray, days: Array, gone: Array, sd: Array, pitted: BoolArray
) -> BoolArray:
    """Return which rows another of their zone and day bears out, (rows,).

    Two means, or two leasts, that differ no more than chance allows; a least that is
    no thicker than the mean.
    """
    deviation = (gone[:, None] - gone) / np.sqrt(sd[:, None] ** 2 + sd**2)
    near = np.abs(deviation) <= _AGREE
    deeper = np.where(pitted[:, None], deviation, -deviation) >= -_AGREE
    same = (zone[:, None] == zone) & (days[:, None] == days)
    np.fill_diagonal(same, val=False)
    alike = pitted[:, None] == pitted
    return np.asarray((same & np.where(alike, near, deeper)).any(axis=1))


def _spots(row: Gauging, given: Assumptions) -> float:
    """Return of how many spots a row is the least: those of the area looked over.

    Where none is written, of its readings; one alone was looked for on all of a zone.
    """
    if row.seen_area is not None:
        return row.seen_area / given.value("gauging_spot_m2")
    several = row.kind == "least" and row.readings > 1
    return float(row.readings) if several else np.inf


def _own_sd(row: Gauging, given: Assumptions) -> float:
    sd = given.value("gauging_sd_mm") * MM if row.sd is None else row.sd
    return float(sd if row.kind == "least" else sd / np.sqrt(row.readings))


def _apart(group: list[int], gone: Array, sd: Array) -> list[list[int]]:
    """Return a group's readings that agree as one list, and each other alone."""
    of = np.array(group)
    off = np.abs(gone[of] - np.median(gone[of])) / sd[of]
    agree = of[off <= _OUTLIER].tolist()
    alone = [[int(k)] for k in of[off > _OUTLIER]]
    return [agree, *alone] if agree else alone


def _campaigns(rows: Sequence[Gauging]) -> tuple[IntArray, bool]:
    """Return each gauging's campaign: near in time, one surface and instrument.

    And whether all are told apart; else those nearer one another are one, in steps.
    """
    order = sorted(range(len(rows)), key=lambda k: rows[k].date.middle)
    span = rows[order[-1]].date.middle - rows[order[0]].date.middle
    within = _CAMPAIGN
    while True:
        found: dict[tuple[object, ...], tuple[float, int]] = {}
        campaign, count = np.empty(len(rows), np.int64), 0
        for k in order:
            row = rows[k]
            key = (row.surface, row.instrument)
            began, number = found.get(key, (-np.inf, -1))
            if row.date.middle - began > within:
                began, number = row.date.middle, count
                count += 1
            found[key] = (began, number)
            campaign[k] = number
        if count <= _MOST or within > span:
            return campaign, within == _CAMPAIGN
        within *= 2.0
