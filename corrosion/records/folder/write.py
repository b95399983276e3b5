"""Writing a whole ship folder from her records, so that reading gives them back."""

import csv
import io
import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Final

from corrosion.foundation.errors import InputError
from corrosion.foundation.units import MICROFARAD, MILLIAMPERE, MM, PERCENT
from corrosion.records.dates import When
from corrosion.records.folder.columns import TABLES
from corrosion.records.folder.row import columns
from corrosion.records.ship import Berth, Circuit, Fault, Gauging, Ship, System, Zone

__all__ = ["write_ship"]

Value = str | float | When | bool | None

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
        "zones": [_zone(row) for row in ship.zones],
        "faults": [_fault(ship, row) for row in ship.faults],
        "berths": [_berth(row) for row in ship.berths],
        "gaugings": [_gauging(row) for row in ship.gaugings],
        "circuits": [_circuit(row) for row in ship.circuits],
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
                sheet = _sheet(columns(TABLES[name]), rows)
                (folder / f"{name}.csv").write_text(sheet, encoding="utf-8", newline="")
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


def _toml(ship: Ship) -> Iterator[str]:
    form, water = ship.form, ship.water
    yield "[ship]"
    yield from _keys(
        name=ship.name,
        length_m=form.length,
        beam_m=form.beam,
        draught_m=form.draught,
        block_coefficient=form.block_coefficient,
        midship_coefficient=form.midship_coefficient,
        waterplane_coefficient=form.waterplane_coefficient,
        built=ship.built,
        last_docking=ship.last_docking,
        next_docking=ship.next_docking,
        frame_spacing_m=form.frame_spacing,
    )
    yield "\n[water]"
    yield from _keys(
        salinity_g_per_kg=water.salinity,
        temperature_c=water.temperature,
        resistivity_ohm_m=water.resistivity,
        depth_m=water.depth,
    )
    for system in ship.systems:
        yield "\n[[system]]"
        yield from _system(system)
    yield "\n[prices]"
    yield from _keys(**asdict(ship.prices))
    for own in ship.assumptions.overridden:
        yield f"\n[assumption.{own.name}]"
        yield from _keys(median=own.median, spread=own.geometric_sd, why=own.source)


def _system(row: System) -> Iterator[str]:
    yield from _keys(
        name=row.name,
        kind=row.kind,
        volts=row.volts,
        hertz=row.hertz,
        hull_capacitance_uf=_in(row.capacitance, MICROFARAD),
        insulation_ohm=row.insulation,
        switchboard_zone=row.switchboard_zone,
        fed_from_shore=row.fed_from_shore,
    )
    if row.lamps is not None:
        yield f"lamps = {{ {', '.join(_keys(**asdict(row.lamps)))} }}"


def _keys(**values: Value) -> Iterator[str]:
    for name, value in values.items():
        if isinstance(value, (str, When, bool)):
            text = value.text if isinstance(value, When) else value
            yield f"{name} = {json.dumps(text, ensure_ascii=False)}"
        elif value is not None:
            yield f"{name} = {value:.12g}"


def _in(value: float | None, unit: float) -> float | None:
    return None if value is None else value / unit


def _zone(row: Zone) -> dict[str, Value]:
    return {
        "zone": row.zone,
        "name": row.name,
        "frame_from": row.frame_from,
        "frame_to": row.frame_to,
        "side": row.side,
        "top_m": row.top,
        "bottom_m": row.bottom,
        "area_m2": row.area,
        "exposure": row.exposure,
        "metal": row.metal,
        "built_mm": row.built / MM,
        "limit_mm": row.limit / MM,
        "pit_limit_mm": row.pit_limit / MM,
        "bare_percent": _in(row.bare, PERCENT),
        "bare_seen": row.bare_seen,
        "painted": row.painted,
        "bond_ohm": row.bond,
        "bonded_to": row.bonded_to,
        "protection_ma_per_m2": row.protection / MILLIAMPERE,
        "consequence": row.consequence,
        "access": row.access,
        "gauge_hours": row.gauge_hours,
        "cable_share": row.cable_share,
    }


def _fault(ship: Ship, row: Fault) -> dict[str, Value]:
    read = row.readings
    names = () if row.system is None else ship.system(row.system).conductors
    volts = zip(names, read.hull_volts, strict=False)
    return {
        "fault": row.fault,
        "system": row.system,
        "circuit": row.circuit,
        "conductor": read.conductor,
        "zone": row.zone,
        "source": row.source,
        "return": row.returns,
        "last_good": row.last_good,
        "found": row.found,
        "cleared": row.cleared,
        "amps": read.amps,
        "current": row.current,
        "insulation_ohm": read.insulation,
        **{f"hull_v_{_VOLTS[name]}": value for name, value in volts},
        "meter_ohm": read.meter,
        **dict(zip(_LAMPS, read.lamps, strict=False)),
        "remark": row.remark,
    }


def _berth(row: Berth) -> dict[str, Value]:
    return {
        "from": row.start,
        "to": row.end,
        "berth": row.berth,
        "supply": row.supply,
        "earth_cable_ohm": row.earth_cable,
        "shore_earth_ohm": row.shore_earth,
        "earth_couple_v": row.earth_couple,
        "galvanic_isolator": "yes" if row.galvanic_isolator else "no",
        "afloat": "yes" if row.afloat else "no",
        "shore_side": row.shore_side,
        "shore_distance_m": row.shore_distance,
    }


def _gauging(row: Gauging) -> dict[str, Value]:
    return {
        "zone": row.zone,
        "date": row.date,
        "frame": row.frame,
        "thickness_mm": row.thickness / MM,
        "readings": row.readings,
        "sd_mm": _in(row.sd, MM),
        "kind": row.kind,
        "remark": row.remark,
    }


def _circuit(row: Circuit) -> dict[str, Value]:
    return asdict(row)
