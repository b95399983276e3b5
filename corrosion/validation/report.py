"""What a study found, as a table of text and as one page with pictures."""

from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np
from jinja2 import Environment, StrictUndefined

from corrosion.validation.scenarios import SCENARIOS
from corrosion.validation.scores import CLAIM, ROWS, Row
from corrosion.validation.summary import UNBIASED, Scored


def _figure(row: Row, value: float) -> str:
    if row.kind == "mean":
        return f"{value:.3g} {row.unit}".strip()
    return f"{100.0 * value:.1f} %"


def _band(row: Row, band: tuple[float, float] | None) -> str:
    if band is None:
        return ""
    scale, unit = (1.0, "") if row.kind == "mean" else (100.0, " %")
    low, high = (f"{scale * x:g}" for x in band)
    if band[0] <= -99.0:
        return f"≤ {high}{unit}"
    open_ = band[1] >= (99.0 if row.kind == "mean" else 1.0)
    return f"≥ {low}{unit}" if open_ else f"{low} to {high}{unit}"


def _sharp(row: Row, one: Scored) -> str:
    return f"{one.crps:.3g} {row.unit}" if np.isfinite(one.crps) else ""


def table(rows: Sequence[Scored]) -> str:
    """Return the rows of a scenario as lines of text."""
    lines = []
    for one in rows:
        row = ROWS[one.row]
        error = _figure(row, 2.0 * one.error) if np.isfinite(one.error) else "?"
        rank = ""
        if np.isfinite(one.rank):
            rank = f"{one.rank:.2f} ± {2.0 * one.rank_error:.2f} {one.rank_verdict}"
        lines.append(
            f"  {row.words[:64]:64} {_figure(row, one.value):>12} ± {error:12}"
            f" {_band(row, one.band):13} {one.ships:4} ships {one.items:6}"
            f"  {_sharp(row, one):14} {one.verdict:10} {rank}".rstrip()
        )
    return "\n".join(lines)


def columns(results: Mapping[str, Sequence[Scored]]) -> str:
    """Return all scenarios side by side, as a table in Markdown.

    A cell is value ± 2 standard errors, mean rank (ships where they are fewer than the
    column's); ~ stands where the value lies outside its goal, ✗ where its span does.
    """
    found = {name: {one.row: one for one in rows} for name, rows in results.items()}
    ships = {name: max(one.ships for one in rows) for name, rows in results.items()}
    heads = [f"{name}, {count}" for name, count in ships.items()]
    lines = [["row", "goal", *heads], ["---"] * (len(heads) + 2)]
    for name, row in ROWS.items():
        cells = [
            _cell(row, each[name], ships[scenario]) if name in each else "–"
            for scenario, each in found.items()
        ]
        if set(cells) - {"–"}:
            lines.append([row.words, _band(row, row.band) or "told", *cells])
    return "".join(f"| {' | '.join(line)} |\n" for line in lines)


def _cell(row: Row, one: Scored, ships: int) -> str:
    if not one.items:
        return "–"
    scale = 1.0 if row.kind == "mean" else 100.0
    words = f"{scale * one.value:.3g} ± {scale * 2.0 * one.error:.3g}"
    words += _mark(one.value, one.error, one.band)
    if np.isfinite(one.rank):
        due = None if one.rank_verdict == "told" else UNBIASED
        words += f", {one.rank:.2f}{_mark(one.rank, one.rank_error, due)}"
    return words if one.ships == ships else f"{words} ({one.ships})"


def _mark(value: float, error: float, band: tuple[float, float] | None) -> str:
    if band is None or band[0] <= value <= band[1]:
        return ""
    far = max(band[0] - value, value - band[1])
    return " ✗" if far > 2.0 * error else " ~"


def page(results: Mapping[str, Sequence[Scored]], stated: Mapping[str, object]) -> str:
    """Return the report as one HTML file that needs no other.

    ``results``: by scenario. ``stated``: ships, samples and seed, as the study was
    asked.
    """
    text = Path(__file__).with_suffix(".html.j2").read_text("utf-8")
    return (
        Environment(autoescape=True, undefined=StrictUndefined)
        .from_string(text)
        .render(
            results=results,
            stated=stated,
            claim=CLAIM,
            scenarios=SCENARIOS,
            known=ROWS,
            figure=_figure,
            band=_band,
            sharp=_sharp,
            shares=_shares,
        )
    )


def _shares(ranks: Sequence[float]) -> list[float]:
    """Return how many truths stand in each tenth of the answers, over all."""
    count, _ = np.histogram(ranks, 10, (0.0, 1.0))
    return [float(share) for share in count / count.sum()]
