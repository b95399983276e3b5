"""Invented systems that the tests of this room share."""

from typing import Final

import numpy as np

from corrosion.foundation.assumptions import default_assumptions
from corrosion.leakage.dated_states import FoundIn, dated_states
from corrosion.leakage.inference.instruments import Instruments
from corrosion.records.ship import LampSet, Ship, System

POWER: Final = System(
    name="power",
    kind="ac3",
    volts=440.0,
    hertz=60.0,
    capacitance=1.4e-6,
    insulation=4e5,
    lamps=LampSet(volts=127.0, watts=15.0, ratio=2.0),
)

TOOLS: Final = Instruments.of(default_assumptions())


def found_in_first(ship: Ship, samples: int) -> FoundIn:
    """Return that each ground fault was found in the first part of its date."""
    parts = [
        dated_states(ship, each, ship.system(each.system or ""))
        if each.source == "ground fault"
        else []
        for each in ship.faults
    ]
    return FoundIn(parts, np.zeros((samples, len(parts)), dtype=np.int64))
