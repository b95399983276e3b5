"""Tables of zones: totals, ranking, one zone's facts; and of a fleet's ships."""

from collections.abc import Sequence
from functools import partial
from typing import Final

from markupsafe import Markup

from corrosion.presentation import format as fmt
from corrosion.presentation.figures.cell_bars import interval_bar, margin_bar
from corrosion.presentation.tables.table import PAGE, Row, Table, columns, table
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


def totals(result: Estimate, units: UnitSystem = METRIC) -> Table:
    """Return the ship's totals up to the date of the estimate."""
    return table(
        "totals",
        [
            {"quantity": name, "what": words, "unit": unit, **result.totals[name]}
            for name, (words, unit) in _TOTALS.items()
        ],
        cell={
            "median": lambda row: _total(row, units),
            "unit": lambda row: units.of(row["unit"].replace("%", ""))[1],
        },
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

    def stray_bar(zone: Row) -> Markup | None:
        ends = [zone[f"stray_kg_{q}"] for q in ("p10", "p50", "p90")]
        return interval_bar(*ends, top=top, unit="kg") if any(ends) else None

    return table(
        "ranking",
        zones,
        lambda: result.zones,
        cell={"margins": lambda _: ""},
        drawing={"margins": _margins, "stray_kg": stray_bar},
        marked={"chance_below_limit": lambda z: z["chance_below_limit"] >= _LIKELY},
        beneath={
            "zone": lambda zone, _: (zone["name"], place(zone)),
            "left_mm": partial(_limit, "limit_mm"),
            "left_under_pit_mm": partial(_limit, "pit_limit_mm"),
            "leading_cause": lambda zone, _: (zone["leading_fault"] or "no fault",),
        },
    )


def _limit(key: str, zone: Row, factor: float) -> tuple[str, ...]:
    return (f"limit {fmt.number(factor * zone[key])}",)


def place(zone: Row) -> str:
    """Return where a zone lies, in words."""
    return f"frames {zone['frame_from']:g} to {zone['frame_to']:g}, {zone['side']}"


def _margins(zone: Row) -> Markup:
    left, pit = (
        (zone[f"{key}_p10"], zone[f"{key}_p50"], zone[f"{key}_p90"])
        for key in ("left_mm", "left_under_pit_mm")
    )
    limits = {key: zone[key] for key in ("built_mm", "limit_mm", "pit_limit_mm")}
    return margin_bar(left, pit, **limits)


def zone_facts(zone: Row, units: UnitSystem = METRIC) -> list[tuple[str, str]]:
    """Return what is known of one zone, as pairs of heading and text."""
    return [
        (column.title(units), column.made(zone, PAGE, units).text)
        for column in columns("zone-facts")
    ]


def ships(rows: Sequence[Row]) -> Table:
    """Return the ships of a fleet."""
    return table(
        "ships",
        rows,
        cell={
            "zones_due": lambda row: f"{row['zones_due']} of {row['zones']}",
            "faults_last_year": _trend,
        },
    )


def _trend(row: Row) -> str:
    """Return the faults of the last year against the mean of the five before."""
    before = row["faults_a_year_before"]
    if before is None:
        return f"{row['faults_last_year']}"
    return f"{row['faults_last_year']}, {fmt.number(before, 2)} before"
