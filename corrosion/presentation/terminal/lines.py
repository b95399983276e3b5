"""Lines of plain text: aligned columns, and lists under a heading."""

import textwrap
from collections.abc import Mapping, Sequence
from typing import Any, Final

from corrosion.inspection.cautions import NO_DANGER

__all__ = ["columns", "dangers", "listed", "said"]

_WIDTH: Final = 88


def said(text: str) -> str:
    """Return a sentence broken into lines."""
    return textwrap.fill(text, _WIDTH)


def dangers(found: Sequence[Mapping[str, Any]]) -> list[str]:
    """Return the danger lines that stand above everything, or what silence means."""
    if not found:
        return [said(NO_DANGER), ""]
    return [*(said(f"!! {row['text']}") for row in found), ""]


def columns(head: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """Return a table with aligned columns, all but the first flush right."""
    table = [list(head), *(list(row) for row in rows)]
    width = [max(map(len, column)) for column in zip(*table, strict=True)]
    lines = [
        "  ".join(
            cell.ljust(w) if k == 0 else cell.rjust(w)
            for k, (cell, w) in enumerate(zip(row, width, strict=True))
        ).rstrip()
        for row in table
    ]
    rule = "  ".join("-" * w for w in width)
    return "\n".join([lines[0], rule, *lines[1:]])


def listed(head: str, items: Sequence[str]) -> list[str]:
    """Return a heading and its items as lines, or nothing where there is none."""
    return ["", head, *(f"  - {item}" for item in items)] if items else []
