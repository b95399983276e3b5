"""Tables of zones: totals, ranking, one zone's facts; and of a fleet's ships."""

from collections.abc import Sequence
from typing import Final

from markupsafe import Markup

from corrosion.presentation import format as fmt
from corrosion.presentation.figures.cell_bars import interval_bar, margin_bar
from corrosion.presentation.tables import table as col
from corrosion.presentation.tables.table import Column, Row, Table
from corrosion.presentation.units import METRIC, UnitSystem
from corrosion.results import Estimate

_TOTALS: Final = {
    "stray_kg": ("Steel that stray currents took", "kg"),
    "faults_kg": ("of it, by faults", "kg"),
    "couple_kg": ("of it, by the couple with the shore earth", "kg"),
    "own_metals_kg": ("Steel that her own metals took", "kg"),
    "natural_kg": ("Natural corrosion, were nothing to spare any", "kg"),
    "natural_sea_kg": ("of it, on the sea side", "kg"),
    "natural_inside_kg": ("of it, inside", "kg"),
    "protection_spared_kg": ("Spared of it by protection", "kg"),
    "spared_kg": ("Spared of it by currents that enter", "kg"),
    "unexplained_kg": ("Steel gone that the records do not explain", "kg"),
    "ceiling_kg": ("Ceiling: were every ampere of the faults to dissolve steel", "kg"),
    "charge_ah": ("Charge that the faults brought to the hull", "Ah"),
    "water_share": ("Share of that charge that crossed the water", "%"),
}
_LIKELY: Final = 0.1
_LIMITED: Final = (
    ("left_mm", "limit_mm", "Left, zone mean"),
    ("left_under_pit_mm", "pit_limit_mm", "Left under the deepest pit"),
)


def totals(result: Estimate, units: UnitSystem = METRIC) -> Table:
    """Return the ship's totals up to the date of the estimate."""
    return Table(
        name="totals",
        caption="The ship as a whole, up to the date of the estimate",
        columns=(
            col.text("What", "what"),
            col.made("Median (p10 to p90)", lambda row: _total(row, units), col.NUMBER),
            col.made(
                "Unit", lambda row: units.of(row["unit"].replace("%", ""))[1], col.WORD
            ),
        ),
        rows=[
            {"quantity": name, "what": words, "unit": unit, **result.totals[name]}
            for name, (words, unit) in _TOTALS.items()
        ],
    )


def _total(row: Row, units: UnitSystem) -> str:
    if row["unit"] == "%":
        return fmt.interval(row, unit="%")
    factor, _ = units.of(row["unit"])
    return fmt.scaled_interval(row, factor=factor)


def ranking(result: Estimate) -> Table:
    """Return the zones the most urgent first, with intervals drawn in the cells."""
    zones = result.zone_table.rows
    top = max((zone["stray_kg_p90"] for zone in zones), default=0.0)
    return Table(
        name="ranking",
        caption="Zones, the most urgent first: medians, p10 to p90",
        columns=_ranked(top),
        rows=zones,
        full=lambda: result.zones,
    )


def _ranked(top: float) -> tuple[Column, ...]:
    def stray_bar(zone: Row) -> Markup | None:
        ends = [zone[f"stray_kg_{q}"] for q in ("p10", "p50", "p90")]
        return interval_bar(*ends, top=top, unit="kg") if any(ends) else None

    left, left_under_pit = (
        col.interval(
            head,
            key,
            "mm",
            beneath=lambda zone, factor, limit=limit: (
                f"limit {fmt.number(factor * zone[limit])}",
            ),
        )
        for key, limit, head in _LIMITED
    )
    limit, pit_limit = (
        col.number(f"Limit, {head.lower()}", limit, "mm", on=col.PAGE | col.TERMINAL)
        for (_, limit, _), head in zip(_LIMITED, ("zone mean", "pit"), strict=True)
    )
    return (
        col.count("No.", "rank", on=col.PAGE | col.REPORT),
        col.text(
            "Zone",
            "zone",
            col.WORD,
            beneath=lambda zone, _: (zone["name"], place(zone)),
        ),
        col.text("Where", "name", on=col.PAGE),
        col.chance(
            "Chance below limit",
            "chance_below_limit",
            marked=lambda zone: zone["chance_below_limit"] >= _LIKELY,
        ),
        col.text("Gauge by", "inspect_by", col.WORD, blank="later"),
        col.made("Limit to as built", lambda _: "", on=col.REPORT, drawing=_margins),
        left,
        limit,
        col.text("Leading cause", "leading_cause", col.WORD, on=col.TERMINAL),
        left_under_pit,
        pit_limit,
        col.interval("Stray loss", "stray_kg", "kg", drawing=stray_bar),
        col.interval("Natural loss", "natural_kg", "kg"),
        col.text(
            "Leading cause",
            "leading_cause",
            beneath=lambda zone, _: (zone["leading_fault"] or "no fault",),
            on=col.PAGE | col.REPORT,
        ),
        col.text(
            "Leading fault", "leading_fault", col.WORD, on=col.PAGE | col.TERMINAL
        ),
        col.text("Access", "access", col.WORD, on=col.PAGE),
    )


