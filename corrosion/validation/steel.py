"""What the sea and the currents take of each plate: paint, natural loss, pits.

A plate is some hundred sites of equal area. In each epoch between two paintings every
site's paint fails at its own moment, more likely where it failed before; from then on
the bare steel there is lost, fast in its first year, and pits there deepen. Sound
paint stops both and heals neither. The mean loss of a plate, its bare share and its
deepest pit are all read off the same sites.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.special import ndtr, ndtri

from corrosion.foundation.types import Array, IntArray
from corrosion.validation.nature import LAWS, YEAR, Nature
from corrosion.validation.vessels import Vessel
from corrosion.validation.voyages import Voyages

SITES: Final = 160
_FARADAY: Final = 96485.33212  # [C/mol]
MM_A_YEAR_PER_AMPERE: Final = {  # of 1 A/m²: M / (z F rho)
    "steel": 55.845e-3 / (2.0 * _FARADAY * 7870.0) * YEAR * 1e3,
    "aluminium 5083": 26.982e-3 / (3.0 * _FARADAY * 2660.0) * YEAR * 1e3,
    "nickel-aluminium bronze": 63.546e-3 / (2.0 * _FARADAY * 7580.0) * YEAR * 1e3,
}
DENSITY: Final = {
    "steel": 7850.0,
    "aluminium 5083": 2660.0,
    "nickel-aluminium bronze": 7580.0,
}
_PITS: Final = 100.0  # on a square metre, each of a depth of its own (judgement)
_PIT_SPREAD: Final = np.log(1.5)  # of single pits (judgement)
_FIRST: Final = 0.02  # bare share of new paint
_PAINT: Final = (30.5, 2.63)  # years, exponent: 7, 30, 63, 87 % at 10, 20, 30, 40
_ALUMINIUM: Final = 0.05  # its natural loss over steel's
INSIDE: Final = {"dry": 0.5, "void": 0.7, "tank": 1.2, "bilge": 1.7}
"""What 19 in 20 inner faces lose less than in 25 years, with their paint [mm].

