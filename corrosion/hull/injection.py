"""From a current that enters the steel in one zone to what leaves every zone."""

import numpy as np

from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.hull.network import Transfer
from corrosion.hull.water.water_body import WaterBody
from corrosion.records.ship import Ship


def cable_share(ship: Ship, body: WaterBody) -> Array:
    """Return the share of the ship's cabling in way of each zone.

    Parameters
    ----------
    ship : Ship
    body : WaterBody
        Areas, for zones of which no share is written.

    Returns
    -------
    ndarray, shape (zones,)
        Not negative, summing to 1; blank shares get what the others leave, by area;
        jointed parts carry no cables unless a share is written. Where none is left
        that carries any, the plating does, by area. [-]
    """
    written = np.array(
        [np.nan if z.cable_share is None else z.cable_share for z in ship.zones]
    )
    plating = np.array([z.bond is None for z in ship.zones])
    blank = np.isnan(written)
    if not np.nansum(written) > 0.0 and not (blank & plating).any():
        blank = plating
    by_area = np.where(blank & plating, body.area, 0.0)
    share = np.where(blank, 0.0, np.nan_to_num(written))
    left = max(0.0, 1.0 - share.sum())
    if by_area.sum() > 0.0:
        share = share + left * by_area / by_area.sum()
    return np.asarray(share / share.sum())


def entry_zones(ship: Ship, cables: Array, place: Array) -> IntArray:
    """Return the zone in which each fault's current enters the steel.

    Parameters
    ----------
    ship : Ship
    cables : ndarray, shape (zones,)
        Cable shares. [-]
    place : ndarray, shape (samples, faults)
        Uniform numbers. [-]

    Returns
    -------
    ndarray of int, shape (samples, faults)
        As written; where the fault was not found, a zone drawn by cable share.
    """
    zone = np.searchsorted(np.cumsum(cables), place, side="right")
    zone = np.minimum(zone, len(cables) - 1)
    for k, fault in enumerate(ship.faults):
        if fault.zone is not None:
            zone[:, k] = ship.zone_index(fault.zone)
    return zone.astype(np.int64)


def return_zones(ship: Ship, area: Array, entry: IntArray, draws: Draws) -> IntArray:
    """Return the zone through which each fault's current goes back aboard.

    Parameters
    ----------
    ship : Ship
    area : ndarray, shape (zones,)
        Plate area. [m²]
    entry : ndarray of int, shape (samples, faults)
        Where each current enters the steel.
    draws : Draws
        Random numbers, and the chance that a return clamp sits near the work.

    Returns
    -------
    ndarray of int, shape (samples, faults)
        As written. Of welding of which nothing is written the zone of the work most
        likely, else any plating by area; -1: through the cables of the whole ship.
    """
    back = np.full(entry.shape, -1)
    anywhere = np.cumsum(area * np.array([z.bond is None for z in ship.zones]))
    for k, fault in enumerate(ship.faults):
        if fault.return_zone is not None:
            back[:, k] = ship.zone_index(fault.return_zone)
        elif fault.source == "welding" and anywhere[-1] > 0.0:
            u = draws.block(f"return of {fault.fault}", 2)
            near = u[:, 0] < draws.value("return_near_chance")
            away = np.searchsorted(anywhere / anywhere[-1], u[:, 1], side="right")
            back[:, k] = np.where(near, entry[:, k], away)
    return back.astype(np.int64)


def source_transfer(
    solved: Transfer,
    zone: IntArray,
    ashore: BoolArray,
    cables: Array,
    back: IntArray | None = None,
    switchboard: int | None = None,
) -> Array:
    """Return the current leaving each wetted zone per ampere of each fault.

    Parameters
    ----------
    solved : Transfer
        Of this berth and kind of current.
    zone : ndarray of int, shape (samples, faults)
        Where each current enters the steel.
    ashore : ndarray of bool, shape (faults,)
        Which return ashore; the others return through the cables' capacitance and
        insulation, spread by cable share.
    cables : ndarray, shape (zones,)
        Cable shares. [-]
    back : ndarray of int, shape (samples, faults), optional
        Of :func:`return_zones`; None: all through the cables.
    switchboard : int, optional
        Position of the zone at which detector lamps meet the hull; None: none do.

    Returns
    -------
    ndarray, shape (samples, faults, wetted)
        Positive out of the steel into the water. The lamps' current is part of what
        returns through the cables: it comes behind the faults. [-]
    """
    home = solved.per_ampere_over(cables)[:, None, :]
    lamps = None
    if switchboard is not None:
        board = np.full((len(home), 1), switchboard)
        lamps = solved.per_ampere_at(board) - home
    if back is not None and (back >= 0).any():
        through = solved.per_ampere_at(np.maximum(back, 0))
        home = np.where((back >= 0)[:, :, None], through, home)
    leaving = solved.per_ampere_at(zone)
    if ashore.any():
        leaving += np.where(ashore[:, None], solved.ashore[:, None, :], -home)
    else:
        leaving -= home
    return leaving if lamps is None else np.concatenate([leaving, lamps], axis=1)
