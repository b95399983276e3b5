"""Upkeep as plain text: what to have done in dock, and insulation surveys."""

from collections.abc import Mapping
from typing import Any

from corrosion.inspection.cautions import ENCLOSED, ESTIMATE, SURVEY, WELDING
from corrosion.presentation.sentences import docking_sentence, surveys_sentence
from corrosion.presentation.tables import upkeep
from corrosion.presentation.terminal.lines import (
    caution,
    dangers,
    grid,
    listed,
    paragraph,
)
from corrosion.presentation.units import METRIC, UnitSystem


def docking_text(
    result: Mapping[str, Any], width: int, units: UnitSystem = METRIC
) -> str:
    """Return the lists for the yard."""
    lists = [table for table in upkeep.docking(result).values() if table.rows]
    return "\n".join(
        [
            *dangers(result["dangers"], width),
            *(caution(text, width) for text in (ESTIMATE, ENCLOSED, WELDING)),
            "",
            paragraph(f"{result['ship']}: {docking_sentence(result, units)}", width),
            *(
                f"\n{paragraph(table.caption, width)}:\n{grid(table, width, units)}"
                for table in lists
            ),
            *listed("Doubts:", result["warnings"], width),
        ]
    )


def surveys_text(result: Mapping[str, Any], width: int) -> str:
    """Return the insulation surveys, and how each circuit's insulation goes."""
    tables = (upkeep.survey_trends(result["trends"]), upkeep.surveys(result["surveys"]))
    return "\n".join(
        [
            caution(SURVEY, width),
            "",
            paragraph(f"{result['ship']}: {surveys_sentence(result)}", width),
            *(
                f"\n{paragraph(table.caption, width)}:\n{grid(table, width)}"
                for table in tables
                if table.rows
            ),
            *listed("Doubts:", result["warnings"], width),
        ]
    )
