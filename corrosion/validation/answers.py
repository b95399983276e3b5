"""What the estimate answers, taken from its JSON; a key that it lacks is no answer."""

from collections.abc import Mapping
from dataclasses import dataclass
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
