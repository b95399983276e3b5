"""What is printed to be carried along: docking list, insulation surveys, a hunt."""

from collections.abc import Mapping
from typing import Any

from corrosion.inspection.cautions import ENCLOSED, ESTIMATE, SURVEY, WELDING
from corrosion.presentation.hunt_words import after, expectation, open_now, withheld
from corrosion.presentation.sentences import docking_sentence, surveys_sentence
from corrosion.presentation.tables import upkeep
from corrosion.presentation.tables.hunt import blocks
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


def hunt_text(result: Mapping[str, Any], width: int) -> str:
    """Return the hunt sheet: what is open on top, each act under its caution."""
    still = [paragraph(line, width) for line in open_now(result)]
    parts = [
        *dangers(result["dangers"], width),
        *still,
        paragraph(f"{result['ship']}, {result['system']}{after(result)}", width),
    ]
    if "next" in result:
        done = len(result["steps"]) - 1
        parts += [
            "",
            paragraph(
                f"Hunt {result['hunt']}, begun {result['steps'][0]['time']}, {done} "
                f"step{'s' * (done != 1)} so far. Now: {result['next']['words']}",
                width,
            ),
        ]
    for block in blocks(result):
        parts += ["", f"{block.head}.", caution(block.caution, width), ""]
        parts.append(grid(block.table, width))
    return "\n".join(
        [
            *parts,
            *listed("Not proposed to be opened, and why:", withheld(result), width),
            "",
            paragraph(expectation(result), width),
            *listed("Notes:", result["notes"], width),
            "",
            paragraph(f"At the end: {result['cautions']['end']}", width),
            *still,
        ]
    )
