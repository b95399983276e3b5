"""A hunt on paper, to take along, and its circuits as a tree: what is left of them."""

from collections.abc import Mapping
from typing import Any, Final

import pandas as pd
from jinja2 import Environment
from markupsafe import Markup

from corrosion.inspection.cautions import NO_DANGER
from corrosion.inspection.fault_finding.permits import NOBODY, strictest
from corrosion.inspection.fault_finding.progress import Progress
from corrosion.inspection.fault_finding.sheet import circuits_of
from corrosion.presentation import hunt_words as words
from corrosion.presentation.dashboard.escaping import escape
from corrosion.presentation.format import chance
from corrosion.presentation.tables.hunt import Block, blocks
from corrosion.presentation.tables.table import PAGE
from corrosion.records.ship import Circuit, Ship

_BODY: Final = """{% for row in dangers %}\
<p class="danger">{{ row.text }}</p>{% else %}<p>{{ no_danger }}</p>{% endfor %}
{% for line in open_now %}<p class="danger">{{ line }}</p>{% endfor %}
<h2 class="top">Hunt sheet: {{ ship }}, {{ system }}</h2>
<p>As of {{ as_of }}{{ after }}. One person in charge: ______________________</p>
{% for block, rows, needs in blocks %}<h2>{{ block.head }}{{ needs }}</h2>
<p><b>Caution.</b> {{ block.caution }}</p>
<table><thead><tr>{% for name in rows.columns %}<th>{{ name }}</th>{% endfor %}
<th>{{ boxes[block.act] }}</th></tr></thead><tbody>
{% for row in rows.values %}<tr>{% for cell in row %}<td{% if cell|length > 40 %} \
class="long"{% endif %}>{{ cell }}</td>{% endfor %}<td class="box"></td></tr>
{% endfor %}</tbody></table>{% endfor %}
{% if withheld %}<h2>Not proposed to be opened, and why</h2>
<ul class="two">{% for line in withheld %}<li>{{ line }}</li>{% endfor %}</ul>
{% endif %}
<p>{{ expectation }}</p>
<ul>{% for note in notes if not note.startswith("Ask ") %}
<li>{{ note }}</li>{% endfor %}</ul>
<p><b>At the end.</b> {{ cautions["end"] }} Closed again, all: time, initials
______________________</p>
{% for line in open_now %}<p class="danger">{{ line }}</p>{% endfor %}
"""

_STYLE: Final = """@page { size: A4; margin: 10mm }
body { font: 8.5pt/1.2 sans-serif; color: #1c2733; max-width: 190mm; margin: 1em auto }
h2 { font-size: 10.5pt; margin: 2.5mm 0 0 } h2.top { font-size: 14pt; margin: 0 }
p, ul { margin: .3em 0 } ul { padding-left: 5mm }
table { border-collapse: collapse; width: 100%; font-size: 7.5pt }
th, td { border-bottom: 1px solid #7b8794; padding: 1px 4px; text-align: left }
td, th { white-space: nowrap } td.long { white-space: normal }
tr { break-inside: avoid }
ul.two { columns: 2 }
td.box { width: 24mm; border: 1px solid #7b8794 }
.danger { border: 2px solid #8f1d14; padding: 2mm; font-weight: bold }
"""

_BOXES: Final = {
    "look": "Seen",
    "clamp": "mA",
    "open": "Stayed, went; closed",
    "test": "Ω; isolated by",
}


def hunt_html(answer: Mapping[str, Any]) -> str:
    """Return the hunt sheet as one HTML page with boxes to write into.

    Parameters
    ----------
    answer : mapping
        The object of ``corrosion hunt``.
    """
    title = Markup("<title>Hunt sheet, {}, {}</title>").format(
        answer["ship"], answer["system"]
    )
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">\n'
        f"{title}\n<style>\n{_STYLE}</style></head><body>\n"
        f"{hunt_body(answer)}</body></html>\n"
    )


def hunt_body(answer: Mapping[str, Any]) -> str:
    """Return the same without its head, to stand within a page.

    Parameters
    ----------
    answer : mapping
        The object of ``corrosion hunt``.
    """
    page = Environment(autoescape=True).from_string(_BODY)
    return page.render(
        answer,
        no_danger=NO_DANGER,
        open_now=words.open_now(answer),
        after=words.after(answer),
        blocks=[(b, *_rows(b)) for b in blocks(answer)],
        boxes=_BOXES,
        withheld=words.withheld(answer),
        expectation=words.expectation(answer),
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
