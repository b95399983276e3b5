"""Lines of plain text: aligned columns, and lists under a heading."""

from collections.abc import Sequence

__all__ = ["columns", "listed"]


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
