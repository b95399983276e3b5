"""Charge of hull-current logs, as an object."""

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from corrosion.foundation.json_values import json_value
from corrosion.foundation.units import HOUR
from corrosion.records.monitor.charge import charge

__all__ = ["log_charge"]


def log_charge(logs: Sequence[Path]) -> tuple[dict[str, Any], list[str]]:
    """Return what logs add up to, a row a circuit, and what is doubtful in them.

    Parameters
    ----------
    logs : sequence of Path
        Log files, CSV or Parquet.

    Returns
    -------
    answer : dict
        The JSON object of ``corrosion charge``.
    doubts : list of str
        What does not stop the count.

    Raises
    ------
    RecordError
        If a log cannot be read.
    """
    table = charge(list(logs))
    answer = {
        "rows": [
            {
                "system": row["system"],
                "circuit": row["circuit"],
                "current": row["current"],
                "charge_ah": json_value(row["charge"] / HOUR),
                "hours": json_value(row["hours"]),
                "gap_hours": json_value(row["gap_hours"]),
            }
            for row in table.to_dict("records")
        ]
    }
    return answer, [str(doubt) for doubt in table.attrs["doubts"]]
