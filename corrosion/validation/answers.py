"""What the estimate answers in JSON, and other commands; a missing key: no answer."""

import json
import subprocess
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from corrosion.validation.scores import Interval


@dataclass(frozen=True, slots=True)
class Answer:
    """One JSON object of ``corrosion estimate``."""

    json: Mapping[str, Any]

    @property
    def zones(self) -> dict[str, Mapping[str, Any]]:
        """Zones by id, in their order of priority."""
        return {row["zone"]: row for row in self.json["zones"]}

    @property
    def faults(self) -> dict[str, Mapping[str, Any]]:
        """Faults by id."""
        return {row["fault"]: row for row in self.json["faults"]}

    @property
    def totals(self) -> Mapping[str, Any]:
        """Sums over the ship."""
        totals: Mapping[str, Any] = self.json["totals"]
        return totals

    def gauging(self, zone: str, date: str) -> Mapping[str, Any]:
        """Return what is said of a gauging, empty where nothing is."""
        for row in self.json.get("gaugings") or ():
            if row["zone"] == zone and str(row["date"]).startswith(date):
                said: Mapping[str, Any] = row
                return said
        return {}

    def campaign_bias(self, zone: str, date: str) -> float:
        """Return the bias that the estimate sees in a gauging, 0 where it says none."""
        bias = self.gauging(zone, date).get("bias_mm")
        return float(bias["p50"]) if bias else 0.0


def interval(row: Mapping[str, Any], truth: float, *keys: str) -> Interval | None:
    """Return the first key that is answered, beside the truth; None: none is."""
    for key in keys:
        found = row.get(key)
        if found is not None:
            return Interval(found["p10"], found["p50"], found["p90"], float(truth))
    return None


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
