"""The loss by the records alone, kept by all that it depends on: no gauging does.

A gauging moves samples of what the records say (:mod:`corrosion.inspection`), so that
a new one needs no new integration.
"""

import warnings
from collections.abc import Callable, Mapping
from dataclasses import fields, replace
from typing import Any

from corrosion.foundation.cache import remembered, words_as_array, words_of
from corrosion.foundation.errors import ValidityWarning
from corrosion.foundation.types import Array
from corrosion.history.inputs import ModelInputs
from corrosion.history.integrate import integrate_history
from corrosion.history.loss import LossHistory
from corrosion.history.time_steps import Scenario
from corrosion.leakage.logged_currents import LoggedHours
from corrosion.records.hunts import Hunt
from corrosion.records.ship import Display, Prices, Ship

_WARNINGS = "warnings"


def without_gaugings(ship: Ship) -> Ship:
    """Return a ship without what decides nothing of her loss by the records alone."""
    nothing: tuple[Hunt, ...] = ()
    return replace(
        ship,
        gaugings=(),
        hunts=nothing,
        prices=Prices(),
        display=Display(),
        doubts=(),
        folder=None,
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
    names = [one.name for one in fields(LossHistory) if one.name != "causes"]

    def compute() -> dict[str, Array]:
        scenario = Scenario(inputs, inputs.faults.spans)
        with warnings.catch_warnings(record=True) as caught:
            warnings.simplefilter("always", ValidityWarning)
            (found,) = integrate_history([scenario], on_progress=on_progress)
        arrays = {name: getattr(found, name) for name in names}
        return arrays | {_WARNINGS: words_as_array(str(one.message) for one in caught)}

    key = (without_gaugings(inputs.ship), inputs.draws, inputs.time_grid, logged)
    kept = remembered(("history", *key), compute, large=True)
    for words in words_of(kept[_WARNINGS]):
        warnings.warn(words, ValidityWarning, stacklevel=2)
    if on_progress is not None:
        on_progress(1.0)
    arrays: dict[str, Any] = {name: kept[name] for name in names}
    return LossHistory(**arrays)
