"""Columns of every table of a ship folder, with their units and ranges.

The one list of column names. Each model reads one row as written and makes the SI
record of :mod:`corrosion.records.ship` of it.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Annotated, Final, Literal

from pydantic import Field

from corrosion.foundation.units import MILLIAMPERE, MM, PERCENT
from corrosion.records import ship as si
from corrosion.records.folder.cell_messages import Unit
from corrosion.records.folder.row import FOLD, Date, MaybeDate, Row

__all__ = [
    "METAL_NAMES",
    "TABLES",
    "BerthRow",
    "CircuitRow",
    "FaultRow",
    "GaugingRow",
    "ZoneRow",
]

METAL_NAMES: Final = (
    "steel",
    "cast iron",
    "stainless 304",
    "stainless 316",
    "aluminium 5083",
    "aluminium 6061",
    "copper",
    "brass",
    "nickel-aluminium bronze",
    "copper-nickel 90/10",
    "copper-nickel 70/30",
    "zinc",
    "lead",
)
"""Names that the metal column knows."""

_METRES = "a plate this thin was written in metres: write millimetres"
_SHARE = "a share runs from 0 to 1, not in per cent"
_OHM = Unit("Ω", "blank where not known, never zero")
_TESTER = Unit("Ω", "a tester that shows 0 is below its scale: write its least reading")

Thickness = Annotated[float, Unit("mm", _METRES), Field(ge=1.0, le=300.0)]
Ohms = Annotated[float | None, _OHM, Field(gt=0.0, le=1e12)]
Volts = Annotated[float | None, Unit("V"), Field(ge=-30e3, le=30e3)]
Frame = Annotated[float, Unit("(frame number)"), Field(ge=-100.0, le=5000.0)]
Depth = Annotated[
    float, Unit("m", "metres below the waterline"), Field(ge=-40.0, le=40.0)
]
Minutes = Annotated[float | None, Unit("min"), Field(ge=0.0, le=10e3)]


class ZoneRow(Row):
    """One row of zones.csv."""

    zone: str
    name: str = ""
    frame_from: Frame
    frame_to: Frame
    side: Annotated[si.Side, FOLD]
    top_m: Depth
    bottom_m: Depth
    area_m2: Annotated[float | None, Unit("m²"), Field(gt=0.0, le=50e3)] = None
    exposure: Annotated[si.Exposure, FOLD]
    metal: Annotated[str, FOLD] = "steel"
    built_mm: Thickness
    limit_mm: Thickness
    pit_limit_mm: Annotated[
        float | None, Unit("mm", _METRES), Field(ge=0.1, le=300.0)
    ] = None
    bare_percent: Annotated[float | None, Unit("%"), Field(ge=0.0, le=100.0)] = None
    bare_seen: MaybeDate = None
    painted: MaybeDate = None
    bond_ohm: Ohms = None
    bonded_to: str | None = None
    protection_ma_per_m2: Annotated[
        float, Unit("mA/m²", "milliamperes a square metre"), Field(ge=0.0, le=2000.0)
    ] = 0.0
    consequence: Annotated[int, Unit("(5: loss of the ship)"), Field(ge=1, le=5)] = 3
    access: Annotated[si.Access, FOLD] = "inside"
    gauge_hours: Annotated[float, Unit("h"), Field(gt=0.0, le=1000.0)] = 2.0
    cable_share: Annotated[
        float | None, Unit("(share)", _SHARE), Field(ge=0.0, le=1.0)
    ] = None

    def record(self) -> si.Zone:
        """Return the zone in SI units."""
        pit_mm = 0.5 * self.built_mm if self.pit_limit_mm is None else self.pit_limit_mm
        bare = None if self.bare_percent is None else self.bare_percent * PERCENT
        return si.Zone(
            zone=self.zone,
            name=self.name or self.zone,
            frame_from=self.frame_from,
            frame_to=self.frame_to,
            side=self.side,
            top=self.top_m,
            bottom=self.bottom_m,
            area=self.area_m2,
            exposure=self.exposure,
            metal=self.metal,
            built=self.built_mm * MM,
            limit=self.limit_mm * MM,
            pit_limit=pit_mm * MM,
            bare=bare,
            bare_seen=self.bare_seen,
            painted=self.painted,
            bond=self.bond_ohm,
            bonded_to=self.bonded_to,
            protection=self.protection_ma_per_m2 * MILLIAMPERE,
            consequence=self.consequence,
            access=self.access,
            gauge_hours=self.gauge_hours,
            cable_share=self.cable_share,
        )


class FaultRow(Row):
    """One row of faults.csv.

    The lamps of a two-wire system stand in ``lamp_a`` and ``lamp_b``, the positive
    conductor first.
    """

    fault: str
    system: str | None = None
    circuit: str | None = None
    conductor: Annotated[str | None, FOLD] = None
    zone: str | None = None
    source: Annotated[si.Source, FOLD] = "ground fault"
    returns: Annotated[si.Return | None, FOLD] = Field(default=None, alias="return")
    last_good: MaybeDate = None
    found: Date
    cleared: MaybeDate = None
    amps: Annotated[
        float | None,
        Unit("A", "so large a figure was written in milliamperes: write amperes"),
        Field(ge=-2000.0, le=2000.0),
    ] = None
    current: Annotated[si.Current | None, FOLD] = None
    insulation_ohm: Annotated[float | None, _TESTER, Field(gt=0.0, le=1e12)] = None
    hull_v_a: Volts = None
    hull_v_b: Volts = None
    hull_v_c: Volts = None
    hull_v_pos: Volts = None
    hull_v_neg: Volts = None
    meter_ohm: Annotated[
        float | None,
        Unit("Ω", "so small a figure was written in kΩ or MΩ: 10 MΩ is 10e6"),
        Field(ge=100.0, le=1e12),
    ] = None
    lamp_a: Annotated[si.Picture | None, FOLD] = None
    lamp_b: Annotated[si.Picture | None, FOLD] = None
    lamp_c: Annotated[si.Picture | None, FOLD] = None
    remark: str = ""

    def hull_volts(self) -> Mapping[str, float | None]:
        """Return the voltmeter readings by conductor."""
        return {
            "a": self.hull_v_a,
            "b": self.hull_v_b,
            "c": self.hull_v_c,
            "+": self.hull_v_pos,
            "-": self.hull_v_neg,
        }

    def lamps(self) -> tuple[si.Picture | None, ...]:
        """Return what the lamps showed, in the order of the columns."""
        return (self.lamp_a, self.lamp_b, self.lamp_c)

    def record(self, system: si.System | None) -> si.Fault:
        """Return the fault, its readings in the order of the system's conductors."""
        current: si.Current = self.current or (system.current if system else "dc")
        volts: tuple[float | None, ...] = ()
        lamps: tuple[si.Picture | None, ...] = ()
        if system is not None:
            volts = tuple(self.hull_volts()[name] for name in system.conductors)
            lamps = self.lamps()[: len(system.conductors)]
        readings = si.Readings(
            conductor=self.conductor,
            amps=self.amps,
            insulation=self.insulation_ohm,
            hull_volts=volts if any(v is not None for v in volts) else (),
            meter=si.Readings().meter if self.meter_ohm is None else self.meter_ohm,
            lamps=lamps if any(lamps) else (),
        )
        return si.Fault(
            fault=self.fault,
            system=self.system,
            circuit=self.circuit,
            zone=self.zone,
            source=self.source,
            returns=self.returns,
            last_good=self.last_good,
            found=self.found,
            cleared=self.cleared,
            current=current,
            readings=readings,
            remark=self.remark,
            line=self.line,
        )


