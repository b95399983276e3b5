"""Charge of hull-current logs, as an object."""

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from corrosion.records.monitor import charge
from corrosion.results import plain
from corrosion.units import HOUR

__all__ = ["charged"]


def charged(logs: Sequence[Path]) -> dict[str, Any]:
    """Return what logs add up to, a row a circuit.

    Parameters
    ----------
    logs : sequence of Path
        Log files, CSV or Parquet.

    Returns
    -------
    dict
        The JSON object of ``corrosion charge``.

    Raises
    ------
    RecordError
        If a log cannot be read.
    """
    rows = charge(list(logs)).to_dict("records")
    return {
        "rows": [
            {
                "system": row["system"],
                "circuit": row["circuit"],
                "current": row["current"],
                "charge_ah": plain(row["charge"] / HOUR),
                "hours": plain(row["hours"]),
                "gap_hours": plain(row["gap_hours"]),
            }
            for row in rows
        ]
    }
