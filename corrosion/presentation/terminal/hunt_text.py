"""The hunt sheet as plain text for a terminal of some width."""

from collections.abc import Mapping
from typing import Any

from corrosion.presentation.hunt_words import after, expectation, open_now, withheld
from corrosion.presentation.tables.hunt import blocks
from corrosion.presentation.terminal.lines import (
    caution,
    dangers,
    grid,
    listed,
    paragraph,
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
