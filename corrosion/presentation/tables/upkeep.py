"""Tables of upkeep: insulation surveys, and what to have done in dock."""

from collections.abc import Mapping, Sequence
from typing import Any

from corrosion.presentation import format as fmt
from corrosion.presentation.answers.surveys import halves
from corrosion.presentation.tables.table import (
    NUMBER,
    WORD,
    Column,
    Row,
    Table,
    chance,
    interval,
    made,
    number,
    text,
)


def surveys(rows: Sequence[Row]) -> Table:
    """Return every insulation test of a sound branch."""
    return Table(
        name="insulation",
        caption="Insulation tests of sound branches, the latest first",
        columns=(
            text("Date", "date", WORD),
            text("System", "system"),
            text("Circuit", "circuit"),
            made("As read", lambda row: fmt.ohms(row["ohm"]), NUMBER),
            number("Temperature (°C)", "celsius"),
            made("At 40 °C", lambda row: fmt.ohms(row["corrected_ohm"]), NUMBER),
            number("Test volts", "test_volts"),
            number("Polarisation index", "index", digits=2),
            text("By", "by"),
        ),
        rows=rows,
    )


def survey_trends(rows: Sequence[Row]) -> Table:
    """Return each circuit's last value at 40 °C, and how it falls."""
    return Table(
        name="insulation-trend",
        caption="Circuits, the lowest insulation first",
        columns=(
            text("Circuit", "circuit"),
            text("System", "system"),
            made("At 40 °C", lambda row: fmt.ohms(row["corrected_ohm"]), NUMBER),
            text("Last tested", "date", WORD),
            made("Tests", lambda row: str(row["surveys"]), NUMBER),
            made("In a year", _ahead, NUMBER),
            made("Halves in", halves, NUMBER),
            number("Polarisation index", "index", digits=2),
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
            text("Zone", "zone", WORD),
            text("Where", "name"),
            text("Fastened to", "bonded_to", WORD),
            made("Joint as written", lambda row: fmt.ohms(row["bond_ohm"]), NUMBER),
        ),
        rows=found["joints"],
    )
    tables["anodes"] = Table(
        name="docking-anodes",
        caption="Anodes",
        columns=(
            text("Anode", "anode", WORD),
            text("Zone", "zone", WORD),
            text("Metal", "metal"),
            made("Count", lambda row: str(row["count"]), NUMBER),
            text("Fitted", "fitted", WORD, blank="not known"),
            number("Left (%)", "left_percent"),
            text("Seen", "seen", WORD, blank="nobody looked"),
        ),
        rows=found["anodes"],
    )
    return tables


def _plates() -> tuple[Column, ...]:
    return (
        text("Zone", "zone", WORD),
        text("Where", "name"),
        chance("Chance below limit", "chance"),
        number("Area", "area_m2", "m²"),
        number("Steel", "kg", "kg"),
        interval("Left, zone mean", "left_mm", "mm"),
        number("As built", "built_mm", "mm"),
        number("Limit", "limit_mm", "mm"),
        interval("Diminution (%)", "diminution_percent"),
        number("Allowed (%)", "allowed_percent"),
        made("Bare (%)", lambda row: fmt.number(row["bare_percent"], 2), NUMBER),
    )
