"""Processes for tests that save a ship folder while something goes wrong."""

import multiprocessing
import os
import resource
import sys
from collections.abc import Callable
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess as Process
from pathlib import Path
from typing import Any, Final

from corrosion.records import SaveError, append_row, replace_row, save_tables

REFUSED: Final = 3
"""Exit code of a process whose save was refused in words."""

_STEPS: Final = ("os.rename", "os.mkdir", "os.remove", "os.chmod")
_NOT_READING: Final = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_DIRECTORY
_PEOPLE: Final = multiprocessing.get_context("forkserver")
_PEOPLE.set_forkserver_preload(
    ["corrosion.records.folder.save_table"]
)  # what takes long


def begin(work: Callable[..., None], *arguments: Any) -> Process:
    """Start a function of this module in a process of its own."""
    process = _PEOPLE.Process(target=work, args=arguments)
    process.start()
    return process


def channel() -> tuple[Connection, Connection]:
    """Return the two ends of a one-way pipe: to hear, to tell."""
    return _PEOPLE.Pipe(duplex=False)


def row(name: str) -> dict[str, str]:
    """Return a fault of the invented ship, not yet cleared."""
    return {"fault": name, "system": "service", "found": "2025-01-02", "amps": "0.7"}


def add_and_clear(folder: Path, who: str, count: int, told: Connection) -> None:
    """Write faults down and clear each, telling of every save that is done."""
    for n in range(count):
        append_row(folder, "faults", row(f"{who}{n}"))
        told.send((f"{who}{n}", None))
        replace_row(folder, "faults", {"fault": f"{who}{n}"}, {"cleared": "2025-01-03"})
        told.send((f"{who}{n}", "2025-01-03"))


def add(folder: Path, who: str, count: int) -> None:
    """Write faults down one by one."""
    for n in range(count):
        append_row(folder, "faults", row(f"{who}{n}"))


def die_at(folder: Path, step: int, *, tables: bool = False) -> None:
    """Write a fault down, and be gone at one step of what the system is asked to do.

    With ``tables`` a gauging is written down in the same save.
    """
    taken = 0

    def watch(event: str, arguments: tuple[Any, ...]) -> None:
        nonlocal taken
        writes = event == "open" and arguments[2] & _NOT_READING
        mine = any(str(folder) in str(one) for one in arguments)
        if mine and (writes or event in _STEPS):
            taken += 1
            if taken == step:
                os._exit(9)

    sys.addaudithook(watch)
    gauging = {"zone": "Z1", "date": "2025", "thickness_mm": "9", "kind": "mean"}
    more = {"gaugings": [gauging]} if tables else {}
    save_tables(folder, {"faults": [row("F9")], **more})


def save_no_more_than(folder: Path, size: int) -> None:
    """Write a fault down where no file may grow beyond some bytes."""
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, size))
    try:
        append_row(folder, "faults", row("F9"))
    except SaveError:
        os._exit(REFUSED)
