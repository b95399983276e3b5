"""Tests of history.paths.coating_epochs: where the paths are solved anew."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from ships import ZONES, berth, current, ship

from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array
from corrosion.foundation.units import DAY, YEAR
from corrosion.history import integrate, time_steps
from corrosion.history.coating_epochs import coating_epochs
from corrosion.history.inputs import ModelInputs, sample_inputs
from corrosion.history.time_grid import time_grid_of
from corrosion.hull.network import contact_resistance
from corrosion.records.dates import as_written
from corrosion.records.ship import Ship

QUAY = berth(
    "1999",
    "2028",
    "shore earthed",
    earth_cable=0.2,
    shore_earth=1.0,
    earth_couple=0.3,
)


def patchy(seen: str) -> Ship:
    """A ship of which one zone is bare by a fifth and the others by 0.2 %."""
    zones = tuple(
        replace(
            zone,
            bare=0.2 if k == 2 else 0.002,
            bare_seen=as_written(seen),
            painted=as_written("2004-05"),
        )
        for k, zone in enumerate(ZONES)
    )
    leak = current("X", "2012-01-01", "2012-03-01", 2.0, zone="FP")
    return ship(zones=zones, berths=(QUAY,), faults=(leak,))


def inputs_of(one: Ship, samples: int = 32) -> ModelInputs:
    grid = time_grid_of(one, date(2026, 6, 1))
    return sample_inputs(one, Draws(samples, 1, one.assumptions), grid)


@pytest.mark.parametrize("seen", ["2005-06-01", "2020-06-01"])
def test_no_contact_changes_by_more_than_a_factor_between_edges(seen: str) -> None:
    inputs = inputs_of(patchy(seen))
    edges = coating_epochs(inputs)
    wet, paths = inputs.hull.body.zones, inputs.paths

    def contact(moment: float) -> Array:
        bare = inputs.zones.bare(moment, slice(None))[:, wet]
        ohms = contact_resistance(
            bare, inputs.hull.contact_area, paths.interface, paths.coating
        )
        return np.asarray(np.median(ohms, axis=0))

    ends = np.append(edges[1:], inputs.time_grid.moments[-1])
    for start, end in zip(edges, ends, strict=True):
        ratio = contact(start + 1.0) / contact(end - 1.0)
        quarter = contact(end - 0.25 * YEAR) / contact(end - 1.0)
        assert np.abs(np.log(ratio)).max() < np.log(2.0) + np.abs(np.log(quarter)).max()


def test_looks_dockings_and_paintings_that_change_paint_are_edges_within_a_month() -> (
    None
):
    one = replace(patchy("2020-06-01"), last_docking=as_written("2010-03-01"))
    edges = coating_epochs(inputs_of(one))
    for text in ("2004-05", "2010-03-01", "2020-06-01", "2026-06-01"):
        after = as_written(text).middle + DAY - edges
        assert after[after > 0.0].min() <= 31 * DAY, text


def test_paint_seen_better_is_an_edge_and_does_not_keep_the_old_paths() -> None:
    one = patchy("2015-01-01")
    edges = coating_epochs(inputs_of(one))
    assert np.isin(as_written("2015-01-01").middle, edges)


@pytest.mark.parametrize("seen", ["2005-06-01", "2020-06-01"])
def test_a_fine_cut_moves_no_zone_by_two_per_cent(
    seen: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    inputs = inputs_of(patchy(seen))
    (coarse,) = integrate.integrate_history(
        [time_steps.Scenario(inputs, inputs.faults.spans)]
    )
    edges = coating_epochs(inputs)
    fine = np.arange(edges[0], inputs.time_grid.moments[-1], 0.5 * YEAR)
    every = np.union1d(edges, fine)
    monkeypatch.setattr(time_steps, "coating_epochs", lambda _: every)
    (fine_cut,) = integrate.integrate_history(
        [time_steps.Scenario(inputs, inputs.faults.spans)]
    )
    one, two = (h.stray_kg.mean(axis=0) for h in (coarse, fine_cut))
    assert one[two > 0.0] == pytest.approx(two[two > 0.0], rel=0.02)
