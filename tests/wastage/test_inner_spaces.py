"""Inner faces and inner spaces: what is hollow, and what no docking paints."""

from dataclasses import replace
from datetime import date

import pytest
from ships import ZONES, ship

from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.sampling import Draws
from corrosion.history.inputs import sample_inputs
from corrosion.history.integrate import integrate_history
from corrosion.history.time_grid import time_grid_of
from corrosion.history.time_steps import Scenario
from corrosion.records.dates import as_written
from corrosion.records.kinds import Exposure
from corrosion.records.ship import Work
from corrosion.wastage.uncertain import draw_zones


def test_a_part_behind_a_joint_is_hollow_where_its_inside_is_written() -> None:
    plain = replace(ZONES[0], zone="R", bond=0.01, bonded_to=ZONES[1].zone)
    plain = replace(plain, inside=None)
    for inside, hollow in ((None, False), ("dry", True)):
        zones = (*ZONES[1:], replace(plain, inside=inside))  # type: ignore[arg-type]
        one = ship(zones=zones)
        drawn = draw_zones(one, Draws(16, 1, default_assumptions()))
        assert (drawn.inner[:, -1] > 0.0).all() == hollow
        shell = drawn.inner[:, :-1]
        assert (shell > 0.0).any()


@pytest.mark.parametrize(("exposure", "every"), [("bilge", 20), ("immersed", 5)])
def test_unwritten_paintings_cost_what_written_ones_do(
    exposure: Exposure, every: int
) -> None:
    unseen = [replace(z, bare=None, bare_seen=None, painted=None) for z in ZONES]
    unseen[0] = replace(unseen[0], exposure=exposure, inside=None)
    one = ship(built=as_written("1940-01"), zones=tuple(unseen), last_docking=None)
    name = one.zones[0].zone
    dates = [as_written(f"{year}-01") for year in range(1940 + every, 2001, every)]
    works = tuple(Work(date=date, zone=name, work="painted") for date in dates)
    lost = []
    for done in ((), works):
        known = replace(one, works=done)
        draws = Draws(256, 1, default_assumptions())
        inputs = sample_inputs(known, draws, time_grid_of(known, date(2000, 1, 1)))
        (history,) = integrate_history([Scenario(inputs, inputs.faults.spans)])
        lost.append(float(history.natural_sea_kg[:, 0].mean()))
    assert lost[0] == pytest.approx(lost[1], rel=0.06)