Corrosion additions for one side, IACS Common Structural Rules (from memory): dry
spaces, voids, ballast tanks, and their members near the top or where water stands. No
number of the estimate's: that goes by rates of bare steel and a bare share.
"""


def lost_after(years: Array, exposure: str) -> Array:
    """Return the natural loss of bare steel after some years [mm].

    A fast first year and then a line: sea 0.26, 0.93, 1.76 and 3.44 mm at 5, 25, 50
    and 100 years, where EN 1993-5 Table 4-2 has 0.25, 0.90, 1.75 and 3.50.
    """
    first, line = {
        "immersed": (0.0875, 0.0335),
        "tank": (0.0875, 0.0335),
        "splash": (0.2125, 0.0715),
        "bilge": (0.2125, 0.0715),
    }[exposure]
    age = np.maximum(years, 0.0)
    return np.asarray(first * -np.expm1(-age / 0.4) + line * age)


def fails_after(uniform: Array, speed: Array) -> Array:
    """Return the age at which the paint of each site fails [years]."""
    left = np.maximum((1.0 - uniform) / (1.0 - _FIRST), 1e-12)
    age = _PAINT[0] * (-np.log(np.minimum(left, 1.0))) ** (1.0 / _PAINT[1])
    return np.asarray(age / speed)


@dataclass(frozen=True, slots=True, kw_only=True)
class Plating:
    """The sites of every plate through a life."""

    exposure: tuple[str, ...]
    metal: tuple[str, ...]
    built: float
    # start, end, bared, shape (plates, epochs): epochs between paintings, and when each
    # site's paint failed in each [s]
    start: Array
    end: Array
    bared: Array
    # ticks, worked, shape (ticks,): moments [s], and how long the water at her berths
    # has worked on each plate until then, in years of her mean berth
    ticks: Array
    worked: Array
    rate: Array  # (plates, epochs) factor on the natural loss in that mean
    # shape (plates, sites): depth of the deepest pit of each site once it has
    # lost a millimetre [mm]
    keen: Array
    pit_power: float  # of the even loss, by which pits deepen
    rolled: Array  # (plates,) thickness as rolled [mm]
    inside: Array  # (plates,) loss of the inner face [mm a year]

    def _age(self, plate: int, moments: Array) -> Array:
        """Return how long the water has worked on a plate until moments [years]."""
        return np.asarray(np.interp(moments, self.ticks, self.worked[plate]))

    def _now(self, moments: Array) -> tuple[Array, IntArray]:
        """Return when each site was bared in the epoch of each moment, and which."""
        past = self.start[None] <= moments[:, None, None]
        epoch = np.maximum(past.sum(axis=2) - 1, 0)
        rows = np.arange(len(self.metal))
        return self.bared[rows, epoch], epoch

    def bare(self, moments: Array) -> Array:
        """Return bare shares, shape (moments, plates)."""
        bared, _ = self._now(moments)
        return np.asarray((bared <= moments[:, None, None]).mean(axis=2))

    def natural_amps(self, moments: Array) -> Array:
        """Return natural dissolution, the mean of bare sites, (moments, plates) [A/m²].

        Of steel that has been bare for less than a month, that of a month.
        """
        bared, epoch = self._now(moments)
        open_ = bared <= moments[:, None, None]
        speed = np.empty(bared.shape)
        for p, exposure in enumerate(self.exposure):
            then = self._age(p, moments)[:, None] - self._age(p, bared[:, p])
            age = np.maximum(then, 1.0 / 12.0)
            step = lost_after(age + 0.05, exposure)
            step = (step - lost_after(age, exposure)) / 0.05
            year = [self._age(p, moments + sign * 0.5 * YEAR) for sign in (1.0, -1.0)]
            speed[:, p] = step * np.maximum(year[0] - year[1], 0.05)[:, None]
        mean = (speed * open_).sum(axis=2) / np.maximum(open_.sum(axis=2), 1)
        rate = self.rate[np.arange(len(self.metal)), epoch]
        per = np.array([MM_A_YEAR_PER_AMPERE[metal] for metal in self.metal])
        return np.asarray(np.maximum(rate * mean / per, 1e-3))

    def even(self, moments: Array, added: Array | None = None) -> Array:
        """Return what each site lost to moments, (moments, plates, sites) [mm].

        ``moments``, shape (moments,): when [s]. ``added``, shape (grid, plates + 1):
        moments in the first column, and what stray currents took at bare steel up to
        them [mm].
        """
        out = np.empty((len(moments), *self.keen.shape))
        for p, exposure in enumerate(self.exposure):
            bared, end = self.bared[p], self.end[p, :, None]
            base = 0.0 * bared
            if added is not None:
                base = np.interp(bared, added[:, 0], added[:, p + 1])
            for m, moment in enumerate(moments):
                until = np.minimum(moment, end)
                worked = self._age(p, until) - self._age(p, bared)
                grown = self.rate[p, :, None] * lost_after(worked, exposure)
                if added is not None:
                    last = np.maximum(until, bared)
                    grown += np.interp(last, added[:, 0], added[:, p + 1]) - base
                open_ = until > bared
                out[m, p] = np.where(open_, np.maximum(grown, 0.0), 0.0).sum(axis=0)
        return out

    def pits(self, even: Array) -> Array:
        """Return how deep pits are on sites that lost so much, shape of ``even`` [mm].

        After one millimetre some three times as deep, after a seventh of one five times
        (mild steel in tropical sea water, one and sixteen years: Southwell & Alexander
        1970, from memory): the power is the ship's own.
        """
        gone = np.maximum(even, 0.0)
        return np.asarray(np.maximum(self.keen * gone**self.pit_power, gone))

    def worn_inside(self, moments: Array) -> Array:
        """Return what the inner face lost, (moments, plates) [mm]."""
        return (moments[:, None] - self.built) / YEAR * self.inside


def weather(
    vessel: Vessel,
    voyages: Voyages,
    paintings: Array,
    nature: Nature,
    until: float,
    *,
    renewed: Array | None = None,
) -> Plating:
    """Return the sites of a ship's plates.

    Parameters
    ----------
    vessel, voyages : Vessel, Voyages
        The ship, and in what water she lay.
    paintings : ndarray, shape (plates, paintings)
        When each plate was painted, the building first; infinite where it was not. [s]
    nature : Nature
        Random numbers.
    until : float
        End of the life. [s]
    renewed : ndarray, shape (plates, renewals), optional
        Likewise when a new plate came with its own paint. [s]
    """
    rng, plates = nature.rng("steel"), vessel.plates
    shape, new = paintings.shape, np.full((len(plates), 0), np.inf)
    new = new if renewed is None else renewed
    start = np.sort(np.hstack([paintings, new]), axis=1)
    end = np.minimum(np.append(start[:, 1:], np.full((shape[0], 1), np.inf), 1), until)
    start = np.minimum(start, until)
    speed = nature.one("paint_speed") * nature.draw("paint_speed_zone", shape[0])
    weak = rng.standard_normal((shape[0], 1, SITES))
    own = rng.standard_normal((*shape, SITES))
    # of further epochs apart: what a renewal does not touch goes as it went
    later = nature.rng("new plates").standard_normal((new.shape[1], shape[0], SITES))
    own = np.concatenate([own, later.transpose(1, 0, 2)], axis=1)
    share = min(nature.one("weak_spots"), 1.0)
    uniform = ndtr(share * weak + (1.0 - share**2) ** 0.5 * own)
    years = fails_after(uniform, speed[:, None, None])
    wander = nature.draw("natural_rate_years", shape[0] * shape[1]).reshape(shape)
    later = nature.draw("natural_rate_years", new.size, "new plates")
    wander = np.hstack([wander, later.reshape(new.T.shape).T])
    keep = np.exp(-np.diff(start, axis=1) / (15.0 * YEAR))
    log = np.log(wander)
    for k in range(1, start.shape[1]):
        part = keep[:, k - 1]
        log[:, k] = part * log[:, k - 1] + np.sqrt(1.0 - part**2) * log[:, k]
    swift, rate = nature.one("way"), nature.draw("natural_rate_zone", shape[0])
    sea = {"immersed": voyages.clock(1.0, swift), "splash": voyages.clock(0.0, 1.0)}
    ticks = sea["splash"][0]
    even_pace = (ticks - ticks[0]) / YEAR
    inner_space = (ticks, even_pace)
    worked = np.array([sea.get(p.exposure, inner_space)[1] for p in plates])
    pace = worked[:, -1] / even_pace[-1]
    common = {"bilge": nature.one("natural_rate_bilge")}
    whole = nature.one("natural_rate")
    rate = rate * pace * [common.get(p.exposure, whole) for p in plates]
    metal = np.array([_ALUMINIUM if "alu" in p.metal else 1.0 for p in plates])
    bronze = np.array([0.0 if p.bronze else 1.0 for p in plates])
    area = np.array([plate.area for plate in plates])[:, None] / SITES
    rank = np.log(rng.random((shape[0], SITES))) / (_PITS * area)
    worst = ndtri(np.exp(rank)) - ndtri(0.5 ** (1.0 / _PITS))  # of a square metre: 0
    widths = [np.log(LAWS[law].spread) for law in ("inside_space", "inside_ship")]
    middle = np.exp(-ndtri(0.95) * np.hypot(*widths)) / 25.0
    shell = np.array([p.exposure in ("immersed", "splash") for p in plates])
    inner = shell * [INSIDE[p.inside] for p in plates]
    inner = inner * middle * nature.one("inside_ship")
    return Plating(
        exposure=tuple(plate.exposure for plate in plates),
        metal=tuple(plate.metal for plate in plates),
        built=vessel.built,
        start=start,
        end=end,
        ticks=ticks,
        worked=worked / pace[:, None],
        bared=np.minimum(start[..., None] + years * YEAR, end[..., None]),
        rate=(rate * metal * bronze)[:, None] * np.exp(log),
        pit_power=nature.one("pit_power"),
        keen=nature.one("pitting") * np.exp(_PIT_SPREAD * worst),
        rolled=np.array([p.built_mm for p in plates]) * nature.draw("rolled", shape[0]),
        inside=inner * metal * bronze * nature.draw("inside_space", shape[0]),
    )


def painted(vessel: Vessel, dockings: Array, nature: Nature) -> Array:
    """Return when each plate was painted, its building first, infinite: it was not."""
    rng = nature.rng("painted")
    rows = []
    for plate in vessel.plates:
        often = 0.95 if plate.exposure in ("immersed", "splash") else 0.15
        done = rng.random(len(dockings)) < often
        rows.append([vessel.built, *np.where(done, dockings, np.inf)])
    return np.array(rows)