def place(zone: Row) -> str:
    """Return where a zone lies, in words."""
    return f"frames {zone['frame_from']:g} to {zone['frame_to']:g}, {zone['side']}"


def _margins(zone: Row) -> Markup:
    left, pit = (
        tuple(zone[f"{key}_{q}"] for q in ("p10", "p50", "p90")) for key, *_ in _LIMITED
    )
    limits = {key: zone[key] for key in ("built_mm", "limit_mm", "pit_limit_mm")}
    return margin_bar(left, pit, **limits)


_FACTS: Final = (
    col.chance("Chance below limit", "chance_below_limit"),
    col.text("Gauge by", "inspect_by", blank="later"),
    col.number("As built", "built_mm", "mm"),
    *(
        column
        for key, limit, head in _LIMITED
        for column in (
            col.interval(head, key, "mm"),
            col.number("its limit", limit, "mm"),
        )
    ),
    col.interval("Deepest pit", "deepest_mm", "mm"),
    col.percent("Bare share, expected", "bare_share"),
    col.number("Area", "area_m2", "m²"),
    col.interval("Lost at bare steel", "bare_loss_mm", "mm"),
    col.interval("of it by stray current", "stray_mm", "mm"),
    col.interval("Stray loss", "stray_kg", "kg"),
    col.interval("Natural loss", "natural_kg", "kg"),
    col.interval("Not explained by the records", "unexplained_kg", "kg"),
    col.text("Leading cause", "leading_cause"),
    col.text("Leading fault", "leading_fault"),
    col.made("Consequence (1 to 5)", lambda zone: str(zone["consequence"])),
    col.text("Access", "access"),
    col.number("Time to gauge", "gauge_hours", "h"),
)


def zone_facts(zone: Row, units: UnitSystem = METRIC) -> list[tuple[str, str]]:
    """Return what is known of one zone, as pairs of heading and text."""
    return [
        (column.title(units), column.made(zone, col.PAGE, units).text)
        for column in _FACTS
    ]


def ships(rows: Sequence[Row]) -> Table:
    """Return the ships of a fleet."""
    return Table(
        name="ships",
        caption="Ships, the one with the worst zone first",
        columns=(
            col.count("No.", "rank", on=col.PAGE),
            col.text("Ship", "ship"),
            col.text("Worst zone", "worst_zone", col.WORD),
            col.text("Where", "worst_name", on=col.PAGE),
            col.chance("Chance below limit", "chance_below_limit"),
            col.text("Gauge by", "inspect_by", col.WORD, blank="later"),
            col.made(
                "Zones due now",
                lambda row: f"{row['zones_due']} of {row['zones']}",
                col.NUMBER,
            ),
            col.made(
                "Due by docking",
                lambda row: str(row["zones_due_by_docking"]),
                col.NUMBER,
            ),
            col.text("Standing", "standing", blank="none"),
            col.made("Faults in a year", _trend, col.NUMBER),
            col.number("Steel lost a year, expected", "steel_kg_a_year", "kg"),
            col.number("Stray loss, expected", "stray_kg", "kg"),
            col.number("Natural loss, expected", "natural_kg", "kg"),
            col.count("Doubts", "warnings", on=col.PAGE),
        ),
        rows=rows,
    )


def _trend(row: Row) -> str:
    """Return the faults of the last year against the mean of the five before."""
    before = row["faults_a_year_before"]
    if before is None:
        return f"{row['faults_last_year']}"
    return f"{row['faults_last_year']}, {fmt.number(before, 2)} before"
