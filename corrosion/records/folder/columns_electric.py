"""Columns of the electrical tables: faults, readings, berths, circuits, hunts."""

from collections.abc import Mapping
from math import inf
from typing import Annotated, ClassVar

from pydantic import Field, WrapValidator

from corrosion.records import kinds
from corrosion.records import ship as si
from corrosion.records.folder.mapping import YesNo, record_of
from corrosion.records.folder.row import FOLD, Date, MaybeDate, Row, or_none

Lamps = tuple[kinds.LampSeen | None, ...]


class FaultRow(Row):
    """One row of faults.csv.

    The lamps of a two-wire system stand in ``lamp_a`` and ``lamp_b``, the positive
    conductor first.
    """

    table: ClassVar = "faults"
    fault: str
    system: str | None = None
    circuit: str | None = None
    conductor: Annotated[str | None, FOLD] = None
    zone: str | None = None
    source: kinds.Source = "ground fault"
    returns: kinds.Return | None = Field(default=None, alias="return")
    return_zone: str | None = None
    last_good: MaybeDate = None
    found: Date
    cleared: MaybeDate = None
    standing: YesNo | None = None
    isolated: MaybeDate = None
    isolated_by: str = ""
    present_percent: float | None = None
    amps: float | None = None
    current: kinds.Current | None = None
    insulation_ohm: float | None = None
    hull_v_a: float | None = None
    hull_v_b: float | None = None
    hull_v_c: float | None = None
    hull_v_pos: float | None = None
    hull_v_neg: float | None = None
    meter_ohm: float | None = None
    lamp_a: kinds.LampSeen | None = None
    lamp_b: kinds.LampSeen | None = None
    lamp_c: kinds.LampSeen | None = None
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

    def lamps(self) -> Lamps:
        """Return what the lamps showed, in the order of the columns."""
        return (self.lamp_a, self.lamp_b, self.lamp_c)

    def record(self, system: si.System | None) -> si.Fault:
        """Return the fault, its readings in the order of the system's conductors."""
        current: kinds.Current = self.current or (system.current if system else "dc")
        names = () if system is None else system.conductors
        volts = tuple(self.hull_volts()[name] for name in names)
        readings = record_of(
            self,
            si.Readings,
            hull_volts=volts if any(v is not None for v in volts) else (),
            lamps=_seen(self.lamps(), system),
        )
        return record_of(self, si.Fault, current=current, readings=readings)


def _seen(lamps: Lamps, system: si.System | None) -> Lamps:
    lamps = lamps[: len(system.conductors)] if system else ()
    return lamps if any(lamps) else ()


class ReadingRow(Row):
    """One row of readings.csv."""

    table: ClassVar = "readings"
    time: Date
    system: str | None = None
    fault: str | None = None
    circuit: str | None = None
    clamped: kinds.Clamped | None = None
    conductor: Annotated[str | None, FOLD] = None
    to: Annotated[str | None, FOLD] = None
    volts: float | None = None
    meter_ohm: float | None = None
    amps: float | None = None
    current: kinds.Current | None = None
    insulation_ohm: float | None = None
    test_volts: float | None = None
    minutes: float | None = None
    temperature_c: float | None = None
    monitor_ohm: float | None = None
    lamp_a: kinds.LampSeen | None = None
    lamp_b: kinds.LampSeen | None = None
    lamp_c: kinds.LampSeen | None = None
    by: str = ""
    remark: str = ""

    def lamps(self) -> Lamps:
        """Return what the lamps showed, in the order of the columns."""
        return (self.lamp_a, self.lamp_b, self.lamp_c)

    def record(self, system: si.System | None) -> si.Reading:
        """Return the reading, its lamps in the order of the system's conductors."""
        return record_of(
            self,
            si.Reading,
            system=system.name if system else None,
            lamps=_seen(self.lamps(), system),
        )


class BerthRow(Row):
    """One row of berths.csv."""

    table: ClassVar = "berths"
    start: MaybeDate = Field(default=None, alias="from")
    end: MaybeDate = Field(default=None, alias="to")
    berth: str = ""
    supply: kinds.Supply
    earth_cable_ohm: Annotated[float | None, WrapValidator(or_none)] = None
    shore_earth_ohm: float | None = None
    earth_couple_v: float | None = None
    earth_metal: kinds.EarthMetal | None = None
    galvanic_isolator: YesNo = "no"
    earthed_at: kinds.EarthedAt | None = None
    earth_ohm: float | None = None
    volts: float | None = None
    hertz: float | None = None
    afloat: kinds.Afloat = "afloat"
    under_way_percent: float | None = None
    salinity_g_per_kg: float | None = None
    temperature_c: float | None = None
    nutrients: kinds.Nutrients | None = None
    shore_side: kinds.Side | None = None
    shore_distance_m: float | None = None

    def record(self) -> si.Berth:
        """Return the berth in SI units."""
        old: Mapping[str, kinds.Lies] = {"yes": "afloat", "no": "dock"}
        none = self.earth_cable_ohm == inf
        return record_of(
            self,
            si.Berth,
            earth_cable=None if none else self.earth_cable_ohm,
            earth_none=none,
            lies=old.get(self.afloat, self.afloat),
        )


class CircuitRow(Row):
    """One row of circuits.csv."""

    table: ClassVar = "circuits"
    system: str
    circuit: str
    fed_from: str | None = None
    zone: str | None = None
    minutes_to_open: float | None = None
    minutes_to_test: float | None = None
    permission: str = ""
    vital: YesNo | None = None
    open_when: kinds.OpenWhen = "alongside"
    spare_of: str | None = None
    test: kinds.TestVolts = "ohmmeter only"
    trip_amps: float | None = None
    minutes_to_clamp: float | None = None


class HuntRow(Row):
    """One row of a file in hunts/."""

    table: ClassVar = "hunts"
    time: Date
    by: str = ""
    circuit: str | None = None
    act: kinds.HuntAct
    result: str = ""
    remark: str = ""

    def record(self) -> si.HuntStep:
        """Return the step; what the clamp read is in milliamperes, a test in ohms."""
        return record_of(self, si.HuntStep, number=self.number())

    def number(self) -> float | None:
        """Return the result of a clamp [A] or test [Ω]; None: none, or no number."""
        factor = {"clamped": 1e-3, "tested": 1.0}.get(self.act)
        try:
            return None if factor is None else float(self.result) * factor
        except ValueError:
            return None


class LogRow(Row):
    """One row of a hull-current log; a log is read by columns, never row by row."""

    table: ClassVar = "monitor"
    time: Date
    system: str
    circuit: str | None = None
    amps: float | None = None
    current: kinds.Current
