"""Tables of current: the hull's zones and berths, what leaves them, and logs."""

from collections.abc import Mapping, Sequence
from typing import Any

from corrosion.foundation.json_values import rows
from corrosion.presentation import format as fmt
from corrosion.presentation.answers.currents import Leaving
from corrosion.presentation.tables.table import (
    NUMBER,
    WORD,
    Row,
    Table,
    interval,
    made,
    number,
    scaled,
    text,
)


def hull_zones(answer: Mapping[str, Any]) -> Table:
    """Return each zone's area, and how much of it is bare."""
    return Table(
        name="hull-zones",
        caption="Zones as the model sees them",
        columns=(
            text("Zone", "zone", WORD),
            number("Area", "area_m2", "m²"),
            number("Bare, expected", "bare_m2", "m²"),
        ),
        rows=answer["zones"],
    )


def berths(answer: Mapping[str, Any]) -> Table:
    """Return what crosses the water at each berth."""
    return Table(
        name="berths",
        caption="Of an ampere injected in a zone, the expected share that crosses the "
        "water: in the least and in the most exposed zone",
        columns=(
            text("Berth", "berth"),
            text("From", "from", WORD, blank="the beginning"),
            text("Supply", "supply", WORD),
            made("Least", lambda row: _share(row, min), NUMBER),
            made("Most", lambda row: _share(row, max), NUMBER),
            interval("Couple drives", "couple_amps", "A"),
            made("Linear error", _error, NUMBER),
        ),
        rows=answer["berths"],
    )


def _share(berth: Row, end: Any) -> str:
    return fmt.percent(end(berth["water_share"].values()))


def _error(berth: Row) -> str:
    error = berth["linear_error"]
    return "-" if error is None else fmt.percent(error)


def leaving(gone: Leaving) -> Table:
    """Return what leaves each zone into the water, the most first."""
    some = gone.table[gone.table["leaving_ma"] != 0.0]
    return Table(
        name="leaving",
        caption="Current between steel and water, the most out of the steel first",
        columns=(
            text("Zone", "zone", WORD),
            text("Where", "name"),
            made("Current (mA)", lambda row: _size(row["leaving_ma"]), NUMBER),
            made("Which way", _way),
            scaled(
                "Density",
                lambda row, factor: _size(factor * row["density_ma_per_m2"]),
                "mA/m²",
            ),
        ),
        rows=rows(some.sort_values("leaving_ma", ascending=False)),
        full=lambda: gone.table,
    )


def _size(value: float) -> str:
    return fmt.amount(abs(value))


def _way(row: Row) -> str:
    return "leaves the steel" if row["leaving_ma"] > 0.0 else "enters"


def log_charge(answer: Mapping[str, Any]) -> Table:
    """Return what logs add up to, a circuit a row."""
    return Table(
        name="charge",
        caption="Charge of the hull-current logs",
        columns=(
            text("System", "system"),
            text("Circuit", "circuit"),
            text("Current", "current", WORD),
            number("Charge", "charge_ah", "Ah", digits=4),
            number("Covered", "hours", "h", digits=4),
            number("Not covered", "gap_hours", "h", digits=4),
            text("Written", "writes", WORD),
        ),
        rows=answer["rows"],
    )


def anodes(rows: Sequence[Mapping[str, Any]] | None) -> Table:
    """Return what each group of anodes does, and who ate it."""
    return Table(
        name="anodes",
        caption="Anodes at the date of the estimate, and what ate them since they were "
        "renewed",
        columns=(
            text("Anode", "anode", WORD),
            text("Zone", "zone", WORD),
            made("What", lambda row: f"{row['count']} {row['metal']}", WORD),
            interval("Gives", "amps", "A"),
            interval("Steel about it", "mv", "mV Ag/AgCl"),
            made("Left (%)", lambda row: _some(row["left_percent"]), NUMBER),
            text("Used up by", "gone_by", WORD, blank="-"),
            made("Protection (Ah)", lambda row: _eaten(row, "protection"), NUMBER),
            made("Own metals (Ah)", lambda row: _eaten(row, "own metals"), NUMBER),
            made("Couple (Ah)", lambda row: _eaten(row, "shore couple"), NUMBER),
            made("Faults (Ah)", lambda row: _eaten(row, "faults"), NUMBER),
        ),
        rows=list(rows or ()),
    )


def _some(values: Mapping[str, float] | None) -> str:
    return "-" if values is None else fmt.amount(values["p50"])


def _eaten(row: Row, by: str) -> str:
    """Return what a cause drew, less where it spared the anode."""
    if by not in row["eaten_ah"]:
        return "-"
    drawn = row["eaten_ah"][by]["p50"] - row["relieved_ah"][by]["p50"]
    return fmt.amount(drawn) if drawn >= 0.0 else f"-{fmt.amount(-drawn)}"
