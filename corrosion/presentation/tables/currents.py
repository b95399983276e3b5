"""Tables of current: the hull's zones and berths, what leaves them, and logs."""

from collections.abc import Mapping, Sequence
from typing import Any

from corrosion.foundation.json_values import rows
from corrosion.presentation import format as fmt
from corrosion.presentation.answers.currents import Leaving
from corrosion.presentation.tables import table as col
from corrosion.presentation.tables.table import Row, Table


def hull_zones(answer: Mapping[str, Any]) -> Table:
    """Return each zone's area, and how much of it is bare."""
    return Table(
        name="hull-zones",
        caption="Zones as the model sees them",
        columns=(
            col.text("Zone", "zone", col.WORD),
            col.number("Area", "area_m2", "m²"),
            col.number("Bare, expected", "bare_m2", "m²"),
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
            col.text("Berth", "berth"),
            col.text("From", "from", col.WORD, blank="the beginning"),
            col.text("Supply", "supply", col.WORD),
            col.made("Least", lambda row: _share(row, min), col.NUMBER),
            col.made("Most", lambda row: _share(row, max), col.NUMBER),
            col.interval("Couple drives", "couple_amps", "A"),
            col.made("Linear error", _error, col.NUMBER),
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
            col.text("Zone", "zone", col.WORD),
            col.text("Where", "name"),
            col.made("Current (mA)", lambda row: _size(row["leaving_ma"]), col.NUMBER),
            col.made("Which way", _way),
            col.scaled(
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
            col.text("System", "system"),
            col.text("Circuit", "circuit"),
            col.text("Current", "current", col.WORD),
            col.number("Charge", "charge_ah", "Ah", digits=4),
            col.number("Covered", "hours", "h", digits=4),
            col.number("Not covered", "gap_hours", "h", digits=4),
            col.text("Written", "writes", col.WORD),
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
            col.text("Anode", "anode", col.WORD),
            col.text("Zone", "zone", col.WORD),
            col.made("What", lambda row: f"{row['count']} {row['metal']}", col.WORD),
            col.interval("Gives", "amps", "A"),
            col.interval("Steel about it", "mv", "mV Ag/AgCl"),
            col.made("Left (%)", lambda row: _some(row["left_percent"]), col.NUMBER),
            col.text("Used up by", "gone_by", col.WORD, blank="-"),
            col.made(
                "Protection (Ah)", lambda row: _eaten(row, "protection"), col.NUMBER
            ),
            col.made(
                "Own metals (Ah)", lambda row: _eaten(row, "own metals"), col.NUMBER
            ),
            col.made(
                "Couple (Ah)", lambda row: _eaten(row, "shore couple"), col.NUMBER
            ),
            col.made("Faults (Ah)", lambda row: _eaten(row, "faults"), col.NUMBER),
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
