"""The gauging sheets that are printed: an A4 for each way in, with boxes."""

from collections.abc import Sequence
from typing import Final

from corrosion.estimate import Estimate
from corrosion.presentation.answers.plan_choice import Choice, PlanRow
from corrosion.presentation.dashboard.pictures import escape, hull_picture

__all__ = ["plan_sheet"]

_THIN_MM: Final = 4.0  # below which nothing may be struck, ground or welded
_BOXES: Final = (8, 24)  # fewest and most boxes of a zone
_DIVER: Final = (
    "Divers: impressed current off and locked; shafts, rudders, thrusters and suctions "
    "locked; shore supply isolated or its earth proved; faults on shore-fed systems "
    "cleared; the diving supervisor's permit. "
)
_INSIDE: Final = (
    "Tanks, bilges and voids are enclosed spaces: ventilate, test the air, permit, "
    "attendant. "
)
_THIN: Final = (
    "Thin plate on this sheet: afloat no scaling hammer, needle gun, grinder, blasting "
    "or weld; ultrasound as found; plug, pump and a second person ready; tell owner "
    "and class. "
)


def plan_sheet(result: Estimate, choice: Choice) -> str:
    """Return the sheets of a chosen set, one after another, hidden until printed."""
    ways = dict.fromkeys(row.card.access for row in choice.rows)
    sheets = [
        _sheet(result, way, [row for row in choice.rows if row.card.access == way])
        for way in ways
    ]
    return f'<div class="sheet">{"".join(sheets)}</div>'


def _sheet(result: Estimate, way: str, rows: Sequence[PlanRow]) -> str:
    hours = sum(row.card.hours for row in rows)
    lines = "".join(_line(result, n, row) for n, row in enumerate(rows, 1))
    thin = any(
        row.thin_mm < max(_THIN_MM, row.card.row["pit_limit_mm"]) for row in rows
    )
    cautions = {"diver": _DIVER, "inside": _INSIDE}.get(way, "") + _THIN * thin
    return (
        f'<section class="page"><h2>{escape(result.ship.name)}: zones to gauge, {way}'
        f"</h2><p><b>{escape(cautions)}</b>An estimate never replaces a gauging, nor "
        f"the class surveyor.</p><p>Made {result.as_of}. {hours:g} h. Millimetres of "
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
        f"{card.hours:g} h<br>{card.against_limit}<br>{row.readings} readings tell "
        "most</td>"
        f'<td class="boxes">{"<i></i>" * boxes}</td><td class="boxes"><i></i></td></tr>'
    )
