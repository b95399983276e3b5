"""Keeps what each ship gave, a line each, so that a study can be stopped and resumed.

A file may hold several scenarios, sizes and states of the program; each line says of
which study it is. A line that was cut off when the study was stopped is lived again.
"""

import json
import sys
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import astuple
from pathlib import Path
from typing import Any

import click

from corrosion.validation.scores import Findings, Interval
from corrosion.validation.study import Asked, run_ships

Study = Mapping[str, object]


def keep(path: Path, study: Study, number: int, found: Findings) -> None:
    """Append what one ship gave.

    Parameters
    ----------
    path : Path
        File of JSON lines, made where it is not.
    study : mapping of str to object
        What tells this study from others: scenario, samples, seed, program.
    number : int
        Of the ship, from 0.
    found : dict
        Its rows; an interval is written as ``[p10, p50, p90, truth]``.
    """
    rows = {
        name: [astuple(x) if isinstance(x, Interval) else x for x in items]
        for name, items in found.items()
    }
    line = json.dumps({**study, "ship": number, "rows": rows})
    with path.open("a", encoding="utf-8") as file:
        file.write(f"{line}\n")


def read_kept(path: Path, study: Study) -> dict[int, Findings]:
    """Return the ships of one study that a file holds, by number.

    A key that ``study`` lacks may be anything in the file.
    """
    out: dict[int, Findings] = {}
    for line in _lines(path):
        if all(line.get(key) == value for key, value in study.items()):
            out[int(line["ship"])] = {
                name: [Interval(*x) if isinstance(x, list) else x for x in items]
                for name, items in line["rows"].items()
            }
    return out


def _lines(path: Path) -> Iterator[dict[str, Any]]:
    if not path.exists():
        return
    for text in path.read_text(encoding="utf-8").splitlines():
        try:
            line = json.loads(text)
        except json.JSONDecodeError:  # the study was stopped while it wrote
            continue
        if isinstance(line, dict) and "rows" in line:
            yield line


def resumed(
    asked: Asked, ships: Iterable[int], processes: int, file: Path | None, study: Study
) -> list[Findings]:
    """Return rows of ships in order: those that a file holds, and those lived now."""
    kept = read_kept(file, study) if file else {}
    found = {number: kept[number] for number in ships if number in kept}
    rest = [number for number in ships if number not in found]
    with click.progressbar(
        run_ships(asked, rest, processes), length=len(rest), file=sys.stderr
    ) as each:
        for number, rows in each:
            found[number] = rows
            if file:
                keep(file, study, number, rows)
    return [found[number] for number in sorted(found)]
