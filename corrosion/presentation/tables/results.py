"""Which tables each command's result has, for its CSV files."""

from collections.abc import Callable, Iterable, Mapping
from typing import Any, Final

from corrosion.presentation.tables import (
    currents,
    faults,
    planning,
    upkeep,
    whatif,
    zones,
)
from corrosion.presentation.tables.grounds import doubts
from corrosion.presentation.tables.hunt import blocks
from corrosion.presentation.tables.table import Table

_TABLES: Final[Mapping[str, Callable[[Any], Iterable[Table]]]] = {
    "charge": lambda it: (currents.log_charge(it),),
    "docking": lambda it: upkeep.docking(it).values(),
    "estimate": lambda it: (
        zones.totals(it),
        zones.ranking(it),
        faults.leading(it),
        doubts(it.warnings),
    ),
    "fleet": lambda it: (zones.ships(it["ships"]),),
    "hull": lambda it: (
        currents.hull_zones(it),
        currents.berths(it),
        *[currents.anodes(it["anodes"])] * bool(it["anodes"]),
    ),
    "hunt": lambda it: (block.table for block in blocks(it)),
    "isolate": lambda it: (
        whatif.limits(it["limits"]),
        whatif.measures(it["measures"]),
        whatif.durations(it["durations"]["curve"]),
    ),
    "leakage": lambda it: (faults.systems(it), faults.leaking(it["faults"])),
    "plan": lambda it: (planning.plan(it), planning.days(it)),
    "report": lambda it: it.tables(),
    "surveys": lambda it: (
        upkeep.survey_trends(it["trends"]),
        upkeep.surveys(it["surveys"]),
    ),
}


def tables_of(command: str, result: Any) -> list[Table]:
    """Return the tables of a command's result; none of one that has none."""
    return list(_TABLES[command](result)) if command in _TABLES else []
