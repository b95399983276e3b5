"""Sheets for paper, with boxes: any A4 page, and gauging sheets by day and way in."""

from collections.abc import Iterable, Sequence
from typing import Final

from corrosion.inspection.cautions import ESTIMATE
from corrosion.inspection.planning.days import Day
from corrosion.presentation.answers.plan_choice import Choice, PlanRow, plan_days
from corrosion.presentation.dashboard.escaping import escape
from corrosion.presentation.dashboard.pictures import hull_picture
from corrosion.results import Estimate


def box(count: int = 1) -> str:
    """Return empty boxes to write into."""
    return f'<span class="boxes">{"<i></i>" * count}</span>'


def line() -> str:
    """Return a line to write on."""
    return "______________________"


def paper(
    title: str,
    words: str,
    tables: Iterable[tuple[Sequence[str], Iterable[Sequence[str]]]],
    cautions: Iterable[str] = (),
) -> str:
    """Return one A4 page, hidden until it is printed.

    Parameters
    ----------
    title : str
        Its head.
    words : str
        A paragraph beneath it, as HTML.
    tables : iterable of tuple
        Heads in plain words, and rows of cells as HTML.
    cautions : iterable of str
        What can hurt, in plain words, before everything else.
    """
    bold = escape(" ".join(dict.fromkeys(cautions)))
    drawn = "".join(_table(heads, rows) for heads, rows in tables)
    return (
        f'<div class="sheet"><section class="page"><h2>{escape(title)}</h2>'
        f"<p><b>{bold}</b></p><p>{words}</p>{drawn}</section></div>"
    )


def _table(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    top = "".join(f"<th>{escape(head)}</th>" for head in heads)
    body = "".join(
        f"<tr>{''.join(f'<td>{cell}</td>' for cell in row)}</tr>" for row in rows
    )
    return f"<table><tr>{top}</tr>{body}</table>"


_BOXES: Final = (8, 24)  # fewest and most boxes of a zone


def plan_sheet(result: Estimate, choice: Choice) -> str:
    """Return the sheets of a chosen set, one after another, hidden until printed."""
    hours = result.ship.assumptions.value("working_day_hours")
    days = plan_days(choice, day_hours=hours)
    sheets = [_sheet(result, day, len(days), rows) for day, rows in days]
    return f'<div class="sheet">{"".join(sheets)}</div>'


def _sheet(result: Estimate, day: Day, days: int, rows: Sequence[PlanRow]) -> str:
    lines = "".join(_line(result, n, row) for n, row in enumerate(rows, 1))
    cautions = dict.fromkeys(text for row in rows for text in row.cautions)
    hours = sum(row.card.hours for row in rows)
    return (
        f'<section class="page"><h2>{escape(result.ship.name)}: zones to gauge, '
        f"{day.access}, sheet {day.day} of {days}</h2>"
        f"<p><b>{escape(' '.join(cautions))}</b> {escape(ESTIMATE)}</p>"
        f"<p>Made {result.as_of}. {hours:g} h. Millimetres of "
        "metal, paint not counted. Gauged by ______________________ on "
        "______________ with ______________________ (instrument). Surface under the "
        "probe: &#9633; prepared &#9633; as found &#9633; through paint &#9633; echo "
        "to echo</p><table><tr><th></th><th>where (bow right)</th><th>zone</th>"
        f"<th>readings, mm</th><th>least</th></tr>{lines}</table></section>"
    )


def _line(result: Estimate, number: int, row: PlanRow) -> str:
    card = row.card
    frames = f"frames {card.row['frame_from']:g} to {card.row['frame_to']:g}"
    boxes = min(max(row.readings, _BOXES[0]), _BOXES[1])
    return (
        f"<tr><td>{number}</td><td>{hull_picture(card.row, result.ship.form)}</td>"
        f"<td><b>{escape(card.name)}</b><br>{escape(card.zone)}, {frames}, "
        f"{card.hours:g} h<br>{escape(card.against_limit)}<br>{row.readings} readings "
        "tell most</td>"
        f'<td class="boxes">{"<i></i>" * boxes}</td><td class="boxes"><i></i></td></tr>'
    )
