"""The hunt sheet of a ship's system: her circuits, her log, and the cautions."""

from typing import Any, Final

from corrosion.foundation import assumptions
from corrosion.foundation.errors import InputError
from corrosion.inspection.fault_finding.circuit_tree import HuntCircuit
from corrosion.inspection.fault_finding.probabilities import Chances, Seen, chances
from corrosion.inspection.fault_finding.search import after_result, hunt_sheet
from corrosion.records.ship import Circuit, Ship

__all__ = ["CAUTIONS", "circuits_of", "hunt_circuits", "hunt_table"]

CAUTIONS: Final = (
    (
        "Opening a breaker can stop a vital load (steering, pumps, navigation lights, "
        "alarms): ask the watch and the bridge before each one."
    ),
    (
        "Get permission where it is named, lock out and tag out, prove dead before you "
        "test; follow local codes and the yard's procedures, and leave the work to a "
        "licensed electrician."
    ),
    (
        "An ungrounded system can kill even while the lamps look healthy: they show "
        "neither a high fault resistance nor equal faults on all conductors."
    ),
)
"""Cautions that stand on every hunt sheet."""


def circuits_of(ship: Ship, system_name: str | None) -> dict[str, Circuit]:
    """Return the circuits of a system by name: as written, then those of the log.

    None: of what belongs to no system.
    """
    found = {row.circuit: row for row in ship.circuits if row.system == system_name}
    for fault in ship.faults:
        name = fault.circuit
        if fault.system == system_name and name is not None and name not in found:
            found[name] = Circuit(system=system_name or "", circuit=name)
    return found


def hunt_circuits(
    ship: Ship, system_name: str, *, as_of: float, seen: Seen | None = None
) -> tuple[tuple[HuntCircuit, ...], Chances]:
    """Return the circuits of a system that may hold the fault, with their chances.

    Parameters
    ----------
    ship : Ship
        Her circuits and her log.
    system_name : str
        The system whose lamps show the fault.
    as_of : float
        The present, from 1970-01-01 00:00. [s]
    seen : Seen, optional
        The conductor on the lamps, recent work, and what was opened already.

    Returns
    -------
    circuits : tuple of HuntCircuit
        Those of circuits.csv, then those that only the log names; less those that
        what was opened rules out.
    chances : Chances
        What the chances rest on.

    Raises
    ------
    LookupFailed
        If there is no such system, conductor or circuit.
    InputError
        If the system has no circuit, its circuits feed each other in a loop, or what
        was opened rules out every one.
    """
    system = ship.system(system_name)
    written = circuits_of(ship, system_name)
    known = chances(system, tuple(written), ship.faults, as_of=as_of, seen=seen)
    opening, testing = (
        assumptions.value("minutes_to_open"),
        assumptions.value("minutes_to_test"),
    )
    circuits = []
    for row, chance in zip(written.values(), known.chance, strict=True):
        to_open = opening if row.minutes_to_open is None else row.minutes_to_open
        to_test = testing if row.minutes_to_test is None else row.minutes_to_test
        circuits.append(
            HuntCircuit(
                circuit=row.circuit,
                chance=float(chance),
                minutes=to_open + to_test,
                permission=row.permission,
                fed_from=row.fed_from,
                minutes_to_open=to_open,
            )
        )
    return _left(tuple(circuits), seen or Seen()), known


def _left(circuits: tuple[HuntCircuit, ...], seen: Seen) -> tuple[HuntCircuit, ...]:
    """Return the circuits that may still hold the fault after what was opened."""
    opened = [(name, False) for name in seen.stayed]
    opened += [(seen.gone, True)] if seen.gone is not None else []
    for name, cleared in opened:
        if name in [row.circuit for row in circuits]:  # else ruled out with its panel
            circuits = after_result(circuits, name, cleared=cleared)
        elif cleared:
            circuits = ()
    if not circuits:
        msg = (
            "what was opened rules out every circuit: the fault lies on one that is "
            "not listed, on the switchboard itself, or there are two; close what was "
            "opened and begin anew."
        )
        raise InputError(msg)
    return circuits


def hunt_table(
    ship: Ship, system_name: str, *, as_of: float, seen: Seen | None = None
) -> dict[str, Any]:
    """Return the hunt sheet as plain rows, for the command line and for JSON.

    Parameters
    ----------
    ship, system_name, as_of, seen
        As :func:`hunt_circuits`.

    Returns
    -------
    dict
        ``order`` (rows of circuit, chance, minutes, permission, fed_from and
        opened_first), ``expected_minutes``, ``expected_minutes_by_list``,
        ``expected_minutes_halving``, ``minutes_90``, ``without_permission`` (names),
        ``free_chance``, ``notes`` and ``cautions``.

    Raises
    ------
    LookupFailed, InputError
        As :func:`hunt_circuits`.
    """
    circuits, known = hunt_circuits(ship, system_name, as_of=as_of, seen=seen)
    sheet = hunt_sheet(circuits)
    notes = [known.note]
    asking = [row.circuit for row in sheet.order if row.permission]
    if asking:
        notes.append(f"Ask for permission before opening: {', '.join(asking)}.")
    return {
        "order": [
            {
                "circuit": row.circuit,
                "chance": row.chance,
                "minutes": row.minutes,
                "permission": row.permission,
                "fed_from": row.fed_from,
                "opened_first": row.circuit in sheet.opened_first,
            }
            for row in sheet.order
        ],
        "expected_minutes": sheet.expected_minutes,
        "expected_minutes_by_list": sheet.expected_by_list,
        "expected_minutes_halving": sheet.expected_halving,
        "minutes_90": sheet.minutes_90,
        "without_permission": [row.circuit for row in sheet.without_permission],
        "free_chance": sheet.free_chance,
        "notes": notes,
        "cautions": list(CAUTIONS),
    }
