"""Charge of hull-current logs, as an object."""

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from corrosion.foundation.json_values import json_value
from corrosion.foundation.units import HOUR
from corrosion.records.kinds import RecorderWrites
from corrosion.records.monitor.charge import charge


def log_charge(
    logs: Sequence[Path],
    *,
    gap: float | None = None,
    writes: RecorderWrites | None = None,
) -> dict[str, Any]:
    """Return what logs add up to, a row a circuit, and what is doubtful in them.

    Parameters
    ----------
    logs : sequence of Path
        Log files, CSV or Parquet.
    gap : float, optional
        A longer step is a gap; by default five usual steps. [s]
    writes : {'on change', 'at intervals'}, optional
        How the recorder writes; by default as its rows look.

    Returns
    -------
    dict
        The JSON object of ``corrosion charge``.

    Raises
    ------
    RecordError
        If a log cannot be read.
    """
    table = charge(list(logs), gap, writes=writes)
    return {
        "warnings": [str(doubt) for doubt in table.attrs["doubts"]],
        "rows": [
            {
                **{name: row[name] for name in ("system", "circuit", "current")},
                "charge_ah": json_value(row["charge"] / HOUR),
                **{name: json_value(row[name]) for name in ("hours", "gap_hours")},
                "writes": row["writes"],
            }
            for row in table.to_dict("records")
        ],
    }
