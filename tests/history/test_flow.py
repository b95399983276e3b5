"""Tests of the water's flow at a berth: interface and own metals under way."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from ships import ZONES, berth, ship

from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.sampling import Draws
from corrosion.history.coating_epochs import coating_epochs
from corrosion.history.inputs import sample_inputs
from corrosion.history.natural_rate import flow_factor
from corrosion.history.paths import CurrentPaths
from corrosion.history.time_grid import time_grid_of

BRONZE = tuple(
    replace(z, metal="nickel-aluminium bronze", bare=1.0) if z.zone == "RUD" else z
    for z in ZONES
)
AWAY = berth("2005", "2015", lies="under way", under_way=0.5)
HOME = berth("2015", "2028")


def test_under_way_the_interface_resists_less_and_own_metals_do_more() -> None:
    one = ship(zones=BRONZE, berths=(AWAY, HOME))
    draws = Draws(64, 1, default_assumptions())
    inputs = sample_inputs(one, draws, time_grid_of(one, date(2026, 6, 1)))
    rows = slice(None)
    paths = CurrentPaths(inputs, rows, coating_epochs(inputs))
    paths.turn_to(inputs.time_grid.start, inputs.time_grid.start + 1e6)
    away, home = (
        next(k for k, p in enumerate(inputs.periods) if p.berth is at)
        for at in (AWAY, HOME)
    )
    factor = flow_factor(inputs, AWAY, rows)
    assert np.median(factor) == pytest.approx(1.0 + 0.5 * 2.7, rel=0.05)
    # a written share counts however she lies afloat
    assert (flow_factor(inputs, replace(HOME, under_way=0.5), rows) == factor).all()
    for still in (HOME, replace(AWAY, lies="dock"), replace(AWAY, lies="aground")):
        assert (flow_factor(inputs, still, rows) == 1.0).all()
    interface = inputs.paths.interface
    assert paths.in_flow(home).interface == pytest.approx(interface)
    assert paths.in_flow(away).interface == pytest.approx(interface / factor)
    steel = [one.zones[k].metal == "steel" for k in paths.wet]
    moving, still = (paths.own_metals(k)[:, steel].mean() for k in (away, home))
    assert moving > 1.3 * still
    # alternating current meets the double layer, which no flow changes
    assert paths.contact(away, 60.0, paths.paint) == pytest.approx(
        paths.contact(home, 60.0, paths.paint)
    )
