"""The table of a fleet: its ships, the one with the worst zone first."""

from collections.abc import Sequence

from corrosion.presentation import format as fmt
from corrosion.presentation.tables.table import (
    NUMBER,
    PAGE,
    WORD,
    Row,
    Table,
    chance,
    made,
    number,
    text,
)


def ships(rows: Sequence[Row]) -> Table:
    """Return the ships of a fleet."""
    return Table(
        name="ships",
        caption="Ships, the one with the worst zone first",
        columns=(
            made("No.", lambda row: str(row["rank"]), NUMBER, on=PAGE),
            text("Ship", "ship"),
            text("Worst zone", "worst_zone", WORD),
            text("Where", "worst_name", on=PAGE),
            chance("Chance below limit", "chance_below_limit"),
            text("Gauge by", "inspect_by", WORD, blank="later"),
            made(
                "Zones due now",
                lambda row: f"{row['zones_due']} of {row['zones']}",
                NUMBER,
            ),
            made(
                "Due by docking", lambda row: str(row["zones_due_by_docking"]), NUMBER
            ),
            text("Standing", "standing", blank="none"),
            made("Faults in a year", _trend, NUMBER),
            number("Steel lost a year, expected", "steel_kg_a_year", "kg"),
            number("Stray loss, expected", "stray_kg", "kg"),
            number("Natural loss, expected", "natural_kg", "kg"),
            made("Doubts", lambda row: str(row["warnings"]), NUMBER, on=PAGE),
        ),
        rows=rows,
    )


def _trend(row: Row) -> str:
    """Return the faults of the last year against the mean of the five before."""
    before = row["faults_a_year_before"]
    if before is None:
        return f"{row['faults_last_year']}"
    return f"{row['faults_last_year']}, {fmt.number(before, 2)} before"
