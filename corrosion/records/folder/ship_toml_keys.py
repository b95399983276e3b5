"""Keys of ship.toml: the one list of their names."""

from dataclasses import dataclass
from typing import ClassVar, Final

from pydantic import ConfigDict

from corrosion.foundation.assumptions import Assumptions
from corrosion.records.folder.mapping import record_of
from corrosion.records.folder.row import Date, MaybeDate, Row
from corrosion.records.kinds import EarthedAt, RecorderWrites, Units
from corrosion.records.ship import Display, Kind, LampSet, Prices, Recorder, System


class Keys(Row):
    """One table of ship.toml: numbers stand there without quotation marks."""

    model_config = ConfigDict(strict=True)


class ShipKeys(Keys):
    """Keys of the table ``[ship]``."""

    table: ClassVar = "ship"
    name: str
    length_m: float
    beam_m: float
    draught_m: float
    block_coefficient: float
    midship_coefficient: float | None = None
    waterplane_coefficient: float | None = None
    built: Date
    last_docking: MaybeDate = None
    next_docking: MaybeDate = None
    frame_spacing_m: float


class WaterKeys(Keys):
    """Keys of the table ``[water]``."""

    table: ClassVar = "water"
    salinity_g_per_kg: float | None = None
    temperature_c: float | None = None
    resistivity_ohm_m: float | None = None
    depth_m: float | None = None


class LampKeys(Keys):
    """Keys of the inline table ``lamps`` of a system."""

    table: ClassVar = "lamps"
    volts: float
    watts: float
    ratio: float = 1.0


class SystemKeys(Keys):
    """Keys of one table ``[[system]]``."""

    table: ClassVar = "system"
    name: str
    kind: Kind
    volts: float
    hertz: float | None = None
    hull_capacitance_uf: float | None = None
    insulation_ohm: float | None = None
    switchboard_zone: str | None = None
    monitor_internal_ohm: float | None = None
    earthed_at: EarthedAt = "none"
    earth_ohm: float | None = None
    lamp_winding_ohm: float | None = None
    lamps: LampKeys | None = None
    fed_from_shore: bool = True

    def record(self) -> System:
        """Return the system in SI units."""
        lamps = None if self.lamps is None else record_of(self.lamps, LampSet)
        return record_of(self, System, lamps=lamps)


class PriceKeys(Keys):
    """Keys of the table ``[prices]``."""

    table: ClassVar = "prices"
    steel_per_kg: float | None = None
    steel_per_m2: float | None = None
    crew_hour: float | None = None
    isolating_transformer: float | None = None
    galvanic_isolator: float | None = None
    monitor: float | None = None
    dock_day: float | None = None


class DisplayKeys(Keys):
    """Keys of the table ``[display]``."""

    table: ClassVar = "display"
    units: Units = "metric"
    currency: str = ""


class RecorderKeys(Keys):
    """Keys of the table ``[monitor]``."""

    table: ClassVar = "recorder"
    writes: RecorderWrites | None = None
    gap_minutes: float | None = None


class AssumptionKeys(Keys):
    """Keys of one table ``[assumption.NAME]``."""

    table: ClassVar = "assumption"
    median: float
    spread: float
    why: str = ""


KEYS: Final[tuple[type[Keys], ...]] = (
    *(ShipKeys, WaterKeys, SystemKeys, LampKeys, PriceKeys, DisplayKeys),
    *(RecorderKeys, AssumptionKeys),
)
"""Models of the tables of ship.toml, in the order in which they are described."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShipFile:
    """Everything of ship.toml."""

    # ship, water: the tables of those names
    ship: ShipKeys
    water: WaterKeys
    # none where the file could not be read at all
    systems: tuple[SystemKeys, ...] | None
    prices: Prices  # in the user's own currency
    # display, recorder: how numbers are shown; how the recorder of hull current writes
    display: Display
    recorder: Recorder
    # the table of assumptions with her own entries laid over it
    assumptions: Assumptions
