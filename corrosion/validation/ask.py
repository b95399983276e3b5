"""Asks the command line what is not in the estimate's JSON: plans and hunts."""

import json
import subprocess
import sys
from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import Any


def _command(*words: str) -> Mapping[str, Any]:
    done = subprocess.run(  # noqa: S603 - our own command, our own folder
        [sys.executable, "-m", "corrosion", *words, "--json", "-"],
        capture_output=True,
        check=True,
        text=True,
    )
    answer: Mapping[str, Any] = json.loads(done.stdout)
    return answer


def plan(folder: Path, hours: float, day: date, samples: int) -> Mapping[str, Any]:
    """Return the plan of a ship folder for so many hours."""
    return _command(
        "plan", str(folder), "--hours", f"{hours:g}", "--as-of", day.isoformat(),
        "--samples", str(samples),
    )  # fmt: skip


def hunts(folder: Path, system: str, day: date) -> Sequence[Mapping[str, Any]]:
    """Return the order in which to open the circuits of a system."""
    order: Sequence[Mapping[str, Any]] = _command(
        "hunt", str(folder), "--system", system, "--ship", "alongside", "--as-of",
        day.isoformat(),
    )["order"]  # fmt: skip
    return order
