"""Keys of ship.toml, with their units and ranges: the one list of their names."""

from dataclasses import dataclass
from typing import Annotated

from pydantic import ConfigDict, Field

from corrosion.foundation.assumptions import Assumptions
from corrosion.foundation.units import MICROFARAD, MINUTE
from corrosion.records.folder.cell_messages import Unit
from corrosion.records.folder.column_types import Ohms, Salinity, Temperature, ohms
from corrosion.records.folder.mapping import record_of
from corrosion.records.folder.row import Date, MaybeDate, Row
from corrosion.records.kinds import EarthedAt, RecorderWrites, Units
from corrosion.records.ship import (
    Display,
    Kind,
    LampSet,
    Prices,
    Recorder,
    System,
)

Metres = Annotated[float, Unit("m", suffix="_m"), Field(gt=0.0, le=500.0)]
Coefficient = Annotated[
    float, Unit("(share)", "a share, not per cent"), Field(ge=0.3, le=1.0)
]
MaybeCoefficient = Annotated[
    float | None, Unit("(share)", "a share, not per cent"), Field(ge=0.3, le=1.0)
]
Price = Annotated[float | None, Unit("(money)"), Field(ge=0.0, le=1e9)]


class Keys(Row):
    """One table of ship.toml: numbers stand there without quotation marks."""

    model_config = ConfigDict(strict=True)


class ShipKeys(Keys):
    """Keys of the table ``[ship]``."""

    name: str
    length_m: Metres
    beam_m: Metres
    draught_m: Annotated[float, Unit("m", suffix="_m"), Field(gt=0.0, le=40.0)]
    block_coefficient: Coefficient
    midship_coefficient: MaybeCoefficient = None
    waterplane_coefficient: MaybeCoefficient = None
    built: Date
    last_docking: MaybeDate = None
    next_docking: MaybeDate = None
    frame_spacing_m: Annotated[
        float, Unit("m", "write metres", suffix="_m"), Field(ge=0.05, le=5.0)
    ]


class WaterKeys(Keys):
    """Keys of the table ``[water]``."""

    salinity_g_per_kg: Salinity = None
    temperature_c: Temperature = None
    resistivity_ohm_m: Annotated[
        float | None,
        Unit("Ω·m", "the open sea is about 0.2", suffix="_ohm_m"),
        Field(ge=0.05, le=1e4),
    ] = None
    depth_m: Annotated[float | None, Unit("m", suffix="_m"), Field(gt=0.0, le=12e3)] = (
        None
    )


class LampKeys(Keys):
    """Keys of the inline table ``lamps`` of a system."""

    volts: Annotated[float, Unit("V"), Field(ge=1.0, le=1000.0)]
    watts: Annotated[float, Unit("W"), Field(gt=0.0, le=1000.0)]
    ratio: Annotated[float, Unit("(line over lamp volts)"), Field(gt=0, le=200)] = 1.0


class SystemKeys(Keys):
    """Keys of one table ``[[system]]``."""

    name: str
    kind: Kind
    volts: Annotated[
        float, Unit("V", "between conductors, not kV"), Field(ge=5.0, le=30e3)
    ]
    hertz: Annotated[float | None, Unit("Hz"), Field(ge=0.0, le=1000.0)] = None
    hull_capacitance_uf: Annotated[
        float | None,
        Unit(
            "µF",
            "so small a figure was written in farads: write microfarads",
            factor=MICROFARAD,
            si="capacitance",
        ),
        Field(ge=1e-4, le=10e3),
    ] = None
    insulation_ohm: Ohms = None
    switchboard_zone: str | None = None
    monitor_internal_ohm: Annotated[
        float | None, ohms(si="monitor"), Field(gt=0.0, le=1e12)
    ] = None
    earthed_at: EarthedAt = "none"
    earth_ohm: Annotated[float | None, ohms(si="earthing"), Field(ge=0, le=1e6)] = None
    lamp_winding_ohm: Ohms = None
    lamps: LampKeys | None = None
    fed_from_shore: bool = True

    def record(self) -> System:
        """Return the system in SI units."""
        lamps = None if self.lamps is None else record_of(self.lamps, LampSet)
        return record_of(self, System, lamps=lamps)


class PriceKeys(Keys):
    """Keys of the table ``[prices]``."""

    steel_per_kg: Price = None
    steel_per_m2: Price = None
    crew_hour: Price = None
    isolating_transformer: Price = None
    galvanic_isolator: Price = None
    monitor: Price = None
    dock_day: Price = None


class DisplayKeys(Keys):
    """Keys of the table ``[display]``."""

    units: Units = "metric"
    currency: str = ""


class RecorderKeys(Keys):
    """Keys of the table ``[monitor]``."""

    writes: RecorderWrites | None = None
    gap_minutes: Annotated[
        float | None,
        Unit("min", factor=MINUTE, si="gap"),
        Field(gt=0.0, le=1e6),
    ] = None


class AssumptionKeys(Keys):
    """Keys of one table ``[assumption.NAME]``."""

    median: Annotated[float, Unit(), Field(gt=0.0, le=1e15)]
    spread: Annotated[
        float, Unit("(geometric standard deviation; 1 is exact)"), Field(ge=1, le=1e3)
    ]
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShipFile:
    """Everything of ship.toml.

    ``ship``, ``water``: the tables of those names. ``systems``: None where the file
    could not be read at all. ``display``, ``recorder``: how numbers are shown; how the
    recorder of hull current writes. ``assumptions``: the table of assumptions with her
    own entries laid over it.
    """

    ship: ShipKeys
    water: WaterKeys
    systems: tuple[SystemKeys, ...] | None
    prices: Prices  # in the user's own currency
    display: Display
    recorder: Recorder
    assumptions: Assumptions
