"""What the crew write down, as frozen objects in SI units: data and nothing else.

Blank is ``None`` (not known) and is never zero. Reading and checking of files is in
:mod:`corrosion.records.folder.read`; physics takes arrays and never sees these files.
The parts stand in :mod:`~corrosion.records.vessel` and
:mod:`~corrosion.records.events`, and other rooms fetch them from here; words that one
table alone knows are in :mod:`~corrosion.records.kinds`.
"""
# ruff: noqa: F401 - other modules fetch these names from here

from dataclasses import dataclass, field
from pathlib import Path

from corrosion.foundation.assumptions import Assumptions, default_assumptions
from corrosion.foundation.errors import LookupFailed, Problem
from corrosion.records.dates import When
from corrosion.records.events import Berth, Fault, MonitorLog, Readings, Recorder
from corrosion.records.kinds import (
    CONDUCTORS,
    WETTED,
    Access,
    Current,
    Kind,
    LampSeen,
    OpenWhen,
    Picture,
    ShipLies,
    Side,
    TestVolts,
    Units,
    WorkKind,
)
from corrosion.records.measured import SHORE_CABLE, Gauging, Potential, Reading
from corrosion.records.upkeep import Anode, AnodeSeen, Hunt, HuntStep, Work
from corrosion.records.vessel import Form, LampSet, System, Water, Zone


@dataclass(frozen=True, slots=True, kw_only=True)
class Circuit:
    """One circuit in the tree from the switchboard."""

    # system, circuit: which
    system: str
    circuit: str
    fed_from: str | None = None  # circuit or panel upstream; None: the switchboard
    zone: str | None = None  # zone that it runs through
    # minutes_to_open, minutes_to_test, minutes_to_clamp: time to open it, to test it,
    # and to clamp its feeder [min]
    minutes_to_open: float | None = None
    minutes_to_test: float | None = None
    # who must agree before it is opened; empty: the engineer of the watch is asked;
    # `none`: the owner's word that nobody need be asked
    permission: str = ""
    # whether somebody's safety hangs on it; None: guessed from its name
    vital: bool | None = None
    open_when: OpenWhen = "alongside"  # how the ship must lie for it to be opened
    # circuit of the system that takes over; the two are never open together
    spare_of: str | None = None
    test: TestVolts = "ohmmeter only"  # test volts that the isolated branch bears
    trip_amps: float | None = None  # what its breaker trips at [A]
    minutes_to_clamp: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Prices:
    """What steel and work cost, in the user's own currency; None: not given."""

    steel_per_kg: float | None = None  # renewed plate, all in, a kilogram
    steel_per_m2: float | None = None  # renewed plate, all in, a square metre
    crew_hour: float | None = None  # one hour of the crew
    # isolating_transformer, galvanic_isolator, monitor: one of them, fitted
    isolating_transformer: float | None = None
    galvanic_isolator: float | None = None
    monitor: float | None = None
    dock_day: float | None = None  # one day in dry dock


@dataclass(frozen=True, slots=True, kw_only=True)
class Display:
    """How numbers are shown to people; files and JSON stay metric."""

    units: Units = "metric"  # millimetres and kilograms, or mils, inches and pounds
    currency: str = ""  # name of the user's currency; empty: not given


@dataclass(frozen=True, slots=True, kw_only=True)
class Ship:
    """Everything in a ship folder, checked."""

    name: str  # her name
    # form, water, prices: dimensions, water and prices
    form: Form
    water: Water
    # built, next_docking: when she was built; when she next docks (the horizon)
    built: When
    zones: tuple[Zone, ...]
    # systems, zones, faults, berths, gaugings, circuits, logs: the tables, in file
    # order. Berths never empty: own supply, afloat, all the time where none was written
    systems: tuple[System, ...] = ()
    faults: tuple[Fault, ...] = ()
    berths: tuple[Berth, ...] = ()
    gaugings: tuple[Gauging, ...] = ()
    circuits: tuple[Circuit, ...] = ()
    # readings, works, anodes, potentials: further tables, in file order; anodes one a
    # name, with all looks at it
    readings: tuple[Reading, ...] = ()
    works: tuple[Work, ...] = ()
    anodes: tuple[Anode, ...] = ()
    potentials: tuple[Potential, ...] = ()
    hunts: tuple[Hunt, ...] = ()  # hunts, one a file, by name
    # display, recorder: units and currency in which people read; how her recorder
    # writes its logs
    display: Display = Display()
    recorder: Recorder = field(default_factory=Recorder)
    logs: tuple[MonitorLog, ...] = ()
    prices: Prices = Prices()
    next_docking: When | None = None
    last_docking: When | None = None  # when she was last docked and painted
    # the table of assumptions with her own entries laid over it
    assumptions: Assumptions = field(default_factory=default_assumptions)
    doubts: tuple[Problem, ...] = ()  # what is doubtful but does not stop the work
    folder: Path | None = None  # where she was read from

    def __repr__(self) -> str:
        return (
            f"<Ship {self.name}: {len(self.zones)} zones, {len(self.faults)} faults, "
            f"{len(self.berths)} berths, {len(self.gaugings)} gaugings>"
        )

    def zone_index(self, zone: str) -> int:
        """Return the position of a zone on every zone axis.

        Raises LookupFailed if there is no such zone.
        """
        for index, row in enumerate(self.zones):
            if row.zone.casefold() == zone.casefold():
                return index
        raise LookupFailed.among("zone", zone, [row.zone for row in self.zones])

    def ground_faults(self, system: str) -> list[int]:
        """Return the positions of the ground faults of a system, in file order."""
        return [
            k
            for k, fault in enumerate(self.faults)
            if fault.system == system and fault.source == "ground fault"
        ]

    def rounds(self, system: str) -> tuple[When, ...]:
        """Return when a system was found healthy: its readings without a fault."""
        found = [
            row.time
            for row in self.readings
            if row.fault is None
            and row.system == system
            and row.amps is None
            and row.circuit != SHORE_CABLE
        ]
        return tuple(sorted(found, key=lambda when: when.middle))

    def system(self, name: str) -> System:
        """Return the system of that name.

        Raises LookupFailed if there is no such system.
        """
        for row in self.systems:
            if row.name.casefold() == name.casefold():
                return row
        raise LookupFailed.among("system", name, [row.name for row in self.systems])
