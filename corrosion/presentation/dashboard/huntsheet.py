"""The hunt sheet as one page to print and take along."""

from collections.abc import Mapping
from typing import Any, Final

from jinja2 import Environment

from corrosion.presentation.format import chance, number
from corrosion.presentation.sentences import PANEL, hunt_sentence

__all__ = ["hunt_html"]

_PAGE: Final = """<!doctype html>
<html lang="en"><head><meta charset="utf-8">
<title>Hunt sheet, {{ ship }}, {{ system }}</title>
<style>
@page { size: A4; margin: 14mm }
body { font: 11pt/1.35 sans-serif; color: #1c2733; max-width: 180mm; margin: 1em auto }
h1 { font-size: 16pt; margin: 0 } p { margin: .4em 0 }
table { border-collapse: collapse; width: 100%; font-size: 10pt }
th, td { border-bottom: 1px solid #7b8794; padding: 3px 6px; text-align: left }
td.n { text-align: right } td.box { width: 24mm; border: 1px solid #7b8794 }
li { margin: 2px 0 }
</style></head><body>
<h1>Hunt sheet: {{ ship }}, {{ system }}</h1>
<p>As of {{ as_of }}{% if conductor %}; the lamps point to conductor
<b>{{ conductor }}</b>{% endif %}.{% if stayed %} The indication stayed with
{{ stayed | join(", ") }} open.{% endif %}
{% if gone %}It went with {{ gone }}.{% endif %}
Open and test in this order; stop where the indication goes.</p>
<table><thead><tr><th>No.</th><th>Circuit</th><th>Fed from</th><th>Chance</th>
<th>Minutes</th><th>Ask first</th><th>Gone? Time, initials</th></tr></thead><tbody>
{% for row in order %}<tr><td class="n">{{ loop.index }}</td><td>{{ row.circuit }}
{%- if row.opened_first %} (panel){% endif %}
</td>
<td>{{ row.fed_from or "switchboard" }}</td><td class="n">{{ chance(row.chance) }}</td>
<td class="n">{{ number(row.minutes) }}</td><td>{{ row.permission or "" }}</td>
<td class="box"></td></tr>
{% endfor %}</tbody></table>
<p>{{ expected }}</p>
<ul>{% for note in notes %}<li>{{ note }}</li>{% endfor %}
{% if order | selectattr("opened_first") | list %}<li>{{ panel }}</li>{% endif %}</ul>
<ul>{% for caution in cautions %}<li><b>{{ caution }}</b></li>{% endfor %}</ul>
</body></html>
"""


def hunt_html(answer: Mapping[str, Any]) -> str:
    """Return the hunt sheet as one self-contained HTML page.

    Parameters
    ----------
    answer : mapping
        The object of ``corrosion hunt``.
    """
    page = Environment(autoescape=True).from_string(_PAGE)
    return page.render(
        answer,
        number=number,
        chance=chance,
        expected=hunt_sentence(answer),
        panel=PANEL,
    )
