"""What is drawn, and the loss by the records alone: kept, and no gauging counts.

A gauging moves samples of what the records say (:mod:`corrosion.inspection`), so that
a new one needs no new integration.
"""

from collections.abc import Callable, Mapping

from corrosion.foundation.kept_objects import kept
from corrosion.foundation.sampling import Draws
from corrosion.history.inputs import ModelInputs, sample_inputs
from corrosion.history.integrate import integrate_history
from corrosion.history.loss import LossHistory
from corrosion.history.time_grid import TimeGrid
from corrosion.history.time_steps import Scenario
from corrosion.leakage.dated_states import AFLOAT
from corrosion.leakage.logged_currents import LoggedHours
from corrosion.records.as_of import without_gaugings
from corrosion.records.ship import Ship


def kept_inputs(
    ship: Ship, draws: Draws, time_grid: TimeGrid, logged: Mapping[str, LoggedHours]
) -> ModelInputs:
    """Return all that is drawn of a ship, kept or drawn now.

    Parameters
    ----------
    ship, draws, time_grid, logged
        As :func:`sample_inputs` takes them.

    Returns
    -------
    ModelInputs
        The same to the bit either way, of this ship with her gaugings.
    """
    return kept(
        ("inputs", without_gaugings(ship), draws, time_grid, logged),
        lambda: sample_inputs(ship, draws, time_grid, logged),
        known=(ship, *ship.berths, AFLOAT, draws, draws.assumptions, time_grid),
        large=True,
        lines=True,
    )


def kept_history(
    inputs: ModelInputs,
    logged: Mapping[str, LoggedHours],
    on_progress: Callable[[float], None] | None = None,
) -> LossHistory:
    """Return the loss of a ship by her records alone, kept or integrated now.

    Parameters
    ----------
    inputs : ModelInputs
        The ship with everything drawn.
    logged : mapping of str to LoggedHours
        What logs measured, from which the inputs were drawn.
    on_progress : callable, optional
        As :func:`integrate_history` takes it.

    Returns
    -------
    LossHistory
        The same to the bit either way, and the same warnings.
    """

    def compute() -> LossHistory:
        scenario = Scenario(inputs, inputs.faults.spans)
        (found,) = integrate_history([scenario], on_progress=on_progress)
        return found

    key = (without_gaugings(inputs.ship), inputs.draws, inputs.time_grid, logged)
    return kept(("history", *key), compute, large=True)
