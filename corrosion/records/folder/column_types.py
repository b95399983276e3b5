"""Numbers of the tables: unit, range, and what a number out of range most often is."""

from typing import Annotated, Final

from pydantic import Field, WrapValidator

from corrosion.foundation.units import MILLIAMPERE, MINUTE, MM, PERCENT
from corrosion.records.folder.cell_messages import Unit
from corrosion.records.folder.row import or_none

_METRES: Final = "a plate this thin was written in metres: write millimetres"
_BLANK_OHM: Final = "blank where not known, never zero"


def milli(slip: str = "write millimetres", si: str = "") -> Unit:
    """Return the unit of a column in millimetres."""
    return Unit("mm", slip, factor=MM, suffix="_mm", si=si)


def in_percent(si: str = "") -> Unit:
    """Return the unit of a column in per cent, a share in SI."""
    return Unit("%", factor=PERCENT, suffix="_percent", si=si)


def ohms(slip: str = _BLANK_OHM, si: str = "") -> Unit:
    """Return the unit of a column in ohms."""
    return Unit("Ω", slip, suffix="_ohm", si=si)


Thickness = Annotated[float, milli(_METRES), Field(ge=1.0, le=300.0)]
Millimetres = Annotated[float | None, milli(_METRES), Field(ge=0.1, le=300.0)]
Percent = Annotated[float | None, in_percent(), Field(ge=0.0, le=100.0)]
SomePercent = Annotated[float | None, in_percent(), Field(gt=0.0, le=100.0)]
Ohms = Annotated[float | None, ohms(), Field(gt=0.0, le=1e12)]
OhmsOrNone = Annotated[
    float | None,
    Unit("Ω, or none", _BLANK_OHM, suffix="_ohm"),
    Field(gt=0.0, le=1e12),
    WrapValidator(or_none),
]
Tested = Annotated[
    float | None,
    ohms("a tester that shows 0 is below its scale: write its least reading"),
    Field(gt=0.0, le=1e12),
]
Meter = Annotated[
    float | None,
    ohms("so small a figure was written in kΩ or MΩ: 10 MΩ is 10e6"),
    Field(ge=100.0, le=1e12),
]
Amps = Annotated[
    float | None,
    Unit("A", "so large a figure was written in milliamperes: write amperes"),
    Field(ge=-2000.0, le=2000.0),
]
Volts = Annotated[float | None, Unit("V"), Field(ge=-30e3, le=30e3)]
Frame = Annotated[float, Unit("(frame number)"), Field(ge=-100.0, le=5000.0)]
MaybeFrame = Annotated[
    float | None, Unit("(frame number)"), Field(ge=-100.0, le=5000.0)
]
Coordinate = Unit("m", "metres below the waterline", suffix="_m")
Depth = Annotated[float, Coordinate, Field(ge=-40.0, le=40.0)]
Distance = Annotated[float | None, Unit("m", suffix="_m"), Field(ge=0.0, le=10e3)]
Minutes = Annotated[float | None, Unit("min"), Field(ge=0.0, le=10e3)]
Salinity = Annotated[
    float | None,
    Unit("g/kg", "fresh water is about 0.2, the open sea 35", suffix="_g_per_kg"),
    Field(ge=0.01, le=120.0),
]
Temperature = Annotated[float | None, Unit("°C", suffix="_c"), Field(ge=-3.0, le=45.0)]
PROTECTION: Final = Unit(
    "mA/m²", "milliamperes a square metre", factor=MILLIAMPERE, suffix="_ma_per_m2"
)
SETTLED: Final = Unit("min", factor=MINUTE, suffix="_min")
