"""Tables of faults: what leaks, what took most, and the hunt."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any, Final

from corrosion.presentation import format as fmt
from corrosion.presentation.tables.table import Row, Table, table
from corrosion.records.ship import Fault
from corrosion.results import Estimate

_SHOWN: Final = 10


def leading(result: Estimate) -> Table:
    """Return the faults that took most, and all that stand; the file has every one."""
    faults = sorted(result.fault_table.rows, key=lambda fault: -fault["kg_mean"])
    made = table(
        "faults",
        [fault for k, fault in enumerate(faults) if k < _SHOWN or fault["standing"]],
        lambda: result.faults.sort_values("kg_mean", ascending=False, kind="stable"),
        cell={"standing": _state, "circuit": _circuit},
        beneath={"zone": lambda fault, _: (_circuit(fault),)},
        marked={"standing": lambda fault: bool(fault["standing"])},
    )
    counted = {"many": len(faults), "most": min(_SHOWN, len(faults))}
    return replace(made, caption=made.caption.format(**counted))


def logged(some: Sequence[Fault]) -> Table:
    """Return faults as the log holds them, the latest found first."""
    latest = sorted(some, key=lambda fault: -fault.found.middle)
    return table("log", [written(one) for one in latest])


def written(fault: Fault) -> dict[str, str | None]:
    """Return a fault's own words and dates, as written."""
    whens = ("last_good", "found", "isolated", "cleared")
    dates = {
        name: when and when.text for name in whens for when in [getattr(fault, name)]
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
    return table(
        "systems",
        [
            {**row, **{f"touch_ma_{k}": v for k, v in row["touch_ma"].items()}}
            for row in answer["systems"]
        ],
        cell={"healthy": _volts},
    )


def _volts(system: Row) -> str:
    volts = system["healthy"]["hull_volts"]
    return ", ".join(f"{name} {fmt.number(size)}" for name, size in volts.items())


def leaking(faults: Sequence[Row]) -> Table:
    """Return each fault as it stood: its resistance, current, water share and lamps."""
    return table("leakage", faults, cell={"standing": _state, "lamps": _lamps})


def _lamps(fault: Row) -> str:
    return ", ".join(f"{name} {seen}" for name, seen in fault["lamps"].items()) or "-"
