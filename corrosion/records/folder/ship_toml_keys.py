"""Keys of ship.toml, with their units and ranges: the one list of their names."""

from dataclasses import dataclass
from typing import Annotated

from pydantic import ConfigDict, Field

from corrosion.foundation.assumptions import Assumptions
from corrosion.foundation.units import MICROFARAD
from corrosion.records.folder.cell_messages import Unit
from corrosion.records.folder.row import Date, MaybeDate, Row
from corrosion.records.ship import (
    Form,
    Kind,
    LampSet,
    Prices,
    System,
    Water,
)

__all__ = [
    "AssumptionKeys",
    "LampKeys",
    "PriceKeys",
    "ShipFile",
    "ShipKeys",
    "SystemKeys",
    "WaterKeys",
]

Metres = Annotated[float, Unit("m"), Field(gt=0.0, le=500.0)]
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
    draught_m: Annotated[float, Unit("m"), Field(gt=0.0, le=40.0)]
    block_coefficient: Coefficient
    midship_coefficient: MaybeCoefficient = None
    waterplane_coefficient: MaybeCoefficient = None
    built: Date
    last_docking: MaybeDate = None
    next_docking: MaybeDate = None
    frame_spacing_m: Annotated[float, Unit("m", "write metres"), Field(ge=0.05, le=5.0)]

    def form(self) -> Form:
        """Return the main dimensions."""
        return Form(
            length=self.length_m,
            beam=self.beam_m,
            draught=self.draught_m,
            block_coefficient=self.block_coefficient,
            midship_coefficient=self.midship_coefficient,
            waterplane_coefficient=self.waterplane_coefficient,
            frame_spacing=self.frame_spacing_m,
        )


class WaterKeys(Keys):
    """Keys of the table ``[water]``."""

    salinity_g_per_kg: Annotated[
        float | None,
        Unit("g/kg", "fresh water is about 0.2, the open sea 35"),
        Field(ge=0.01, le=120.0),
    ] = None
    temperature_c: Annotated[float | None, Unit("°C"), Field(ge=-3.0, le=45.0)] = None
    resistivity_ohm_m: Annotated[
        float | None, Unit("Ω·m", "the open sea is about 0.2"), Field(ge=0.05, le=1e4)
    ] = None
    depth_m: Annotated[float | None, Unit("m"), Field(gt=0.0, le=12e3)] = None

    def record(self) -> Water:
        """Return the water in SI units."""
        return Water(
            salinity=self.salinity_g_per_kg,
            temperature=self.temperature_c,
            resistivity=self.resistivity_ohm_m,
            depth=self.depth_m,
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
        Unit("µF", "so small a figure was written in farads: write microfarads"),
        Field(ge=1e-4, le=10e3),
    ] = None
    insulation_ohm: Annotated[
        float | None, Unit("Ω", "blank where not known"), Field(gt=0.0, le=1e12)
    ] = None
    switchboard_zone: str | None = None
    lamps: LampKeys | None = None
    fed_from_shore: bool = True

    def record(self) -> System:
        """Return the system in SI units."""
        uf, lamps = self.hull_capacitance_uf, self.lamps
        return System(
            name=self.name,
            kind=self.kind,
            volts=self.volts,
            hertz=self.hertz or 0.0,
            capacitance=None if uf is None else uf * MICROFARAD,
            insulation=self.insulation_ohm,
            switchboard_zone=self.switchboard_zone,
            lamps=None if lamps is None else LampSet(**lamps.model_dump()),
            fed_from_shore=self.fed_from_shore,
        )


class PriceKeys(Keys):
    """Keys of the table ``[prices]``."""

    steel_per_kg: Price = None
    steel_per_m2: Price = None
    crew_hour: Price = None


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

    Attributes
    ----------
    ship, water : ShipKeys, WaterKeys
        The tables of those names.
    systems : tuple of SystemKeys or None
        None where the file could not be read at all.
    prices : Prices
        In the user's own currency.
    assumptions : Assumptions
        The table of assumptions with her own entries laid over it.
    """

    ship: ShipKeys
    water: WaterKeys
    systems: tuple[SystemKeys, ...] | None
    prices: Prices
    assumptions: Assumptions
