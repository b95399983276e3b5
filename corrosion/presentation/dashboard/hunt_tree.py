"""The circuits of a hunt as a tree: what is ruled out, what is left, what is open."""

from collections.abc import Mapping
from typing import Any

from corrosion.inspection.fault_finding.permits import NOBODY, strictest
from corrosion.inspection.fault_finding.progress import Progress
from corrosion.inspection.fault_finding.sheet import circuits_of
from corrosion.presentation.dashboard.pictures import escape
from corrosion.presentation.format import chance
from corrosion.records.ship import Circuit, Ship


def hunt_tree(ship: Ship, progress: Progress, answer: Mapping[str, Any]) -> str:
    """Return the circuits as a tree, each with its mark and words.

    Parameters
    ----------
    ship : Ship
        Her circuits.
    progress : Progress
        How far the hunt has come.
    answer : mapping
        The object of ``corrosion hunt``, of the same.
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

    def item(row: Circuit) -> str:
        mark, words, state = _state(row.circuit, progress, share(row))
        inner = "".join(map(item, feeds.get(row.circuit, [])))
        ask = strictest([row.permission]) != NOBODY
        lock = ' <span title="ask first">▲</span>' * ask
        nested = f"<ul>{inner}</ul>" * bool(inner)
        return (
            f'<li class="{state}"><span><b aria-hidden="true">{mark}</b> '
            f"<s>{escape(row.circuit)}</s>{lock}</span><em>{words}</em>{nested}</li>"
        )

    tops = sorted(feeds.get(None, []), key=lambda row: -share(row))
    return (
        '<div class="pane tree"><p class="head">What is left (▲ ask first)</p>'
        f"<ul>{''.join(map(item, tops))}</ul></div>"
    )


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
