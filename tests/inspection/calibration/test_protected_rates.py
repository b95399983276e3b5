"""What is known of the rates of protected plates before any gauging."""

from dataclasses import replace
from datetime import date

import numpy as np
from ships import ZONES, ship

from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array
from corrosion.history.inputs import sample_inputs
from corrosion.history.integrate import integrate_history
from corrosion.history.time_grid import time_grid_of
from corrosion.history.time_steps import Scenario
from corrosion.inspection.calibration.exposure import exposure
from corrosion.inspection.calibration.measurements import knots


def spread(protection: float) -> Array:
    """Return the deviation of the logarithm of each shell zone's rate, by A/m²."""
    zones = tuple(replace(zone, protection=protection) for zone in ZONES)
    one = ship(zones=zones)
    draws = Draws(256, 1, default_assumptions())
    inputs = sample_inputs(one, draws, time_grid_of(one, date(2026, 1, 1)))
    (history,) = integrate_history([Scenario(inputs, inputs.faults.spans)])
    edges, _ = knots(None, inputs.time_grid.start, float(history.moments[-1]))
    prior = exposure(inputs, history, edges, None).prior
    whole = np.hypot(prior.zone, np.sqrt((prior.shared**2).sum(axis=0)))
    shell = [z.exposure == "immersed" and z.metal == "steel" for z in zones]
    return np.asarray(whole[shell])


def test_protection_widens_no_rate() -> None:
    """What it leaves of the loss scatters by tens; the rate itself does not."""
    bare, protected = spread(0.0), spread(0.08)
    assert (bare < 1.2).all()
    assert np.abs(protected / bare - 1.0).max() < 0.05