class BerthRow(Row):
    """One row of berths.csv."""

    start: MaybeDate = Field(default=None, alias="from")
    end: MaybeDate = Field(default=None, alias="to")
    berth: str = ""
    supply: Annotated[si.Supply, FOLD]
    earth_cable_ohm: Ohms = None
    shore_earth_ohm: Ohms = None
    earth_couple_v: Annotated[
        float | None,
        Unit("V", "so large a couple was written in millivolts: write volts"),
        Field(ge=-5.0, le=5.0),
    ] = None
    galvanic_isolator: Annotated[Literal["yes", "no"], FOLD] = "no"
    afloat: Annotated[Literal["yes", "no"], FOLD] = "yes"
    shore_side: Annotated[si.Side | None, FOLD] = None
    shore_distance_m: Annotated[float | None, Unit("m"), Field(ge=0.0, le=10e3)] = None

    def record(self) -> si.Berth:
        """Return the berth in SI units."""
        return si.Berth(
            start=self.start,
            end=self.end,
            berth=self.berth,
            supply=self.supply,
            earth_cable=self.earth_cable_ohm,
            shore_earth=self.shore_earth_ohm,
            earth_couple=self.earth_couple_v,
            galvanic_isolator=self.galvanic_isolator == "yes",
            afloat=self.afloat == "yes",
            shore_side=self.shore_side,
            shore_distance=self.shore_distance_m,
        )


class GaugingRow(Row):
    """One row of gaugings.csv."""

    zone: str
    date: Date
    frame: Annotated[float | None, Unit("(frame number)"), Field(ge=-100, le=5e3)] = (
        None
    )
    thickness_mm: Annotated[float, Unit("mm"), Field(ge=0.0, le=300.0)]
    readings: Annotated[int, Unit("(count)"), Field(ge=1, le=100_000)] = 1
    sd_mm: Annotated[
        float | None, Unit("mm", "write millimetres"), Field(ge=0.01, le=10.0)
    ] = None
    kind: Annotated[si.GaugingKind, FOLD] = "mean"
    remark: str = ""

    def record(self) -> si.Gauging:
        """Return the gauging in SI units."""
        return si.Gauging(
            zone=self.zone,
            date=self.date,
            thickness=self.thickness_mm * MM,
            readings=self.readings,
            sd=None if self.sd_mm is None else self.sd_mm * MM,
            kind=self.kind,
            frame=self.frame,
            remark=self.remark,
            line=self.line,
        )


class CircuitRow(Row):
    """One row of circuits.csv."""

    system: str
    circuit: str
    fed_from: str | None = None
    zone: str | None = None
    minutes_to_open: Minutes = None
    minutes_to_test: Minutes = None
    permission: str = ""

    def record(self) -> si.Circuit:
        """Return the circuit."""
        return si.Circuit(**self.model_dump())


TABLES: Final[Mapping[str, type[Row]]] = MappingProxyType(
    {
        "zones": ZoneRow,
        "faults": FaultRow,
        "berths": BerthRow,
        "gaugings": GaugingRow,
        "circuits": CircuitRow,
    }
)
"""The csv tables of a ship folder, in the order in which they are read."""
