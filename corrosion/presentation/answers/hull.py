"""The hull as the model sees it, and what crosses the water at each berth.

One computation behind ``corrosion hull`` and the dashboard's page.
"""

from datetime import date
from typing import Any

import numpy as np

from corrosion.estimate import estimate
from corrosion.foundation.defaults import SAMPLES
from corrosion.foundation.json_values import json_value, summary
from corrosion.foundation.kept_objects import kept
from corrosion.foundation.sampling import Draws
from corrosion.history.inputs import ModelInputs
from corrosion.history.kept_history import kept_inputs
from corrosion.history.linearity_report import linearity_error
from corrosion.history.protected_paths import paths_at
from corrosion.history.time_grid import time_grid_of
from corrosion.hull.injection import source_transfer
from corrosion.presentation.answers.dangers import dangers_on
from corrosion.presentation.answers.shore_clamp import clamp_result
from corrosion.records.as_of import records_as_of, without_gaugings
from corrosion.records.ship import Berth, Ship


def hull_result(
    ship: Ship, *, samples: int = SAMPLES, seed: int = 1, as_of: date | None = None
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
        berth; None for one that begins after the horizon. ``anodes``: as the estimate
        gives them; None: she has none. Where anodes act, shares are those among
        them as new or as last seen, and the couple leaves by both. ``clamp``: as
        :func:`~corrosion.presentation.answers.shore_clamp.clamp_result`.
    """
    day = as_of or date.today()  # noqa: DTZ011 - ship's time carries no zone
    known, _ = records_as_of(ship, day)
    time_grid = time_grid_of(known, day)
    draws = Draws(samples, seed, known.assumptions)
    inputs = kept_inputs(known, draws, time_grid, {})
    berths = kept(
        ("berths", without_gaugings(known), draws, time_grid),
        lambda: [_berth(inputs, berth) for berth in known.berths],
        large=True,
    )
    bare = inputs.zones.bare(time_grid.as_of, slice(None))
    body = inputs.hull.body
    return {
        "ship": known.name,
        "as_of": day.isoformat(),
        "samples": samples,
        "seed": seed,
        "dangers": dangers_on(ship, day, samples=samples, seed=seed),
        "displacement_m3": body.displacement,
        "wetted_m2": body.wetted,
        "resistance_to_remote_ohm": body.remote,
        "zones": [
            {
                "zone": zone.zone,
                "area_m2": json_value(body.area[k]),
                "bare_m2": json_value(bare[:, k].mean() * body.area[k]),
            }
            for k, zone in enumerate(known.zones)
        ],
        "berths": berths,
        # the estimate consumes them through time
        "anodes": estimate(ship, samples=samples, seed=seed, as_of=day).anodes
        if known.anodes
        else None,
    }


def _berth(inputs: ModelInputs, berth: Berth) -> dict[str, Any]:
    routes = paths_at(inputs, berth, inputs.time_grid.as_of)
    solved = routes.solved(0, 0.0)
    count = len(inputs.ship.zones)
    everywhere = np.tile(np.arange(count), (inputs.draws.samples, 1))
    ashore = np.full(count, berth.supply == "shore earthed")
    leaving = source_transfer(solved, everywhere, ashore, inputs.cables)
    share = np.minimum(np.maximum(leaving, 0.0).sum(axis=2), 1.0).mean(axis=0)
    amps = routes.couple_amps(0)
    errors = [
        linearity_error(inputs, lain)
        for lain in inputs.periods
        if lain.berth is berth and berth.afloat
    ]
    return {
        "berth": berth.berth,
        "from": berth.start and berth.start.text,
        "to": berth.end and berth.end.text,
        "supply": berth.supply,
        "water_share": {
            zone.zone: json_value(share[k]) for k, zone in enumerate(inputs.ship.zones)
        },
        "couple_amps": summary(amps),
        "linear_error": json_value(max(errors)) if errors else None,
        "clamp": clamp_result(inputs, berth, amps, routes),
    }
