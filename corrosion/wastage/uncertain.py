"""What is not known for certain about the zones, a sample a row."""

from dataclasses import dataclass, replace

import numpy as np

from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array
from corrosion.foundation.units import MM, YEAR
from corrosion.records.ship import WETTED, Ship, Work, Zone
from corrosion.wastage.coating import CoatingLaw
from corrosion.wastage.metals import METALS, metal
from corrosion.wastage.paint import PaintHistory
from corrosion.wastage.works import PlateWork, plate_works
from corrosion.wastage.yard_looks import with_looks

_SHELL = ("immersed", "tidal", "splash")  # the other face looks into the ship
_RUSTING = ("steel", "cast iron")
_WHOLE = 0.99  # of a zone: all of it, as one writes it
_PASSIVE = 0.01  # of steel's natural loss: no metal pits more for less than that
_PAINT = ("painted", "renewed")  # works that leave new paint


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneUnknowns:
    """Samples of what decides how fast each zone is lost.

    Arrays are of shape (samples, zones) where no other is said.
    """

    # share of an alternating current of mains frequency that dissolves
    # the zone's metal [-]
    fraction: Array
    # ac_normal, natural_normal: shape (samples,): standard normal numbers of that share
    # and of the ship's natural loss, the same for all zones and berths [-]
    ac_normal: Array
    natural_normal: Array
    # shape (samples,): power of the frequency with which the share falls [-]
    ac_exponent: Array
    natural: Array  # each zone's natural loss over the ship's [-]
    # under_way, aground: shape (samples,): natural loss under way and aground over that
    # afloat at rest [-]
    under_way: Array
    aground: Array
    inner: Array  # loss of the shell's inner face [m/s]
    paint: PaintHistory  # when each zone was painted, and how its paint breaks down
    works: tuple[PlateWork, ...]  # what was done to plates and pits
    rolled: Array  # thickness as rolled over thickness as ordered [-]
    # pitting, deepest: pitting factor, and the uniform number of the deepest pit [-]
    pitting: Array
    deepest: Array
    # shape (zones,): loss of bare steel at which that factor holds: of other metals
    # what they lose as steel loses so much [m]
    pit_reference: Array
    # depth of the deepest pit that a yard leaves where it welds pits [m]
    pit_left: Array
    # pit_paint, pit_place: readiness of paint to fail over an old pit over that of the
    # zone, and the uniform number of the pit's place in the order in
    # which paint fails [-]
    pit_paint: Array
    pit_place: Array
    # standard normal number of each zone's departure from the model [-]
    departure: Array

    def bare(self, moment: float, rows: slice) -> Array:
        """Return the bare share of each zone at a moment, shape (samples, zones)."""
        return self.paint.at(moment, rows).bare

    def with_paint(self, zone: int, moment: float) -> "ZoneUnknowns":
        """Return the same, with a zone painted at a moment as well."""
        return replace(self, paint=self.paint.with_paint(zone, moment))


def draw_zones(ship: Ship, draws: Draws, as_of: float = np.inf) -> ZoneUnknowns:
    """Return samples of what is not known about the zones.

    Parameters
    ----------
    ship : Ship
        The ship.
    draws : Draws
        The random numbers.
    as_of : float, optional
        Later paintings are plans, which say nothing of the paint before. [s]

    Returns
    -------
    ZoneUnknowns
        The samples.
    """
    from scipy.special import ndtri  # noqa: PLC0415 - importing corrosion stays light

    common = draws.block("wastage", 8)
    u = np.empty((draws.samples, len(ship.zones), 9))
    for k, zone in enumerate(ship.zones):
        u[:, k] = draws.block(f"zone {zone.zone}", 9)
    eye = draws.lognormal("bare_factor", common[:, 4])[:, None]
    seen = np.array([np.nan if z.bare is None else z.bare for z in ship.zones])
    seen = seen * eye * draws.lognormal("bare_factor_zone", u[:, :, 1])
    fraction, natural, inner = (np.empty(u.shape[:2]) for _ in range(3))
    for k, zone in enumerate(ship.zones):
        fraction[:, k] = draws.lognormal(_ac_row(zone.metal), common[:, 0])
        natural[:, k] = draws.lognormal(_natural_row(zone), u[:, k, 0])
        inner[:, k] = _inside(zone, draws, u[:, k, 6])
    paint = _paint(ship, draws, np.clip(seen, 0.0, 1.0), common, as_of)
    yards = draws.block("pits left by yards", len(ship.zones))
    built = np.array([zone.built for zone in ship.zones])
    # what thins less than steel pits more: a plate that loses a part of what steel does
    # has pits as steel had them when it had lost so little
    ratio = np.array([metal(zone.metal).natural_ratio for zone in ship.zones])
    slower = np.clip(ratio, _PASSIVE, 1.0)
    return ZoneUnknowns(
        fraction=fraction,
        ac_normal=ndtri(common[:, 0]),
        natural_normal=ndtri(common[:, 1]),
        ac_exponent=draws.lognormal("ac_frequency_exponent", common[:, 5]),
        natural=natural,
        under_way=draws.lognormal("under_way_factor", common[:, 6]),
        aground=draws.lognormal("aground_factor", common[:, 7]),
        inner=inner,
        paint=paint,
        works=with_looks(plate_works(ship), paint, as_of),
        rolled=draws.lognormal("rolling_factor", u[:, :, 2]),
        pitting=draws.lognormal("pitting_factor", u[:, :, 3])
        * slower ** (draws.value("pit_depth_power") - 1.0),
        deepest=u[:, :, 4],
        pit_reference=slower * draws.value("pit_reference_mm") * MM,
        pit_left=draws.lognormal("pit_repaired_share", yards) * built,
        pit_paint=draws.lognormal("pit_paint_factor", u[:, :, 7]),
        pit_place=u[:, :, 8],
        departure=ndtri(u[:, :, 5]),
    )


