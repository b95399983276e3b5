"""Sheets for paper, with boxes: any A4 page, and gauging sheets by day and way in."""

from collections.abc import Iterable, Sequence
from typing import Any, Final

from markupsafe import Markup

from corrosion.inspection.cautions import ESTIMATE
from corrosion.presentation.answers.plan_choice import Choice, plan_days
from corrosion.presentation.dashboard.markup import markup
from corrosion.presentation.dashboard.pictures import hull_picture
from corrosion.results import Estimate

LINE: Final = "______________________"
"""To write on."""


def box(count: int = 1) -> Markup:
    """Return empty boxes to write into."""
    return markup("box", count)


def bold(words: str) -> Markup:
    """Return words for a cell that says what its row is about."""
    return Markup("<b>{}</b>").format(words)


def paper(
    title: str,
    words: str,
    tables: Iterable[tuple[Sequence[str], Iterable[Sequence[str]]]],
    cautions: Iterable[str] = (),
) -> str:
    """Return one A4 page, hidden until it is printed.

    ``title``: its head. ``words``: a paragraph beneath it. ``tables``: heads, and rows
    of cells; markup or plain words, as are the others. ``cautions``: what can hurt,
    before everything else.
    """
    return str(markup("paper", title, words, tables, cautions))


def plan_sheet(result: Estimate, choice: Choice) -> str:
    """Return the sheets of a chosen set, one after another, hidden until printed."""
    hours = result.ship.assumptions.value("working_day_hours")
    days = plan_days(choice, day_hours=hours)

    def hull(row: dict[str, Any]) -> Markup:
        return hull_picture(row, result.ship.form)

    return str(markup("plan_sheets", result, days, ESTIMATE, hull))
