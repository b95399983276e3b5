"""What stood around each fault when it was read: her berth, and other faults."""

from dataclasses import replace

from corrosion.foundation import assumptions
from corrosion.leakage.inference.consistency import contradictions
from corrosion.leakage.inference.evidence import Evidence
from corrosion.records.ship import Berth, Fault, Ship, System

__all__ = [
    "berth_at",
    "doubtful_readings",
    "earth_tie",
    "evidence_for_fault",
    "evidence_for_system",
    "is_earthed",
]

AFLOAT = Berth(start=None, end=None, berth="not written", supply="own")
"""How she lay where no berth is written: afloat, on her own supply."""


def berth_at(ship: Ship, moment: float) -> Berth:
    """Return the berth at a moment, dates taken at their middle.

    Parameters
    ----------
    ship : Ship
        The ship; of berths that overlap, the later in her table counts.
    moment : float
        From 1970-01-01 00:00. [s]

    Returns
    -------
    Berth
        Afloat on her own supply where none is written.
    """
    for berth in reversed(ship.berths):
        begun = berth.start is None or berth.start.middle <= moment
        ended = berth.end is not None and berth.end.middle < moment
        if begun and not ended:
            return berth
    return AFLOAT


def is_earthed(system: System, berth: Berth) -> bool:
    """Return whether a berth's supply ties the star point of a system to earth."""
    return berth.supply == "shore earthed" and system.fed_from_shore


def earth_tie(system: System, berth: Berth) -> float:
    """Return the admittance of star point to hull at a berth.

    Parameters
    ----------
    system : System
        The system.
    berth : Berth
        How she lies; a shore earth that is not written is the basis table's median.

    Returns
    -------
    float
        Shore earth and protective conductor in parallel; 0: floating. [S]
    """
    if not is_earthed(system, berth):
        return 0.0
    blank = berth.shore_earth is None
    ohms = assumptions.value("shore_earth_ohm") if blank else berth.shore_earth
    cable = 0.0 if berth.earth_cable is None else 1.0 / berth.earth_cable
    return 1.0 / (ohms or 1.0) + cable


def evidence_for_system(ship: Ship, system: System) -> tuple[list[int], list[Evidence]]:
    """Return what was read of each fault of a system, and which stood together.

    Parameters
    ----------
    ship : Ship
        The ship.
    system : System
        One of her systems.

    Returns
    -------
    places : list of int
        Positions in ``ship.faults`` of the ground faults of the system.
    evidence : list of Evidence
        One a fault; ``beside`` are positions in this list.
    """
    places = [
        k
        for k, fault in enumerate(ship.faults)
        if fault.system == system.name and fault.source == "ground fault"
    ]
    faults = [ship.faults[k] for k in places]
    found = [
        replace(
            evidence_for_fault(ship, fault, system),
            others=(),
            beside=tuple(
                k
                for k, other in enumerate(faults)
                if other is not fault and _stood(other, fault)
            ),
        )
        for fault in faults
    ]
    return places, found


def evidence_for_fault(ship: Ship, fault: Fault, system: System) -> Evidence:
    """Return what was read of a fault, and what else was connected then.

    Parameters
    ----------
    ship : Ship
        The ship, with berths and other faults.
    fault : Fault
        A ground fault of the system.
    system : System
        The system.

    Returns
    -------
    Evidence
        Other faults that stood count as they were tested, if they were. A current
        that returns ashore although the supply is not earthed says nothing of the
        network aboard and is left out.
    """
    berth = berth_at(ship, fault.found.middle)
    readings = fault.readings
    if fault.returns == "ashore" and not is_earthed(system, berth):
        readings = replace(readings, amps=None)
    return Evidence(
        readings=(readings,),
        others=tuple(
            (other.readings.conductor, other.readings.insulation)
            for other in ship.faults
            if other.system == system.name
            and other.fault != fault.fault
            and other.readings.conductor is not None
            and other.readings.insulation is not None
            and _stood(other, fault)
        ),
        tie=earth_tie(system, berth),
    )


def _stood(other: Fault, fault: Fault) -> bool:
    """Return whether another fault certainly stood when this one was found."""
    before = other.found.latest <= fault.found.earliest
    return before and (
        other.cleared is None or other.cleared.earliest >= fault.found.latest
    )


def doubtful_readings(ship: Ship) -> list[str]:
    """Return the readings of each fault that contradict one another, in words."""
    words = []
    for fault in ship.faults:
        if fault.source == "ground fault" and fault.system is not None:
            system = ship.system(fault.system)
            found = contradictions(system, evidence_for_fault(ship, fault, system))
            words += [
                f"faults.csv:{fault.line}: fault {fault.fault}: {w}" for w in found
            ]
    return words
