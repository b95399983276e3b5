"""Columns of the tables of her plating: zones, gaugings, works, anodes, potentials."""

from typing import Annotated

from pydantic import Field

from corrosion.foundation.units import MM, PERCENT
from corrosion.records import kinds
from corrosion.records import ship as si
from corrosion.records.folder import column_types as cell
from corrosion.records.folder.cell_messages import Unit
from corrosion.records.folder.mapping import YesNo, record_of
from corrosion.records.folder.row import FOLD, Date, MaybeDate, Row

_SHARE = "a share runs from 0 to 1, not in per cent"
_SQUARE_METRES = Unit("m²", suffix="_m2")


class ZoneRow(Row):
    """One row of zones.csv."""

    zone: str
    name: str = ""
    frame_from: cell.Frame
    frame_to: cell.Frame
    side: kinds.Side
    top_m: cell.Depth
    bottom_m: cell.Depth
    area_m2: Annotated[float | None, _SQUARE_METRES, Field(gt=0.0, le=50e3)] = None
    exposure: kinds.Exposure
    metal: Annotated[str, FOLD] = "steel"
    built_mm: cell.Thickness
    limit_mm: cell.Thickness
    pit_limit_mm: cell.Millimetres = None
    bare_percent: cell.Percent = None
    bare_seen: MaybeDate = None
    painted: MaybeDate = None
    strakes: str = ""
    inside: kinds.Inside | None = None
    inside_bare_percent: cell.Percent = None
    bond_ohm: cell.Ohms = None
    bonded_to: str | None = None
    turning_ohm: cell.Ohms = None
    protection_ma_per_m2: Annotated[
        float, cell.PROTECTION, Field(ge=0.0, le=2000.0)
    ] = 0.0
    consequence: Annotated[int, Unit("(5: loss of the ship)"), Field(ge=1, le=5)] = 3
    access: kinds.Access = "inside"
    gauge_hours: Annotated[float, Unit("h"), Field(gt=0.0, le=1000.0)] = 2.0
    cable_share: Annotated[
        float | None, Unit("(share)", _SHARE), Field(ge=0.0, le=1.0)
    ] = None

    def record(self) -> si.Zone:
        """Return the zone in SI units; half of the thickness bears under a pit."""
        pit = {} if self.pit_limit_mm else {"pit_limit": 0.5 * self.built_mm * MM}
        return record_of(self, si.Zone, name=self.name or self.zone, **pit)


class GaugingRow(Row):
    """One row of gaugings.csv."""

    zone: str
    date: Date
    frame: cell.MaybeFrame = None
    strake: str | None = None
    plate: str | None = None
    thickness_mm: Annotated[float, cell.milli(), Field(ge=0.0, le=300.0)]
    readings: Annotated[int, Unit("(count)"), Field(ge=1, le=100_000)] = 1
    sd_mm: Annotated[float | None, cell.milli(), Field(ge=0.01, le=10.0)] = None
    kind: kinds.GaugingKind = "mean"
    surface: kinds.Surface | None = None
    instrument: str = ""
    by: str = ""
    built_mm: Annotated[float | None, cell.milli(), Field(ge=1.0, le=300.0)] = None
    pit_depth_mm: Annotated[float | None, cell.milli(), Field(ge=0.0, le=300.0)] = None
    pitting_percent: cell.Percent = None
    seen_m2: Annotated[
        float | None,
        Unit("m²", suffix="_m2", si="seen_area"),
        Field(gt=0.0, le=50e3),
    ] = None
    remark: str = ""


class WorkRow(Row):
    """One row of works.csv."""

    date: Date
    zone: str
    work: kinds.WorkKind
    percent: Annotated[  # of the zone
        float | None, cell.in_percent(si="share"), Field(gt=0.0, le=100.0)
    ] = None
    thickness_mm: Annotated[float | None, cell.milli(), Field(ge=1.0, le=300.0)] = None
    bare_percent: cell.Percent = None
    anode: str | None = None
    counts: YesNo | None = None
    remark: str = ""


class AnodeRow(Row):
    """One row of anodes.csv; a further row of an anode tells another look at it."""

    anode: str
    zone: str | None = None
    metal: kinds.AnodeMetal | None = None
    form: kinds.AnodeForm | None = None
    count: Annotated[int | None, Unit("(count)"), Field(ge=1, le=10_000)] = None
    net_kg: Annotated[
        float | None, Unit("kg", suffix="_kg", si="net_mass"), Field(gt=0.0, le=2000.0)
    ] = None
    length_m: Annotated[float | None, Unit("m", suffix="_m"), Field(gt=0, le=20)] = None
    width_m: Annotated[float | None, Unit("m", suffix="_m"), Field(gt=0, le=5)] = None
    thickness_m: Annotated[float | None, Unit("m", suffix="_m"), Field(gt=0, le=2)] = (
        None
    )
    stand_off_m: Annotated[float | None, Unit("m", suffix="_m"), Field(ge=0, le=5)] = (
        None
    )
    fitted: MaybeDate = None
    left_percent: cell.Percent = None
    seen: MaybeDate = None
    amps: cell.Amps = None
    set_mv: Annotated[
        float | None,
        Unit("mV", factor=1e-3, si="set_potential"),
        Field(ge=-5000.0, le=5000.0),
    ] = None
    electrode: kinds.Electrode | None = None

    def record(self, rows: tuple["AnodeRow", ...]) -> si.Anode:
        """Return the anode in SI units, with the looks at it of all its rows."""
        looks = tuple(
            si.AnodeSeen(seen=row.seen, left=row.left_percent * PERCENT)
            for row in rows
            if row.seen is not None and row.left_percent is not None
        )
        return record_of(self, si.Anode, looks=looks)


class PotentialRow(Row):
    """One row of potentials.csv."""

    time: Date
    zone: str | None = None
    frame: cell.MaybeFrame = None
    side: kinds.Side | None = None
    mv: Annotated[
        float, Unit("mV", factor=1e-3, si="potential"), Field(ge=-5000.0, le=5000.0)
    ]
    electrode: kinds.Electrode
    distance_m: cell.Distance = None
    shore_earth: kinds.Connected | None = None
    impressed: kinds.OnOff | None = None
    settled_min: Annotated[float | None, cell.SETTLED, Field(ge=0.0, le=1e5)] = None
    open_mv: Annotated[
        float | None,
        Unit("mV", factor=1e-3, si="open_circuit"),
        Field(ge=-5000.0, le=5000.0),
    ] = None
    remark: str = ""
