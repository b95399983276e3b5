"""The hunt sheet as one page to print and take along."""

from collections.abc import Mapping
from typing import Any, Final

import pandas as pd
from jinja2 import Environment
from markupsafe import Markup

from corrosion.inspection.cautions import NO_DANGER
from corrosion.presentation import hunt_words as words
from corrosion.presentation.tables.hunt import Block, blocks
from corrosion.presentation.tables.table import PAGE

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
