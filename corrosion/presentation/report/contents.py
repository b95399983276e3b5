"""Everything that a report says, computed once by the answers behind the commands."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any, Final, get_args

import pandas as pd

from corrosion.foundation.errors import InputError
from corrosion.inspection.whatif.measures import (
    galvanic_isolators,
    isolating_transformers,
)
from corrosion.presentation.answers.dangers import dangers_of
from corrosion.presentation.answers.history import (
    berth_intervals,
    calibrated_thickness,
    gaugings,
)
from corrosion.presentation.answers.hunt import hunt_result
from corrosion.presentation.answers.isolation import isolation_result
from corrosion.presentation.answers.plan import gauging_plan
from corrosion.presentation.tables import (
    currents,
    faults,
    grounds,
    planning,
    whatif,
    zones,
)
from corrosion.presentation.tables.hunt import blocks
from corrosion.presentation.tables.table import Table
from corrosion.presentation.units import METRIC, UnitSystem
from corrosion.records.folder.files import folder_digest
from corrosion.records.ship import Access, ShipLies
from corrosion.results import Estimate

LIMITS_H: Final = (1.0, 4.0, 12.0, 24.0, 72.0, 168.0, 672.0)
"""Limits from found to cleared of the report's what-ifs. [h]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Contents:
    """What a report says; tables are those of `presentation.answers.history`."""

    result: Estimate
    # digest of the folder; None: the ship was not read from a folder
    digest: str | None
    hours: float  # hours at hand for gauging [h]
    # as `corrosion plan` gives it; None: nothing can be gauged
    plan: dict[str, Any] | None
    no_plan: str  # why there is no plan; empty where there is one
    isolation: dict[str, Any]  # as ``corrosion isolate`` gives it, for :data:`LIMITS_H`
    measures: list[dict[str, Any]]  # what the shore measures would have kept
    # as `corrosion hunt` gives it, a system with circuits each; empty where nobody told
    # how she lies
    hunts: tuple[dict[str, Any], ...]
    gaugings: pd.DataFrame
    calibrated_thickness: pd.DataFrame
    berths: pd.DataFrame

    def tables(self, units: UnitSystem = METRIC) -> list[Table]:
        """Return every table of the report, in its order."""
        result, isolation = self.result, self.isolation
        return [
            zones.totals(result, units),
            *[currents.anodes(result.anodes)] * bool(result.anodes),
            zones.ranking(result),
            planning.plan(self.plan),
            planning.days(self.plan),
            whatif.limits(isolation["limits"]),
            whatif.measures(self.measures),
            faults.leading(result),
            *(
                block.table
                for place, hunt in enumerate(self.hunts, 1)
                for block in blocks(hunt, place)
            ),
            planning.gaugings(self.gaugings),
            planning.calibrated_thickness(self.calibrated_thickness),
            whatif.durations(isolation["durations"]["curve"]),
            grounds.assumption_table(result.ship.assumptions),
            grounds.sources(result.ship),
            grounds.doubts(result.warnings),
        ]

    def to_json(self) -> dict[str, Any]:
        """Return the report's numbers as the commands' JSON objects."""
        return {
            "digest": self.digest,
            "dangers": dangers_of(self.result),
            "estimate": self.result.to_json(),
            "plan": self.plan,
            "isolate": self.isolation | {"measures": self.measures},
            "measures": self.measures,
            "hunt": list(self.hunts),
        }


def gather(
    result: Estimate,
    *,
    hours: float = 40.0,
    access: Collection[str] = get_args(Access),
    access_hours: Mapping[str, float] | None = None,
    lies: ShipLies | None = None,
) -> Contents:
    """Compute what a report says of an estimate.

    Parameters
    ----------
    result : Estimate
        The estimate; its random numbers are used again for what-ifs.
    hours : float, optional
        Hours at hand for gauging. [h]
    access : collection of str, optional
        Kinds of access that can be had.
    access_hours : mapping of str to float, optional
        Hours of one kind, where they are fewer. [h]
    lies : {'under way', 'alongside', 'dead ship'}, optional
        How the ship lies, for the hunt sheets; None: there are none, since what may be
        opened hangs on it.

    Raises
    ------
    InputError
        If the hours are not above zero.
    RecordError
        If the ship's folder cannot be read any more.
    """
    if not 0.0 < hours < float("inf"):
        msg = f"the hours at hand must be more than 0 h, got {hours:g} h. Give --hours."
        raise InputError(msg)
    ship = result.ship
    plan, no_plan = None, ""
    try:
        plan = gauging_plan(
            result, hours=hours, access=access, access_hours=access_hours
        )
    except InputError as error:
        no_plan = str(error)
    shore = [isolating_transformers(), galvanic_isolators()]
    isolation = isolation_result(result, LIMITS_H, shore)
    return Contents(
        result=result,
        digest=None if ship.folder is None else folder_digest(ship.folder),
        hours=hours,
        plan=plan,
        no_plan=no_plan,
        measures=isolation.pop("measures"),
        isolation=isolation,
        hunts=() if lies is None else _hunts(result, lies),
        gaugings=gaugings(result),
        calibrated_thickness=calibrated_thickness(result),
        berths=berth_intervals(result),
    )


def _hunts(result: Estimate, lies: ShipLies) -> tuple[dict[str, Any], ...]:
    """Return a hunt sheet for each system of which a circuit is known."""
    ship = result.ship
    known = {row.system for row in ship.circuits}
    known |= {row.system or "" for row in ship.faults if row.circuit is not None}
    return tuple(
        hunt_result(
            ship, system.name, lies=lies, as_of=result.as_of, dangers=dangers_of(result)
        )
        for system in ship.systems
        if system.name in known
    )
