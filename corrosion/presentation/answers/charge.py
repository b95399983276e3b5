"""Charge of hull-current logs, as an object."""

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from corrosion.foundation.units import HOUR
from corrosion.records.monitor.charge import charge
from corrosion.results import plain

__all__ = ["charged"]


def charged(logs: Sequence[Path]) -> tuple[dict[str, Any], list[str]]:
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
                "charge_ah": plain(row["charge"] / HOUR),
                "hours": plain(row["hours"]),
                "gap_hours": plain(row["gap_hours"]),
            }
            for row in table.to_dict("records")
        ]
    }
    return answer, [str(doubt) for doubt in table.attrs["doubts"]]
