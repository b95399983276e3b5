"""Tables of upkeep: insulation surveys, and what to have done in dock."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

from corrosion.presentation.answers.surveys import halves
from corrosion.presentation.tables.table import Row, Table, table


def surveys(rows: Sequence[Row]) -> Table:
    """Return every insulation test of a sound branch."""
    return table("insulation", rows)


def survey_trends(rows: Sequence[Row]) -> Table:
    """Return each circuit's last value at 40 °C, and how it falls."""
    return table("insulation-trend", rows, cell={"halving_years": halves})


_PLATES: Final = ("renew", "gauge", "paint")
_REST: Final = ("joints", "anodes")


def docking(found: Mapping[str, Any]) -> dict[str, Table]:
    """Return the lists for the yard by name: renew, gauge, paint, joints, anodes."""
    plates = {
        name: table(f"docking-{name}", found[name], of=("docking-plates",))
        for name in _PLATES
    }
    rest = {name: table(f"docking-{name}", found[name]) for name in _REST}
    return plates | rest
