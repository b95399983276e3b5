"""A hunt on paper, to take along, and its circuits as a tree: what is left of them."""

from collections.abc import Mapping
from typing import Any, Final

import pandas as pd

from corrosion.inspection.cautions import NO_DANGER
from corrosion.inspection.fault_finding.permits import NOBODY, strictest
from corrosion.inspection.fault_finding.progress import Progress
from corrosion.inspection.fault_finding.sheet import circuits_of
from corrosion.presentation import hunt_words as words
from corrosion.presentation.dashboard.markup import markup, templates
from corrosion.presentation.format import chance
from corrosion.presentation.tables.hunt import Block, blocks
from corrosion.presentation.tables.table import PAGE
from corrosion.records.ship import Circuit, Ship

_BOXES: Final = {
    "look": "Seen",
    "clamp": "mA",
    "open": "Stayed, went; closed",
    "test": "Ω; isolated by",
}


def hunt_html(answer: Mapping[str, Any]) -> str:
    """Return the hunt sheet as one HTML page with boxes to write into.

    ``answer``: the object of ``corrosion hunt``.
    """
    return _rendered("page", answer)


def hunt_body(answer: Mapping[str, Any]) -> str:
    """Return the same without its head, to stand within a page.

    ``answer``: the object of ``corrosion hunt``.
    """
    return _rendered("body", answer)


def _rendered(what: str, answer: Mapping[str, Any]) -> str:
    return (
        templates()
        .get_template(f"hunt_{what}.html.j2")
        .render(
            answer,
            answer=answer,
            blocks=[(b, *_rows(b)) for b in blocks(answer)],
            boxes=_BOXES,
            no_danger=NO_DANGER,
            words=words,
        )
    )


def _rows(block: Block) -> tuple[pd.DataFrame, str]:
    """Return a block's rows, and who all of them need, which is then said once."""
    rows = block.table.frame(PAGE)
    needs = set(rows["Needs"])
    if len(needs) != 1:
        return rows, ""
    return rows.drop(columns="Needs"), f" (needs: {needs.pop()})"


def hunt_tree(ship: Ship, progress: Progress, answer: Mapping[str, Any]) -> str:
    """Return the circuits as a tree, each with its mark and words.

    ``ship``: her circuits. ``progress``: how far the hunt has come. ``answer``: the
    object of ``corrosion hunt``, of the same.
    """
    rows = circuits_of(ship, progress.system)
    left = {row["circuit"]: float(row["chance"]) for row in answer["left"]}
    feeds: dict[str | None, list[Circuit]] = {}
    for row in rows.values():
        above = row.fed_from if row.fed_from in rows else None
        feeds.setdefault(above, []).append(row)

    def share(row: Circuit) -> float:
        below = feeds.get(row.circuit, [])
        return left.get(row.circuit, 0.0) + sum(share(each) for each in below)

    def item(row: Circuit) -> dict[str, Any]:
        mark, words, state = _state(row.circuit, progress, share(row))
        ask = strictest([row.permission]) != NOBODY
        below = [item(each) for each in feeds.get(row.circuit, [])]
        told = {"mark": mark, "words": words, "state": state, "ask": ask}
        return {"circuit": row.circuit, "feeds": below, **told}

    tops = sorted(feeds.get(None, []), key=lambda row: -share(row))
    return str(markup("hunt_tree", [item(row) for row in tops]))


def _state(name: str, progress: Progress, share: float) -> tuple[str, str, str]:
    """Return mark, words and class of a circuit."""
    seen = progress.seen
    if name in seen.opened:
        return "▣", "STANDS OPEN", "on still"
    if name == seen.gone:
        return "●", "the indication went", "on"
    if share <= 0.0:
        return "✕", "ruled out", "off"
    mark, more = "○", ""
    if name == seen.shown:
        mark, more = "●", ", the clamp shows it"
    elif name in seen.silent:
        more = ", clamped: nothing"
    elif any(circuit == name for _, circuit in progress.skipped):
        mark, more = "–", ", skipped"
    return mark, f"{chance(share)}{more}", "on"
