"""What is not known for certain about the zones, a sample a row."""

from dataclasses import dataclass, replace

import numpy as np

from corrosion.foundation import assumptions
from corrosion.foundation.sampling import Draws, lognormal
from corrosion.foundation.types import Array, BoolArray
from corrosion.foundation.units import MM, YEAR
from corrosion.records.ship import Ship
from corrosion.wastage.coating import coating_breakdown

__all__ = ["ZoneUnknowns", "draw_zones"]

_SHELL = ("immersed", "tidal", "splash")  # the other face looks into the ship


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneUnknowns:
    """Samples of what decides how fast each zone is lost.

    Attributes
    ----------
    fraction : ndarray, shape (samples,)
        Share of an alternating current of mains frequency that dissolves steel. [-]
    natural_ship : ndarray, shape (samples,)
        The ship's natural loss over the tabulated one. [-]
    natural : ndarray, shape (samples, zones)
        Each zone's natural loss over the tabulated one. [-]
    inner : ndarray, shape (samples, zones)
        Loss of the shell's inner face. [m/s]
    seen : ndarray, shape (samples, zones)
        Bare share when it was seen; NaN where it never was. [-]
    seen_at, painted : ndarray, shape (zones,)
        When it was seen, and when the zone was last painted; NaN: not known. [s]
    renewed : ndarray, shape (zones,)
        When it is supposed to have been painted as well; NaN: never. [s]
    initial : ndarray, shape (samples, 1)
        Bare share of new paint. [-]
    rate : ndarray, shape (samples, 1)
        Growth of the bare share. [1/s]
    repaint : float
        How often she was painted before that. [s]
    rolled : ndarray, shape (samples, zones)
        Thickness as rolled over thickness as ordered. [-]
    pitting, deepest : ndarray, shape (samples, zones)
        Pitting factor, and the uniform number of the deepest pit. [-]
    departure : ndarray, shape (samples, zones)
        Standard normal number of each zone's departure from the model. [-]
    """

    fraction: Array
    natural_ship: Array
    natural: Array
    inner: Array
    seen: Array
    seen_at: Array
    painted: Array
    renewed: Array
    initial: Array
    rate: Array
    repaint: float
    rolled: Array
    pitting: Array
    deepest: Array
    departure: Array

    def bare(self, moment: float, rows: slice) -> Array:
        """Return the bare share of each zone at a moment, shape (samples, zones)."""

        def share(seen: Array, painted: Array) -> Array:
            return coating_breakdown(
                moment,
                bare_seen_share=seen,
                seen_moment=self.seen_at,
                painted=painted,
                initial=self.initial[rows],
                rate=self.rate[rows],
                interval=self.repaint,
            )

        seen = self.seen[rows]
        as_it_was = share(seen, self.painted)
        if np.isnan(self.renewed).all():
            return as_it_was
        over = (self.painted >= self.renewed) & (moment >= self.painted)
        fresh = (moment >= self.renewed) & ~over
        return np.where(fresh, share(seen * np.nan, self.renewed), as_it_was)

    def bare_since(self, moment: float) -> BoolArray:
        """Return which zones have a painting behind them, or none ever, (zones,).

        Where none is known, steel has been bare since she was built.
        """
        return ~(moment < self.painted) | (moment >= self.renewed)

    def with_paint(self, zone: int, moment: float) -> "ZoneUnknowns":
        """Return the same, with a zone painted at a moment as well."""
        renewed = self.renewed.copy()
        renewed[zone] = moment
        return replace(self, renewed=renewed)

    @property
    def paintings(self) -> Array:
        """All moments at which zones were painted, shape (2, zones); NaN: never [s]."""
        return np.stack([self.painted, self.renewed])


def draw_zones(ship: Ship, draws: Draws) -> ZoneUnknowns:
    """Return samples of what is not known about the zones."""
    from scipy.special import ndtri  # noqa: PLC0415 - importing corrosion stays light

    common = draws.block("wastage", 4)
    u = np.empty((draws.samples, len(ship.zones), 7))
    for k, zone in enumerate(ship.zones):
        u[:, k] = draws.block(f"zone {zone.zone}", 7)
    natural_ship = lognormal("natural_factor", common[:, 1])
    seen = np.array([np.nan if z.bare is None else z.bare for z in ship.zones])
    docked = ship.last_docking
    painted = [z.painted or docked for z in ship.zones]
    looked = [z.bare_seen for z in ship.zones]
    return ZoneUnknowns(
        fraction=lognormal("ac_dissolving_fraction", common[:, 0]),
        natural_ship=natural_ship,
        natural=natural_ship[:, None] * lognormal("natural_factor_zone", u[:, :, 0]),
        inner=lognormal("inner_loss_mm_per_year", u[:, :, 6])
        * np.array([z.exposure in _SHELL for z in ship.zones])
        * (MM / YEAR),
        seen=np.clip(seen * lognormal("bare_factor", u[:, :, 1]), 0.0, 1.0),
        seen_at=np.array([np.nan if w is None else w.middle for w in looked]),
        painted=np.array([np.nan if w is None else w.middle for w in painted]),
        renewed=np.full(len(ship.zones), np.nan),
        initial=lognormal("coating_initial_share", common[:, 2])[:, None],
        rate=lognormal("coating_rate_per_year", common[:, 3])[:, None] / YEAR,
        repaint=assumptions.value("repaint_interval_years") * YEAR,
        rolled=lognormal("rolling_factor", u[:, :, 2]),
        pitting=lognormal("pitting_factor", u[:, :, 3]),
        deepest=u[:, :, 4],
        departure=ndtri(u[:, :, 5]),
    )
