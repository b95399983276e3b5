"""Tables of faults: what leaks, what took most, and the hunt."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

from corrosion.presentation import format as fmt
from corrosion.presentation.tables import table as col
from corrosion.presentation.tables.table import Row, Table
from corrosion.records.ship import Fault
from corrosion.results import Estimate

_SHOWN: Final = 10
_TOUCH: Final = ("touch_ma_healthy", "touch_ma_as_she_stands")


def leading(result: Estimate) -> Table:
    """Return the faults that took most, and all that stand; the file has every one."""
    faults = sorted(result.fault_table.rows, key=lambda fault: -fault["kg_mean"])
    return Table(
        name="faults",
        caption=(
            f"Of {len(faults)} faults the {min(_SHOWN, len(faults))} that took most, "
            "and those that stand: medians, p10 to p90"
        ),
        columns=(
            col.text("Fault", "fault", col.WORD),
            col.text(
                "Zone",
                "zone",
                col.WORD,
                blank="not found",
                beneath=lambda fault, _: (_circuit(fault),),
            ),
            col.text("Found", "found", col.WORD),
            col.made(
                "State", _state, col.WORD, marked=lambda fault: bool(fault["standing"])
            ),
            col.interval("Steel", "kg", "kg"),
            col.interval("Stood", "hours", "h"),
            col.interval("Into the hull", "amps", "A"),
            col.text("Current", "current", col.WORD),
            col.interval("Crosses the water", "water_share", "%"),
            col.interval("Ceiling", "ceiling_kg", "kg"),
            col.made("Circuit", _circuit, on=col.PAGE | col.TERMINAL),
        ),
        rows=[
            fault for k, fault in enumerate(faults) if k < _SHOWN or fault["standing"]
        ],
        full=lambda: result.faults.sort_values(
            "kg_mean", ascending=False, kind="stable"
        ),
    )


def logged(some: Sequence[Fault]) -> Table:
    """Return faults as the log holds them, the latest found first."""
    latest = sorted(some, key=lambda fault: -fault.found.middle)
    return Table(
        name="log",
        caption="Faults of the log, the latest first",
        columns=(
            col.text("Fault", "fault", col.WORD),
            col.text("Circuit", "circuit", blank="not found"),
            col.text("System", "system", blank="none"),
            col.text("Conductor", "conductor", col.WORD, blank="not known"),
            col.text("Zone", "zone", col.WORD, blank="not found"),
            col.text("Last good", "last_good", col.WORD, blank="not written"),
            col.text("Found", "found", col.WORD),
            col.text("Isolated", "isolated", col.WORD, blank="no"),
            col.text("Cleared", "cleared", col.WORD, blank="not written"),
            col.made("State", lambda row: row["state"], col.WORD),
            col.text("Remark", "remark"),
        ),
        rows=[written(fault) for fault in latest],
    )


def written(fault: Fault) -> dict[str, str | None]:
    """Return a fault's own words and dates, as written."""
    dates = {
        name: None if when is None else when.text
        for name, when in (
            ("last_good", fault.last_good),
            ("found", fault.found),
            ("isolated", fault.isolated),
            ("cleared", fault.cleared),
        )
    }
    isolated = fault.isolated is not None and fault.cleared is None
    state = "standing" if fault.standing else "no end written"
    state = "isolated, not cleared" if isolated else state
    return {
        "fault": fault.fault,
        "circuit": fault.circuit or fault.source,
        "system": fault.system,
        "conductor": fault.readings.conductor,
        "zone": fault.zone,
        **dates,
        "state": state if isolated or fault.stands else "cleared",
        "remark": fault.remark,
    }


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
            col.text("System", "system"),
            col.number("Through a body, healthy and without lamps", _TOUCH[0], "mA"),
            col.number("Through a body, as she stands", _TOUCH[1], "mA"),
            col.made("Conductors to hull (V)", lambda row: _volts(row["healthy"])),
            col.made("Lamps show faults below", _visible, col.NUMBER),
        ),
        rows=[
            {**row, **{f"touch_ma_{k}": v for k, v in row["touch_ma"].items()}}
            for row in answer["systems"]
        ],
    )


def _volts(healthy: Row) -> str:
    return ", ".join(
        f"{name} {fmt.number(volts)}" for name, volts in healthy["hull_volts"].items()
    )


def _visible(system: Row) -> str:
    least = system["least_visible_fault_ohm"]
    return "no lamps" if least is None else fmt.ohms(least)


def leaking(faults: Sequence[Row]) -> Table:
    """Return each fault as it stood: its resistance, current, water share and lamps."""
    return Table(
        name="leakage",
        caption="Each fault as it stood alone where it was found",
        columns=(
            col.text("Fault", "fault", col.WORD),
            col.text("Circuit", "circuit", blank="not found", on=col.PAGE),
            col.text(
                "Conductor", "conductor", col.WORD, blank="not known", on=col.PAGE
            ),
            col.text("Zone", "zone", col.WORD, blank="not found", on=col.PAGE),
            col.text("Found", "found", col.WORD, on=col.PAGE),
            col.text("Cleared", "cleared", col.WORD, blank="no", on=col.PAGE),
            col.made("State", _state, col.WORD),
            col.made("Resistance", _resistance, col.NUMBER),
            col.interval("Into the hull", "amps", "A"),
            col.interval("Crosses the water", "water_share", "%"),
            col.made("Lamps", _lamps),
            col.made("Seen by the lamps", _seen, col.NUMBER),
            col.text("In words", "reading", on=col.PAGE | col.REPORT),
        ),
        rows=faults,
    )


def _resistance(fault: Row) -> str:
    known = fault["resistance_ohm"]
    return "-" if known["p50"] is None else fmt.interval(known, unit="Ω")


def _lamps(fault: Row) -> str:
    return ", ".join(f"{name} {seen}" for name, seen in fault["lamps"].items()) or "-"


def _seen(fault: Row) -> str:
    share = fault["lamps_could_show"]
    return "-" if share is None else fmt.chance(share)
