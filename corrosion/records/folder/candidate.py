"""Checking the files of a ship: every problem of every file in one pass, or a ship."""

from collections.abc import Iterable, Mapping
from itertools import chain, islice
from pathlib import Path
from typing import Any, Final

from corrosion.foundation.errors import Problem, RecordError
from corrosion.records import ship as si
from corrosion.records.folder import columns as of
from corrosion.records.folder.date_order import impossible_dates, in_order
from corrosion.records.folder.doubt_list import grouped
from corrosion.records.folder.errors_across import problems_across
from corrosion.records.folder.files import (
    FILES,
    HUNTS,
    REQUIRED,
    contents,
    monitor_logs,
    strangers,
    this_hour,
    whole_file,
)
from corrosion.records.folder.folder_tables import Tables, fold_names
from corrosion.records.folder.mapping import T, record_of
from corrosion.records.folder.row import R, Row
from corrosion.records.folder.sheet_rows import read_sheet
from corrosion.records.folder.ship_toml import read_ship_file
from corrosion.records.folder.warnings import doubts

_MOST_PROBLEMS: Final = 1000
_AFLOAT: Final = si.Berth(start=None, end=None, berth="afloat", supply="own")


def read_candidate(folder: Path, changed: Mapping[str, bytes | None]) -> si.Ship:
    """Read and check a ship folder as it would be with some files changed.

    In SI units, with its doubts.

    ``folder``: the folder that holds ship.toml. ``changed``: content that stands in for
    the files of those names; None: no such file.

    Raises RecordError if there are problems: every one of every file, with file, line
    and column.
    """
    problems: list[Problem] = []
    whole = {**contents(folder, problems), **changed}
    files = {name: data for name, data in whole.items() if data is not None}
    gone = sorted({*REQUIRED} & changed.keys() - files.keys())
    problems += [whole_file(name, "it would be gone", "to stay") for name in gone]
    logs = monitor_logs(folder, problems)
    noted: list[Problem] = []
    tables = _tables(files, problems, noted)
    fold_names(tables)
    across = chain(problems_across(tables), impossible_dates(tables))
    problems.extend(islice(across, _MOST_PROBLEMS))
    if next(across, None) is not None:
        found = f"checking stopped after {_MOST_PROBLEMS} problems across files"
        problems.append(whole_file("", found, "these put right; then check again"))
    if problems:
        raise RecordError(_sorted(problems))
    doubtful = [*noted, *doubts(tables, this_hour()), *strangers(folder)]
    campaigns: dict[tuple[str, int | None], str] = {
        ("gaugings.csv", row.line): row.date.text[:7] for row in tables.gaugings
    }
    return _ship(tables, folder, logs, grouped(_sorted(doubtful), campaigns))


def _tables(
    files: Mapping[str, bytes], problems: list[Problem], noted: list[Problem]
) -> Tables:
    def rows(model: type[R], file: str) -> tuple[R, ...] | None:
        if file not in files:
            return None if file in REQUIRED else ()
        return read_sheet(model, file, files[file], problems, noted)

    read: dict[str, Any] = {
        table: rows(model, f"{table}.csv") for table, model in of.TABLES.items()
    }
    return Tables(
        file=read_ship_file(files.get("ship.toml"), problems),
        zones=read.pop("zones"),
        **{table: some or () for table, some in read.items()},
        hunts={
            Path(file).stem: rows(of.HuntRow, file) or ()
            for file in files
            if file.startswith(f"{HUNTS}/")
        },
    )


def _sorted(problems: list[Problem]) -> list[Problem]:
    """Return problems in the order of files and lines, each once."""
    place = {name: number for number, name in enumerate(FILES)}
    unique = dict.fromkeys(problems)
    return sorted(unique, key=lambda row: (place.get(row.file, -1), row.line or 0))


def _anodes(rows: tuple[of.AnodeRow, ...]) -> tuple[si.Anode, ...]:
    """Return one anode a name, as its first row tells it."""
    by_name: dict[str, list[of.AnodeRow]] = {}
    for row in rows:
        by_name.setdefault(row.anode, []).append(row)
    return tuple(same[0].record(tuple(same)) for same in by_name.values())


def _records(rows: Iterable[Row], kind: type[T]) -> tuple[T, ...]:
    return tuple(record_of(row, kind) for row in rows)


def _ship(
    tables: Tables,
    folder: Path,
    logs: tuple[si.MonitorLog, ...],
    doubtful: tuple[Problem, ...],
) -> si.Ship:
    systems = {name: row.record() for name, row in tables.systems.items()}
    faults = (row.record(systems.get(row.system or "")) for row in tables.faults)
    ship = tables.file.ship
    return si.Ship(
        name=ship.name,
        folder=folder,
        form=record_of(ship, si.Form),
        water=record_of(tables.file.water, si.Water),
        built=ship.built,
        last_docking=ship.last_docking,
        next_docking=ship.next_docking,
        systems=tuple(systems.values()),
        zones=tuple(row.record() for row in tables.zones or ()),
        faults=tuple(faults),
        berths=tuple(row.record() for row in in_order(tables.berths)) or (_AFLOAT,),
        gaugings=_records(tables.gaugings, si.Gauging),
        circuits=_records(tables.circuits, si.Circuit),
        readings=tuple(
            row.record(systems.get(tables.system_of(row) or ""))
            for row in tables.readings
        ),
        works=_records(tables.works, si.Work),
        anodes=_anodes(tables.anodes),
        potentials=_records(tables.potentials, si.Potential),
        hunts=tuple(
            si.Hunt(hunt=name, steps=tuple(row.record() for row in rows))
            for name, rows in tables.hunts.items()
        ),
        display=tables.file.display,
        recorder=tables.file.recorder,
        logs=logs,
        prices=tables.file.prices,
        assumptions=tables.file.assumptions,
        doubts=doubtful,
    )