def _ac_row(name: str) -> str:
    """Return the assumption that says how much of a metal alternating current takes."""
    elements = {element for element, *_ in METALS[name].composition}
    if "Fe" in elements and not elements & {"Cu", "Al"}:
        return "ac_dissolving_fraction"
    if elements & {"Cu", "Pb"}:
        return "ac_fraction_copper_alloy"
    return "ac_fraction_aluminium" if "Al" in elements else "ac_fraction_zinc"


def _natural_row(zone: Zone) -> str:
    varied = zone.exposure in ("tidal", "splash")
    return "natural_factor_tidal" if varied else "natural_factor_zone"


def _inside(zone: Zone, draws: Draws, uniform: Array) -> Array:
    """Return how fast the inner face is lost, (samples,) [m/s]."""
    solid = zone.bond is not None and zone.inside is None  # a part, not known as hollow
    if zone.exposure not in _SHELL or solid:
        return np.zeros_like(uniform)
    place = draws.assumptions[f"inside_{zone.inside or 'unlisted'}_mm"]
    share = draws.assumptions["inside_bare_share"]
    spread = place.geometric_sd
    median = place.median * (zone.inside_bare if zone.inside_bare is not None else 1.0)
    if zone.inside_bare is None:  # both unknown: one product of two lognormals
        median *= share.median
        spread = float(
            np.exp(np.hypot(np.log(place.geometric_sd), np.log(share.geometric_sd)))
        )
    from scipy.special import ndtri  # noqa: PLC0415 - importing corrosion stays light

    rate = median * np.exp(np.log(spread) * ndtri(uniform))
    ratio = metal(zone.metal).natural_ratio  # the table is of steel
    return np.asarray(np.minimum(rate, place.high) * ratio * (MM / YEAR))


def _paint(
    ship: Ship, draws: Draws, seen: Array, common: Array, as_of: float
) -> PaintHistory:
    """Return the paintings of every zone: written, docked, and by works."""
    events = [_paintings(ship, zone, as_of) for zone in ship.zones]
    most = max(1, *map(len, events))  # an infinite date is no painting
    table = np.full((3, most, len(ship.zones)), np.nan)
    table[0], table[1] = np.inf, 1.0
    for k, mine in enumerate(events):
        for row, event in enumerate(mine):
            table[:, row, k] = event
    looked = [z.bare_seen for z in ship.zones]
    return PaintHistory(
        law=CoatingLaw(
            initial=draws.lognormal("coating_initial_share", common[:, 2])[:, None],
            life=draws.lognormal("coating_life_years", common[:, 3])[:, None] * YEAR,
            exponent=draws.value("coating_exponent"),
            least=draws.value("bare_least_share"),
        ),
        dates=table[0],
        shares=table[1],
        left=table[2],
        supposed=np.zeros(table[2].shape, dtype=np.bool_),
        seen=seen,
        seen_at=np.array([np.nan if w is None else w.middle for w in looked]),
        never=np.array(
            [
                _unpainted(zone, painted=any(date <= as_of for date, *_ in mine))
                for mine, zone in zip(events, ship.zones, strict=True)
            ],
            dtype=np.bool_,
        ),
        built=ship.built.middle,
        interval=np.array(
            [
                draws.value(
                    "repaint_interval_years"
                    if zone.exposure in _SHELL
                    else "repaint_interval_inside_years"
                )
                * YEAR
                for zone in ship.zones
            ]
        ),
    )


def _unpainted(zone: Zone, *, painted: bool) -> bool:
    """Return whether a zone has no paint at all.

    Nothing stays on copper alloys for long: a propeller that went through a paint shop
    is bare after the first turns, unless somebody saw less of it bare.
    """
    if zone.metal in _RUSTING:
        return False
    copper = any(element == "Cu" for element, *_ in METALS[zone.metal].composition)
    whole = zone.bare is None or zone.bare > _WHOLE
    return whole and (copper or (zone.bare is None and not painted))


def _paintings(
    ship: Ship, zone: Zone, as_of: float
) -> list[tuple[float, float, float]]:
    """Return date [s], share covered and share left bare of each written painting."""
    found = [_event(work) for work in ship.works if work.covers(zone)]
    mine = [event for event in found if event is not None]
    docked = ship.last_docking if zone.exposure in WETTED else None
    when = zone.painted or (docked if zone.metal in _RUSTING else None)
    if when is not None:
        done = [date for date, *_ in mine if date <= as_of]
        if not any(abs(date - when.middle) < YEAR for date in done):
            mine.append((when.middle, 1.0, np.nan))
    return sorted(mine)


def _event(work: Work) -> tuple[float, float, float] | None:
    if work.work not in _PAINT:
        return None
    left = np.nan if work.bare is None else work.bare
    return work.date.middle, work.share, left
