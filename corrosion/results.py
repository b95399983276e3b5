"""What an estimate returns: its tables, the samples behind them, and its JSON."""

from dataclasses import asdict, dataclass
from datetime import date
from importlib import import_module
from typing import TYPE_CHECKING, Any

from corrosion.foundation.json_values import json_value, row_to_json
from corrosion.foundation.statistics import summarise
from corrosion.foundation.units import MM
from corrosion.history.inputs import ModelInputs
from corrosion.history.loss import LossHistory
from corrosion.inspection.calibration.calibrate import Calibration
from corrosion.inspection.calibration.conflict import LeftOut, PriorConflict
from corrosion.inspection.dangers import Danger
from corrosion.inspection.outlook import Outlook
from corrosion.inspection.sensitivity import (
    Influence,
    best_measurements,
    caution_of,
    influences,
    needs_of,
)
from corrosion.records.ship import Ship
from corrosion.result_tables import ACCOUNTS, ResultTable, anode_rows

if TYPE_CHECKING:
    import pandas as pd
    import plotly.graph_objects as go

_ZONE_KEYS = (
    *("zone", "rank", "priority"),
    *ACCOUNTS,
    *("bare_loss_mm", "stray_mm", "deepest_mm", "left_mm", "left_under_pit_mm"),
    *("chance_below_limit", "chance_error", "chance_in_first", "inspect_by"),
    *("leading_fault", "leading_cause", "substantial_chance", "ceiling_kg"),
)
_FAULT_KEYS = (
    *("fault", "zone", "hours", "resistance_ohm", "amps", "amps_ac", "amps_dc"),
    *("current", "water_share", "charge_ah", "charge_ah_ac", "charge_ah_dc"),
    *("kg", "spared_kg", "ceiling_kg", "standing"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """What became of a ship's plating, sample by sample and summed up."""

    ship: Ship  # the ship, without what lies after the date of the estimate
    # as_of, horizon: date of the estimate, and next docking
    as_of: date
    horizon: date
    # samples, seed: number of samples and seed
    samples: int
    seed: int
    # what is doubtful: in the records, between gaugings and model, in the model's
    # ranges. Worst first; one list for every face
    warnings: tuple[str, ...]
    # those of them that rest on the records alone, whatever samples and seed
    record_warnings: tuple[str, ...]
    # dangers to life that her records show; none named is no statement of safety
    dangers: tuple[Danger, ...]
    # zone_table, fault_table: one row a zone, the most urgent first; one row a fault,
    # in file order
    zone_table: ResultTable
    fault_table: ResultTable
    # sums over the ship, each with mean, p10, p50 and p90
    totals: dict[str, dict[str, float]]
    # inputs, history, calibration, outlook: the samples behind the tables
    inputs: ModelInputs
    history: LossHistory
    calibration: Calibration
    outlook: Outlook

    def __repr__(self) -> str:
        zones, faults = self.zone_table.rows, self.fault_table.rows
        first = zones[0]
        return (
            f"<Estimate of {self.ship.name} as of {self.as_of}: {len(zones)} zones, "
            f"{len(faults)} faults, {self.samples} samples, seed {self.seed}; first "
            f"{first['zone']}, {first['chance_below_limit']:.2g} chance below its "
            f"limit by {self.horizon}>"
        )

    @property
    def zones(self) -> "pd.DataFrame":
        """One row a zone, the most urgent first."""
        return self.zone_table.frame

    @property
    def faults(self) -> "pd.DataFrame":
        """One row a fault, in file order."""
        return self.fault_table.frame

    def _repr_html_(self) -> str:
        html: str = _face().html(self)
        return html

    def figure(self, name: str) -> "go.Figure":
        """Return a figure: ``shell``, ``ranking``, ``timeline``, ``loss by zone`` ...

        Raises
        ------
        LookupFailed
            If there is no such figure; the message offers the nearest.
        """
        figure: go.Figure = _face().figure(self, name)
        return figure

    def zone(self, name: str) -> dict[str, Any]:
        """Return one zone's row of ``zones``, by column.

        Raises
        ------
        LookupFailed
            If there is no such zone.
        """
        known = self.ship.zones[self.ship.zone_index(name)].zone
        return dict(next(r for r in self.zone_table.rows if r["zone"] == known))

    @property
    def anodes(self) -> list[dict[str, Any]]:
        """One row a group of anodes, as :func:`~corrosion.result_tables.anode_rows`."""
        return anode_rows(self.inputs, self.history)

    def influences(self, zone: str) -> tuple[Influence, ...]:
        """Return which unknowns drive a zone's margin, and what would settle them.

        Raises
        ------
        LookupFailed
            If there is no such zone.
        """
        at = self.ship.zone_index(zone)
        return influences(self.inputs, self.history, self.outlook, at)

    def to_json(self) -> dict[str, Any]:
        """Return the estimate as the design's JSON object: numbers, text and None."""
        zones, faults = self.zone_table.rows, self.fault_table.rows
        first, access = zones[0]["zone"], zones[0]["access"]
        return {
            "ship": self.ship.name,
            "as_of": self.as_of.isoformat(),
            "horizon": self.horizon.isoformat(),
            "samples": self.samples,
            "seed": self.seed,
            "dangers": [asdict(danger) for danger in self.dangers],
            "warnings": list(self.warnings),
            "totals": self.totals,
            "zones": [row_to_json(row, _ZONE_KEYS) for row in zones],
            "measure_next": [
                {
                    "zone": first,
                    "measure": what,
                    "share": json_value(share),
                    "needs": needs_of(what, access),
                    "caution": caution_of(what),
                }
                for what, share in best_measurements(self.influences(first))
            ],
            "faults": [row_to_json(row, _FAULT_KEYS) for row in faults],
            "gaugings": _gaugings(self.ship, self.calibration),
            "prior_conflict": _said(self.calibration.conflict),
            "left_out": _said(self.calibration.left_out),
            "anodes": self.anodes or None,
        }


def _said(found: PriorConflict | LeftOut | None) -> dict[str, Any] | None:
    return None if found is None else asdict(found)


def _gaugings(ship: Ship, calibration: Calibration) -> list[dict[str, Any]]:
    """Return every gauging with its chance to be wrong and its campaign's bias."""
    if calibration.measured is None:
        return []
    bias = calibration.bias / MM
    return [
        {
            "zone": row.zone,
            "date": row.date.text,
            "thickness_mm": row.thickness / MM,
            "chance_wrong": float(calibration.wrong[at]),
            "bias_mm": {key: float(x) for key, x in summarise(bias[:, at]).items()},
        }
        for row, at in zip(ship.gaugings, calibration.measured.row, strict=True)
    ]


def _face() -> Any:
    """Return what draws a result for people: a later room, known by name alone."""
    return import_module("corrosion.presentation.notebook")
