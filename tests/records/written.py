"""Writing a whole ship folder from her records, so that reading gives them back."""

import csv
import io
import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any, Final

from corrosion.foundation.errors import InputError
from corrosion.foundation.units import PERCENT
from corrosion.records.dates import When
from corrosion.records.folder import columns as of
from corrosion.records.folder.cell_messages import choices, unit_of
from corrosion.records.folder.files import HUNTS
from corrosion.records.folder.mapping import si_columns
from corrosion.records.folder.row import Row, columns
from corrosion.records.folder.ship_toml_keys import (
    RecorderKeys,
    ShipKeys,
    SystemKeys,
    WaterKeys,
)
from corrosion.records.ship import (
    Anode,
    Berth,
    Current,
    Fault,
    Reading,
    Ship,
    System,
    Work,
)

Value = str | float | When | bool | None
"""What may stand in a cell."""

_VOLTS: Final = {"a": "a", "b": "b", "c": "c", "+": "pos", "-": "neg"}
_LAMPS: Final = ("lamp_a", "lamp_b", "lamp_c")


def write_ship(ship: Ship, path: str | Path) -> None:
    """Write a ship's records as a new folder; reading it gives the same ship.

    Parameters
    ----------
    ship : Ship
        The ship. Her monitor logs stay where they are.
    path : str or Path
        The new folder; parents are made as needed.

    Raises
    ------
    InputError
        If something is already there, or the folder cannot be written.
    """
    folder = Path(path)
    tables: Mapping[str, Sequence[Mapping[str, Value]]] = {
        "zones": [cells_of(of.ZoneRow, row) for row in ship.zones],
        "faults": [_fault(ship, row) for row in ship.faults],
        "berths": [_berth(row) for row in ship.berths],
        "gaugings": [cells_of(of.GaugingRow, row) for row in ship.gaugings],
        "circuits": [cells_of(of.CircuitRow, row) for row in ship.circuits],
        "readings": [_reading(row) for row in ship.readings],
        "works": [_work(row) for row in ship.works],
        "anodes": [cells for row in ship.anodes for cells in _anode(row)],
        "potentials": [cells_of(of.PotentialRow, row) for row in ship.potentials],
    }
    try:
        folder.mkdir(parents=True, exist_ok=True)
        if any(folder.iterdir()):
            msg = f"{folder}: is not empty. Name a new folder; nothing was written."
            raise InputError(msg)
        text = "\n".join(_toml(ship)) + "\n"
        (folder / "ship.toml").write_text(text, encoding="utf-8")
        for name, rows in tables.items():
            if rows:
                sheet = _sheet(columns(of.TABLES[name]), rows)
                (folder / f"{name}.csv").write_text(sheet, encoding="utf-8", newline="")
        for hunt in ship.hunts:
            (folder / HUNTS).mkdir(exist_ok=True)
            steps = [cells_of(of.HuntRow, step) for step in hunt.steps]
            sheet = _sheet(columns(of.HuntRow), steps)
            (folder / HUNTS / f"{hunt.hunt}.csv").write_text(
                sheet, encoding="utf-8", newline=""
            )
    except OSError as error:
        reason = error.strerror or error
        msg = f"{folder}: cannot be written ({reason}). Name another folder."
        raise InputError(msg) from None


def _sheet(header: Sequence[str], rows: Sequence[Mapping[str, Value]]) -> str:
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, header, lineterminator="\n")
    writer.writeheader()
    for row in rows:
        writer.writerow({name: _cell(value) for name, value in row.items()})
    return out.getvalue()


def _cell(value: Value) -> str:
    if value is None:
        return ""
    if isinstance(value, When):
        return value.text
    return value if isinstance(value, str) else f"{value:.12g}"


def cells_of(model: type[Row], record: Any) -> dict[str, Value]:
    """Return what stands in the columns of a record's row."""
    return dict(_cells(model, record))


def _cells(model: type[Row], record: Any) -> Iterator[tuple[str, Value]]:
    for name, column, si in si_columns(model, record.__class__):
        info, value = model.model_fields[name], getattr(record, si)
        unit = unit_of(info)
        if unit is not None and value is not None and unit.factor != 1.0:
            value /= unit.factor
        elif isinstance(value, bool) and choices(info):
            value = "yes" if value else "no"
        yield column, value


def _toml(ship: Ship) -> Iterator[str]:
    yield "[ship]"
    yield from _keys(**cells_of(ShipKeys, ship), **cells_of(ShipKeys, ship.form))
    yield "\n[water]"
    yield from _keys(**cells_of(WaterKeys, ship.water))
    for system in ship.systems:
        yield "\n[[system]]"
        yield from _system(system)
    yield "\n[display]"
    yield from _keys(**asdict(ship.display))
    yield "\n[monitor]"
    yield from _keys(**cells_of(RecorderKeys, ship.recorder))
    yield "\n[prices]"
    yield from _keys(**asdict(ship.prices))
    for own in ship.assumptions.overridden:
        yield f"\n[assumption.{own.name}]"
        yield from _keys(median=own.median, spread=own.geometric_sd, why=own.source)


def _system(row: System) -> Iterator[str]:
    cells = cells_of(SystemKeys, row)
    del cells["lamps"]
    yield from _keys(**cells)
    if row.lamps is not None:
        yield f"lamps = {{ {', '.join(_keys(**asdict(row.lamps)))} }}"


def _keys(**values: Value) -> Iterator[str]:
    for name, value in values.items():
        if isinstance(value, (str, When, bool)):
            text = value.text if isinstance(value, When) else value
            yield f"{name} = {json.dumps(text, ensure_ascii=False)}"
        elif value is not None:
            yield f"{name} = {value:.12g}"


def _fault(ship: Ship, row: Fault) -> dict[str, Value]:
    read = row.readings
    names: tuple[str, ...] = ()
    current: Current | None = row.current
    if row.system is not None:
        system = ship.system(row.system)
        names = system.conductors
        current = read.current if row.current == system.current else row.current
    volts = zip(names, read.hull_volts, strict=False)
    return {
        **cells_of(of.FaultRow, row),
        **cells_of(of.FaultRow, read),
        "current": current,
        **{f"hull_v_{_VOLTS[name]}": value for name, value in volts},
        **dict(zip(_LAMPS, read.lamps, strict=False)),
    }


def _reading(row: Reading) -> dict[str, Value]:
    lamps = zip(_LAMPS, row.lamps, strict=False)
    return {**cells_of(of.ReadingRow, row), **dict(lamps)}


def _berth(row: Berth) -> dict[str, Value]:
    none = {"earth_cable_ohm": "none"} if row.earth_none else {}
    return {**cells_of(of.BerthRow, row), **none, "afloat": row.lies}


def _work(row: Work) -> dict[str, Value]:
    return {**cells_of(of.WorkRow, row), "counts": "yes" if row.counts else None}


def _anode(row: Anode) -> Iterator[dict[str, Value]]:
    first = cells_of(of.AnodeRow, row)
    for look in row.looks:
        yield {**first, "seen": look.seen, "left_percent": look.left / PERCENT}
        first = {"anode": row.anode}
    if not row.looks:
        yield first
