"""What leaks: each fault's resistance, currents, volts and lamps, as an object.

One computation behind ``corrosion leakage`` and the dashboard's page.
"""

from collections.abc import Callable, Mapping
from datetime import date
from typing import Any, Final

import numpy as np

from corrosion.estimate import estimate
from corrosion.foundation.defaults import SAMPLES
from corrosion.foundation.json_values import STATISTICS, json_value, row_to_json
from corrosion.foundation.statistics import summarise
from corrosion.foundation.types import Array
from corrosion.leakage.dated_states import berth_at
from corrosion.leakage.earthing import median_earthing, supply_at
from corrosion.leakage.fault_unknowns import FaultUnknowns
from corrosion.leakage.lamp_load import conductor_volts_with_lamps
from corrosion.leakage.lamp_pattern import least_visible_fault, picture
from corrosion.leakage.lamp_text import describe_lamps
from corrosion.leakage.network import solve
from corrosion.leakage.neutral_point import conductor_index, healthy_admittance
from corrosion.presentation.answers.dangers import heading, touched
from corrosion.presentation.answers.explained import NOTHING_EXPLAINED, explained_fault
from corrosion.presentation.answers.kept_answer import kept_answer
from corrosion.presentation.tables.faults import written
from corrosion.records.ship import Fault, Ship, System
from corrosion.results import Estimate

_RECKONED: Final = (
    *("standing", "current", "resistance_ohm", "amps", "amps_ac", "amps_dc"),
    "water_share",
)
_WRITTEN: Final = ("fault", "circuit", "conductor", "zone", "found", "cleared")


def leakage_result(
    ship: Ship,
    *,
    samples: int = SAMPLES,
    seed: int = 1,
    as_of: date | None = None,
    on_progress: Callable[[float], None] | None = None,
) -> dict[str, Any]:
    """Return each system as it stands healthy, and each fault as it stood.

    Returns the JSON object of ``corrosion leakage``; volts are magnitudes.
    """
    return leakage_of_estimate(
        estimate(ship, samples=samples, seed=seed, as_of=as_of, on_progress=on_progress)
    )


def leakage_of_estimate(result: Estimate) -> dict[str, Any]:
    """Return the same of a ship that has been estimated.

    As :func:`leakage_result` returns it.
    """
    known, inputs = result.ship, result.inputs
    touch = touched(known, inputs.faults, as_of=inputs.time_grid.as_of)
    return {
        **heading(result),
        "warnings": list(result.warnings),
        "systems": [
            _healthy(known, system) | {"touch_ma": touch[system.name]}
            for system in known.systems
        ],
        "welding": any(fault.source == "welding" for fault in known.faults),
        "faults": kept_answer(
            result,
            "leakage",
            lambda: [_fault(result, k) for k in range(len(known.faults))],
        ),
    }


def _named(system: System, values: Array) -> dict[str, Any]:
    return dict(zip(system.conductors, map(json_value, np.abs(values)), strict=True))


def _healthy(ship: Ship, system: System) -> dict[str, Any]:
    lit, own = system.lamps is not None, ship.assumptions
    solved = solve(system, [], lamps=lit, assumptions=own)
    return {
        "system": system.name,
        "least_visible_fault_ohm": least_visible_fault(system, assumptions=own)
        if lit
        else None,
        "healthy": {
            "hull_volts": _named(system, np.asarray(solved.hull_volts)),
            "lamp_volts": {}
            if solved.lamp_volts is None
            else _named(system, solved.lamp_volts),
        },
    }


def _fault(result: Estimate, k: int) -> dict[str, Any]:
    fault = result.ship.faults[k]
    row = result.fault_table.rows[k]
    about: dict[str, Any] = {
        **{name: cell for name, cell in written(fault).items() if name in _WRITTEN},
        **row_to_json(row, _RECKONED),
        "hull_volts": {},
        "lamp_volts": {},
        "lamps": {},
        "lamps_could_show": None,
        "reading": f"{fault.source}: measured, not computed",
        **NOTHING_EXPLAINED,
    }
    if fault.source == "ground fault" and fault.system is not None:
        system = result.ship.system(fault.system)
        unknowns = result.inputs.faults
        about |= _at_network(result.ship, fault, system, unknowns, k)
        if about["standing"]:  # what somebody may act on
            about |= explained_fault(result.ship, fault)
    return about


def _at_network(
    ship: Ship, fault: Fault, system: System, unknowns: FaultUnknowns, k: int
) -> dict[str, Any]:
    """Return volts and lamps while the fault stood alone where it was found."""
    healthy = healthy_admittance(
        system,
        capacitance=unknowns.capacitance[system.name],
        insulation=unknowns.insulation[system.name],
    )
    count = len(system.conductors)
    on = unknowns.pole[:, k][:, None] == np.arange(count)
    admittance = np.reshape(healthy, (-1, 1)) + on / unknowns.resistance[:, k][:, None]
    berth = berth_at(ship, fault.found.middle)
    earthing = median_earthing(system, berth, ship.assumptions)
    neutral = earthing.conductance
    if earthing.at in system.conductors:
        admittance[:, conductor_index(system, str(earthing.at))] += neutral
        neutral = 0.0
    volts, _ = conductor_volts_with_lamps(
        supply_at(system, berth).star_volts,
        admittance,
        system.lamps,
        neutral,
        law=unknowns.law,
    )
    size = np.abs(volts)
    found = {"hull_volts": _spread(system, size)}
    if system.lamps is None:
        return found | {
            "reading": "no detector lamps: only a meter or monitor shows it"
        }
    lamp_volts = size / system.lamps.ratio
    rated, own = system.lamps.volts, ship.assumptions
    middle = np.median(lamp_volts, axis=0)
    shown = picture(middle, rated_volts=rated, assumptions=own)
    pictures = picture(lamp_volts, rated_volts=rated, assumptions=own)
    visible = (pictures != pictures[:, :1]).any(axis=1).mean()
    return found | {
        "lamp_volts": _spread(system, lamp_volts),
        "lamps": dict(zip(system.conductors, shown.tolist(), strict=True)),
        "lamps_could_show": json_value(visible),
        "reading": describe_lamps(system, shown.tolist(), assumptions=own),
    }


def _spread(system: System, values: Array) -> Mapping[str, Mapping[str, Any]]:
    summed = summarise(values)
    return {
        name: {s: json_value(summed[s][c]) for s in STATISTICS}
        for c, name in enumerate(system.conductors)
    }
