"""The hull as the model sees it, and what crosses the water at each berth.

One computation behind ``corrosion hull`` and the dashboard's page.
"""

from datetime import date
from typing import Any

import numpy as np

from corrosion.estimate import restated, set_clock
from corrosion.foundation.sampling import Draws
from corrosion.foundation.statistics import summarise
from corrosion.foundation.types import Array
from corrosion.history.inputs import Case, prepare
from corrosion.history.linearity_report import bend_at
from corrosion.hull.injection import source_transfer
from corrosion.hull.water_currents import (
    Transfer,
    contact_resistance,
    network,
    shore_loop,
    transfer,
)
from corrosion.records.as_of import known_by
from corrosion.records.ship import Berth, Ship
from corrosion.results import STATISTICS, plain

__all__ = ["berth_transfer", "crossing"]


def crossing(
    ship: Ship, *, samples: int = 4096, seed: int = 1, as_of: date | None = None
) -> dict[str, Any]:
    """Return the hull, and the share of an injected ampere that crosses the water.

    Parameters
    ----------
    ship : Ship
        The ship.
    samples, seed, as_of
        As for :func:`corrosion.estimate`.

    Returns
    -------
    dict
        The JSON object of ``corrosion hull``: direct current, coating as it is at the
        date, each share a mean of the samples; an injected ampere returns as the
        berth says, ashore on an earthed shore supply, else through the cables.
        ``linear_error`` is the part of the largest zone current by which the linear
        interface misses any zone's, at most, at the direct currents that stood at a
        berth; None for one that begins after the horizon.
    """
    day = as_of or date.today()  # noqa: DTZ011 - ship's time carries no zone
    known, _ = known_by(ship, day)
    with restated(known):
        clock = set_clock(known, day)
        case = prepare(known, Draws(samples, seed), clock)
        bare = case.zones.bare(clock.as_of, slice(None))
        body = case.hull.body
        return {
            "ship": known.name,
            "as_of": day.isoformat(),
            "samples": samples,
            "seed": seed,
            "displacement_m3": body.displacement,
            "wetted_m2": body.wetted,
            "resistance_to_remote_ohm": body.remote,
            "zones": [
                {
                    "zone": zone.zone,
                    "area_m2": plain(body.area[k]),
                    "bare_m2": plain(bare[:, k].mean() * body.area[k]),
                }
                for k, zone in enumerate(known.zones)
            ],
            "berths": [_berth(case, berth, bare) for berth in known.berths],
        }


def berth_transfer(case: Case, berth: Berth, bare: Array) -> Transfer:
    """Return the direct-current transfer at a berth, for a coating.

    Parameters
    ----------
    case : Case
        The ship with everything drawn.
    berth : Berth
        How she lies.
    bare : ndarray, shape (samples, zones)
        Bare share. [-]

    Returns
    -------
    Transfer
        A sample a row.
    """
    wet, unknowns = case.hull.body.zones, case.paths
    contact = contact_resistance(
        bare[:, wet], case.hull.contact_area, unknowns.interface, unknowns.coating
    )
    loop = shore_loop(case.hull, berth, unknowns, hertz=0.0)
    return transfer(network(case.hull, contact, structure=unknowns.structure), loop)


def _berth(case: Case, berth: Berth, bare: Array) -> dict[str, Any]:
    solved = berth_transfer(case, berth, bare)
    count = len(case.ship.zones)
    everywhere = np.tile(np.arange(count), (len(bare), 1))
    ashore = np.full(count, berth.supply == "shore earthed")
    leaving = source_transfer(solved, everywhere, ashore, case.cables)
    share = np.minimum(np.maximum(leaving, 0.0).sum(axis=2), 1.0).mean(axis=0)
    couple = summarise(solved.couple.sum(axis=1))
    errors = [
        bend_at(case, lain).error
        for lain in case.periods
        if lain.berth is berth and berth.afloat
    ]
    return {
        "berth": berth.berth,
        "from": berth.start and berth.start.text,
        "to": berth.end and berth.end.text,
        "supply": berth.supply,
        "water_share": {
            zone.zone: plain(share[k]) for k, zone in enumerate(case.ship.zones)
        },
        "couple_amps": {name: plain(couple[name]) for name in STATISTICS},
        "linear_error": plain(max(errors)) if errors else None,
    }
