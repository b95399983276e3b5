"""Tables of upkeep: insulation surveys, and what to have done in dock."""

from collections.abc import Mapping, Sequence
from typing import Any

from corrosion.presentation import format as fmt
from corrosion.presentation.answers.surveys import halves
from corrosion.presentation.tables import table as col
from corrosion.presentation.tables.table import Column, Row, Table


def surveys(rows: Sequence[Row]) -> Table:
    """Return every insulation test of a sound branch."""
    return Table(
        name="insulation",
        caption="Insulation tests of sound branches, the latest first",
        columns=(
            col.text("Date", "date", col.WORD),
            col.text("System", "system"),
            col.text("Circuit", "circuit"),
            col.ohms("As read", "ohm"),
            col.number("Temperature (°C)", "celsius"),
            col.ohms("At 40 °C", "corrected_ohm"),
            col.number("Test volts", "test_volts"),
            col.number("Polarisation index", "index", digits=2),
            col.text("By", "by"),
        ),
        rows=rows,
    )


def survey_trends(rows: Sequence[Row]) -> Table:
    """Return each circuit's last value at 40 °C, and how it falls."""
    return Table(
        name="insulation-trend",
        caption="Circuits, the lowest insulation first",
        columns=(
            col.text("Circuit", "circuit"),
            col.text("System", "system"),
            col.ohms("At 40 °C", "corrected_ohm"),
            col.text("Last tested", "date", col.WORD),
            col.count("Tests", "surveys"),
            col.made("In a year", _ahead, col.NUMBER),
            col.made("Halves in", halves, col.NUMBER),
            col.number("Polarisation index", "index", digits=2),
        ),
        rows=rows,
    )


def _ahead(row: Row) -> str:
    ahead = row["ohm_in_a_year"]
    return "-" if ahead is None else fmt.interval(ahead, unit="Ω")


def docking(found: Mapping[str, Any]) -> dict[str, Table]:
    """Return the lists for the yard by name: renew, gauge, paint, joints, anodes."""
    plates: dict[str, tuple[str, Sequence[Row]]] = {
        "renew": ("Plates to renew: likelier than not below a limit", found["renew"]),
        "gauge": ("Plates to gauge before the yard decides", found["gauge"]),
        "paint": ("Zones to blast and paint: a tenth or more bare", found["paint"]),
    }
    tables = {
        name: Table(
            name=f"docking-{name}", caption=caption, columns=_plates(), rows=rows
        )
        for name, (caption, rows) in plates.items()
    }
    tables["joints"] = Table(
        name="docking-joints",
        caption="Joints of parts: measure, clean or renew",
        columns=(
            col.text("Zone", "zone", col.WORD),
            col.text("Where", "name"),
            col.text("Fastened to", "bonded_to", col.WORD),
            col.ohms("Joint as written", "bond_ohm"),
        ),
        rows=found["joints"],
    )
    tables["anodes"] = Table(
        name="docking-anodes",
        caption="Anodes",
        columns=(
            col.text("Anode", "anode", col.WORD),
            col.text("Zone", "zone", col.WORD),
            col.text("Metal", "metal"),
            col.count("Count", "count"),
            col.text("Fitted", "fitted", col.WORD, blank="not known"),
            col.number("Left (%)", "left_percent"),
            col.text("Seen", "seen", col.WORD, blank="nobody looked"),
        ),
        rows=found["anodes"],
    )
    return tables


def _plates() -> tuple[Column, ...]:
    return (
        col.text("Zone", "zone", col.WORD),
        col.text("Where", "name"),
        col.chance("Chance below limit", "chance"),
        col.number("Area", "area_m2", "m²"),
        col.number("Steel", "kg", "kg"),
        col.interval("Left, zone mean", "left_mm", "mm"),
        col.number("As built", "built_mm", "mm"),
        col.number("Limit", "limit_mm", "mm"),
        col.interval("Diminution (%)", "diminution_percent"),
        col.number("Allowed (%)", "allowed_percent"),
        col.made(
            "Bare (%)", lambda row: fmt.number(row["bare_percent"], 2), col.NUMBER
        ),
    )
