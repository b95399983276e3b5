"""Results as plain text for a terminal: columns, words and cautions."""

from corrosion.presentation.terminal.advice import (
    fleet_text,
    hunt_text,
    isolation_text,
    plan_text,
)
from corrosion.presentation.terminal.findings import (
    charge_text,
    estimate_text,
    hull_text,
    leakage_text,
    metal_text,
)

__all__ = [
    "charge_text",
    "estimate_text",
    "fleet_text",
    "hull_text",
    "hunt_text",
    "isolation_text",
    "leakage_text",
    "metal_text",
    "plan_text",
]
