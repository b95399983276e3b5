"""Columns of the tables of her plating: zones, gaugings, works, anodes, potentials."""

from typing import Annotated, ClassVar

from corrosion.foundation.units import MM, PERCENT
from corrosion.records import kinds
from corrosion.records import ship as si
from corrosion.records.folder.mapping import YesNo, record_of
from corrosion.records.folder.row import FOLD, Date, MaybeDate, Row


class ZoneRow(Row):
    """One row of zones.csv."""

    table: ClassVar = "zones"
    zone: str
    name: str = ""
    frame_from: float
    frame_to: float
    side: kinds.Side
    top_m: float
    bottom_m: float
    area_m2: float | None = None
    exposure: kinds.Exposure
    metal: Annotated[str, FOLD] = "steel"
    built_mm: float
    limit_mm: float
    pit_limit_mm: float | None = None
    bare_percent: float | None = None
    bare_seen: MaybeDate = None
    painted: MaybeDate = None
    strakes: str = ""
    inside: kinds.Inside | None = None
    inside_bare_percent: float | None = None
    bond_ohm: float | None = None
    bonded_to: str | None = None
    turning_ohm: float | None = None
    protection_ma_per_m2: float = 0.0
    consequence: int = 3
    access: kinds.Access = "inside"
    gauge_hours: float = 2.0
    cable_share: float | None = None

    def record(self) -> si.Zone:
        """Return the zone in SI units; half of the thickness bears under a pit."""
        pit = {} if self.pit_limit_mm else {"pit_limit": 0.5 * self.built_mm * MM}
        return record_of(self, si.Zone, name=self.name or self.zone, **pit)


class GaugingRow(Row):
    """One row of gaugings.csv."""

    table: ClassVar = "gaugings"
    zone: str
    date: Date
    frame: float | None = None
    strake: str | None = None
    plate: str | None = None
    thickness_mm: float
    readings: int = 1
    sd_mm: float | None = None
    kind: kinds.GaugingKind = "mean"
    surface: kinds.Surface | None = None
    instrument: str = ""
    by: str = ""
    built_mm: float | None = None
    pit_depth_mm: float | None = None
    pitting_percent: float | None = None
    seen_m2: float | None = None
    remark: str = ""


class WorkRow(Row):
    """One row of works.csv."""

    table: ClassVar = "works"
    date: Date
    zone: str
    work: kinds.WorkKind
    percent: float | None = None
    thickness_mm: float | None = None
    bare_percent: float | None = None
    anode: str | None = None
    counts: YesNo | None = None
    remark: str = ""


class AnodeRow(Row):
    """One row of anodes.csv; a further row of an anode tells another look at it."""

    table: ClassVar = "anodes"
    anode: str
    zone: str | None = None
    metal: kinds.AnodeMetal | None = None
    form: kinds.AnodeForm | None = None
    count: int | None = None
    net_kg: float | None = None
    length_m: float | None = None
    width_m: float | None = None
    thickness_m: float | None = None
    stand_off_m: float | None = None
    fitted: MaybeDate = None
    left_percent: float | None = None
    seen: MaybeDate = None
    amps: float | None = None
    set_mv: float | None = None
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

    table: ClassVar = "potentials"
    time: Date
    zone: str | None = None
    frame: float | None = None
    side: kinds.Side | None = None
    mv: float
    electrode: kinds.Electrode
    distance_m: float | None = None
    shore_earth: kinds.Connected | None = None
    impressed: kinds.OnOff | None = None
    settled_min: float | None = None
    open_mv: float | None = None
    remark: str = ""
