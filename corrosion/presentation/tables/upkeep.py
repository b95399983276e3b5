"""Tables of upkeep: insulation surveys, and what to have done in dock."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

from corrosion.presentation.answers.surveys import halves
from corrosion.presentation.tables.table import Row, Table, columns, table


def surveys(rows: Sequence[Row]) -> Table:
    """Return every insulation test of a sound branch."""
    caption = "Insulation tests of sound branches, the latest first"
    return table("insulation", caption, rows)


def survey_trends(rows: Sequence[Row]) -> Table:
    """Return each circuit's last value at 40 °C, and how it falls."""
    caption = "Circuits, the lowest insulation first"
    return table("insulation-trend", caption, rows, cell={"halving_years": halves})


_PLATES: Final = {
    "renew": "Plates to renew: likelier than not below a limit",
    "gauge": "Plates to gauge before the yard decides",
    "paint": "Zones to blast and paint: a tenth or more bare",
}


def docking(found: Mapping[str, Any]) -> dict[str, Table]:
    """Return the lists for the yard by name: renew, gauge, paint, joints, anodes."""
    plates = columns("docking-plates")
    tables = {
        name: Table(
            name=f"docking-{name}", caption=caption, columns=plates, rows=found[name]
        )
        for name, caption in _PLATES.items()
    }
    joints = "Joints of parts: measure, clean or renew"
    return tables | {
        "joints": table("docking-joints", joints, found["joints"]),
        "anodes": table("docking-anodes", "Anodes", found["anodes"]),
    }
