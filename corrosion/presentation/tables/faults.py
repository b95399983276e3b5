"""Tables of faults: what leaks, what took most, and the hunt."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

import numpy as np

from corrosion.foundation.json_values import rows
from corrosion.presentation import format
from corrosion.presentation.tables.table import (
    NUMBER,
    PAGE,
    REPORT,
    TEXT,
    WORD,
    Row,
    Table,
    chance,
    file_stem,
    interval,
    made,
    number,
    text,
)
from corrosion.results import Estimate

__all__ = ["hunt", "leading", "leaking", "systems"]

_SHOWN: Final = 10


def leading(result: Estimate) -> Table:
    """Return the faults that took most, and all that stand; the file has every one."""
    faults = result.faults.sort_values("kg_mean", ascending=False, kind="stable")
    first = np.arange(len(faults)) < _SHOWN
    shown = faults[first | faults["standing"].to_numpy(dtype=np.bool_)]
    return Table(
        name="faults",
        caption=(
            f"Of {len(faults)} faults the {min(_SHOWN, len(faults))} that took most, "
            "and those that stand: medians, p10 to p90"
        ),
        columns=(
            text("Fault", "fault", WORD),
            text(
                "Zone",
                "zone",
                WORD,
                blank="not found",
                beneath=lambda fault: (_circuit(fault),),
            ),
            text("Found", "found", WORD),
            made("State", _state, WORD, marked=lambda fault: bool(fault["standing"])),
            interval("Steel", "kg", "kg"),
            interval("Stood", "hours", "h"),
            interval("Into the hull", "amps", "A"),
            text("Current", "current", WORD),
            interval("Crosses the water", "water_share", "%"),
            interval("Ceiling", "ceiling_kg", "kg"),
        ),
        rows=rows(shown),
        full=faults,
    )


def _circuit(fault: Row) -> str:
    known = filter(None, (fault["system"], fault["circuit"]))
    return ", ".join(known) or str(fault["source"])


def _state(fault: Row) -> str:
    return "standing" if fault["standing"] else "cleared"


def systems(answer: Mapping[str, Any]) -> Table:
    """Return each system as it stands healthy, and the least fault its lamps show."""
    return Table(
        name="systems",
        caption="Systems without a fault, and the least fault that the lamps show",
        columns=(
            text("System", "system"),
            made("Conductors to hull (V)", lambda row: _volts(row["healthy"])),
            made("Lamps show faults below", _visible, NUMBER),
        ),
        rows=answer["systems"],
    )


def _volts(healthy: Row) -> str:
    return ", ".join(
        f"{name} {format.number(volts)}"
        for name, volts in healthy["hull_volts"].items()
    )


def _visible(system: Row) -> str:
    least = system["least_visible_fault_ohm"]
    return "no lamps" if least is None else format.ohms(least)


def leaking(faults: Sequence[Row]) -> Table:
    """Return each fault as it stood: its resistance, current, water share and lamps."""
    return Table(
        name="leakage",
        caption="Each fault as it stood alone where it was found",
        columns=(
            text("Fault", "fault", WORD),
            made("State", _state, WORD),
            made("Resistance", _resistance, NUMBER),
            interval("Into the hull", "amps", "A"),
            interval("Crosses the water", "water_share", "%"),
            made("Lamps", _lamps),
            made("Seen by the lamps", _seen, NUMBER),
            text("In words", "reading", on=PAGE | REPORT),
        ),
        rows=faults,
    )


def _resistance(fault: Row) -> str:
    known = fault["resistance_ohm"]
    return "-" if known["p50"] is None else format.interval(known, unit="Ω")


def _lamps(fault: Row) -> str:
    return ", ".join(f"{name} {seen}" for name, seen in fault["lamps"].items()) or "-"


def _seen(fault: Row) -> str:
    share = fault["lamps_could_show"]
    return "-" if share is None else format.chance(share)


def hunt(answer: Mapping[str, Any], place: int = 1) -> Table:
    """Return the hunt sheet of a system, with a box to tick on paper."""
    order = answer["order"]
    return Table(
        name=f"hunt-{place}-{file_stem(answer['system'])}",
        caption=f"{answer['system']}: open and test in this order",
        columns=(
            made("No.", lambda row: str(row["place"]), NUMBER),
            text("Circuit", "circuit"),
            made("What", lambda row: "panel" if row["opened_first"] else "circuit"),
            chance("Chance", "chance"),
            number("Time", "minutes", "min"),
            text("Fed from", "fed_from", blank="switchboard"),
            text(
                "Ask first",
                "permission",
                blank="nobody",
                marked=lambda row: bool(row["permission"]),
            ),
            made("Done", lambda _: "☐", TEXT, on=REPORT),
        ),
        rows=[{"place": k, **row} for k, row in enumerate(order, start=1)],
    )
