"""What a study found, as a table of text and as one page with pictures."""

from collections.abc import Iterator, Mapping, Sequence
from html import escape

import numpy as np

from corrosion.validation.rows import ROWS, Row
from corrosion.validation.scenarios import SCENARIOS
from corrosion.validation.scores import CLAIM
from corrosion.validation.summary import UNBIASED, Scored

_STYLE = """
body { font: 15px/1.45 system-ui, sans-serif; margin: 2rem auto; max-width: 70rem;
       padding: 0 1rem; color: #1b1f24; background: #fff }
table { border-collapse: collapse; width: 100% } td, th { padding: .2rem .5rem;
       text-align: left; border-bottom: 1px solid #d5d9de; vertical-align: middle }
td.n, td.b { white-space: nowrap }
td.n { text-align: right; font-variant-numeric: tabular-nums }
.pass { color: #0b5f2a } .fail { color: #9b1c1c; font-weight: 600 }
.few, .unsettled, .no, .told { color: #555 }
"""


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


def table(rows: Sequence[Scored]) -> str:
    """Return the rows of a scenario as lines of text."""
    lines = []
    for one in rows:
        row = ROWS[one.row]
        error = _figure(row, 2.0 * one.error) if np.isfinite(one.error) else "?"
        sharp = f"{one.crps:.3g} {row.unit}" if np.isfinite(one.crps) else ""
        rank = ""
        if np.isfinite(one.rank):
            rank = f"{one.rank:.2f} ± {2.0 * one.rank_error:.2f} {one.rank_verdict}"
        lines.append(
            f"  {row.words[:64]:64} {_figure(row, one.value):>12} ± {error:12}"
            f" {_band(row, one.band):13} {one.ships:4} ships {one.items:6}"
            f"  {sharp:14} {one.verdict:10} {rank}".rstrip()
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

    Parameters
    ----------
    results : mapping of str to sequence of Scored
        By scenario.
    stated : mapping of str to object
        Ships, samples and seed, as the study was asked.
    """
    return "".join(_parts(results, stated))


def _parts(
    results: Mapping[str, Sequence[Scored]], stated: Mapping[str, object]
) -> Iterator[str]:
    yield '<!doctype html><html lang="en"><meta charset="utf-8">'
    yield f"<title>Ships simulated forward</title><style>{_STYLE}</style>"
    yield "<h1>Ships simulated forward</h1><p>"
    yield escape(", ".join(f"{key} {value}" for key, value in stated.items()))
    yield (
        ". All ships are invented. Bars: value and two standard errors by ship; grey: "
        f"the band. A row claims nothing from fewer than {CLAIM} ships. Small bars: "
        "where truths stand in the answers; level where answers are as wide as they "
        "ought to be, high at both ends where they are too narrow; beside them the "
        "mean, 0.5 where answers are neither too high nor too low.</p>"
    )
    for name, rows in results.items():
        yield f"<h2>{escape(name)}</h2><p>{escape(SCENARIOS[name].words)}</p><table>"
        yield "<tr><th>row<th>value<th>band<th><th>ranks<th>score<th>ships<th>items"
        yield "<th>verdict</tr>"
        for one in rows:
            yield _line(one)
        yield "</table>"


def _line(one: Scored) -> str:
    row = ROWS[one.row]
    left = [f"{one.points} points" if one.points else ""]
    left += [f"{one.silent} not answered" if one.silent else ""]
    beside = ", ".join(word for word in left if word)
    sharp = f"{one.crps:.3g} {row.unit}" if np.isfinite(one.crps) else ""
    value = _figure(row, one.value) if one.items else "-"
    return (
        f"<tr><td>{escape(row.words)}<td class=n>{escape(value)}"
        f"<td class=b>{escape(_band(row, one.band))}"
        f"<td>{_bar(row, one)}<td>{_ranks(one)}"
        f"<td class=n>{escape(sharp)}<td class=n>{one.ships}"
        f"<td class=n>{one.items}{' (' + beside + ')' if beside else ''}"
        f'<td class="{one.verdict.split()[0]}">{one.verdict}</tr>'
    )


def _bar(row: Row, one: Scored) -> str:
    """Draw a share, its error and its band on a line from 0 to 100 %."""
    if row.kind == "mean" or one.band is None or not one.items:
        return ""
    low, high = (200.0 * x for x in one.band)
    error = min(one.error, 0.5)
    start, end = (
        200.0 * float(np.clip(one.value + s * 2.0 * error, 0.0, 1.0)) for s in (-1, 1)
    )
    name = f"{100 * one.value:.0f} %, band {100 * one.band[0]:.0f} to "
    name += f"{100 * one.band[1]:.0f} %"
    return (
        f'<svg width="202" height="18" role="img" aria-label="{name}">'
        f'<rect x="{low:.1f}" width="{high - low:.1f}" height="18" fill="#d5d9de"/>'
        '<path d="M0.5 0V18M200.5 0V18" stroke="#8a9099"/>'
        f'<path d="M{start:.1f} 9H{end:.1f}" stroke="#1b4f8a" stroke-width="3"/>'
        f'<circle cx="{200 * one.value:.1f}" cy="9" r="4" fill="#1b4f8a"/></svg>'
    )


def _ranks(one: Scored) -> str:
    """Draw how truths stand in the answers, ten bars; a level line is what is due."""
    if not one.ranks:
        return ""
    count, _ = np.histogram(one.ranks, 10, (0.0, 1.0))
    share = count / count.sum()
    bars = "".join(
        f'<rect x="{9 * k + 1}" y="{30 - min(60 * s, 30):.1f}" width="8" '
        f'height="{min(60 * s, 30):.1f}" fill="#1b4f8a"/>'
        for k, s in enumerate(share)
    )
    verdict = one.rank_verdict
    return (
        '<svg width="92" height="31" role="img" aria-label="rank histogram">'
        f'{bars}<path d="M0 24H92" stroke="#9b1c1c" stroke-dasharray="3 2"/></svg>'
        f" {one.rank:.2f} ± {2.0 * one.rank_error:.2f} "
        f'<span class="{verdict.split()[0]}">{verdict}</span>'
    )
