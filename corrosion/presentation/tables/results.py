"""Which tables each command's result has, for its CSV files."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from corrosion.presentation.tables import currents, faults, planning, whatif, zones
from corrosion.presentation.tables.grounds import doubts
from corrosion.presentation.tables.table import Table

if TYPE_CHECKING:
    from corrosion.results import Estimate


def estimate_tables(result: "Estimate") -> list[Table]:
    """Return the tables of an estimate."""
    return [
        zones.totals(result),
        zones.ranking(result),
        faults.leading(result),
        doubts(result.warnings),
    ]


def leakage_tables(answer: Mapping[str, Any]) -> list[Table]:
    """Return the tables of ``corrosion leakage``."""
    return [faults.systems(answer), faults.leaking(answer["faults"])]


def hull_tables(answer: Mapping[str, Any]) -> list[Table]:
    """Return the tables of ``corrosion hull``."""
    return [
        currents.hull_zones(answer),
        currents.berths(answer),
        *[currents.anodes(answer["anodes"])] * bool(answer["anodes"]),
    ]


def isolation_tables(answer: Mapping[str, Any]) -> list[Table]:
    """Return the tables of ``corrosion isolate``."""
    return [
        whatif.limits(answer["limits"]),
        whatif.measures(answer["measures"]),
        whatif.durations(answer["durations"]["curve"]),
    ]


def plan_tables(answer: Mapping[str, Any]) -> list[Table]:
    """Return the tables of ``corrosion plan``."""
    return [planning.plan(answer), planning.days(answer)]
