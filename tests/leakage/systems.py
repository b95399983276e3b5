"""Invented systems that the tests of this room share."""

from typing import Final

from corrosion.foundation.assumptions import default_assumptions
from corrosion.leakage.inference.instruments import Instruments
from corrosion.records.ship import LampSet, System

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
