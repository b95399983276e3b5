"""What the crew write down, as frozen objects in SI units: data and nothing else.

Blank is ``None`` (not known) and is never zero. Reading and checking of files is in
:mod:`corrosion.records.folder`; physics takes arrays and never sees these files.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final, Literal

import numpy as np

from corrosion.errors import LookupFailed, Problem
from corrosion.records.dates import When
from corrosion.types import Array, ComplexArray

__all__ = [
    "CONDUCTORS",
    "Access",
    "Berth",
    "Circuit",
    "Current",
    "Exposure",
    "Fault",
    "Form",
    "Gauging",
    "Kind",
    "LampSet",
    "MonitorLog",
    "Picture",
    "Prices",
    "Readings",
    "Restated",
    "Return",
    "Ship",
    "Side",
    "Source",
    "Supply",
    "System",
    "Water",
    "Zone",
]

Kind = Literal["ac3", "ac1", "dc2"]
Side = Literal["port", "starboard", "centre"]
Exposure = Literal["immersed", "tidal", "splash", "bilge", "tank", "dry"]
Access = Literal["inside", "diver", "dock"]
Source = Literal["ground fault", "welding", "other"]
Return = Literal["aboard", "ashore"]
Current = Literal["ac", "dc"]
Picture = Literal["out", "dim", "even", "bright"]
Supply = Literal["own", "shore isolated", "shore earthed"]
GaugingKind = Literal["mean", "least"]

CONDUCTORS: Final[Mapping[Kind, tuple[str, ...]]] = {
    "ac3": ("a", "b", "c"),
    "ac1": ("a", "b"),
    "dc2": ("+", "-"),
}
"""Names of the conductors of each kind of system, in the order used everywhere."""

WETTED: Final = frozenset({"immersed", "tidal"})
"""Exposures that conduct into the sea; the others lose current to the steel only."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """The hull's main dimensions.

    Attributes
    ----------
    length, beam, draught : float
        On the waterline, moulded, and mean draught. [m]
    block_coefficient : float
        Displaced volume over length x beam x draught. [-]
    midship_coefficient, waterplane_coefficient : float or None
        Fullness of midship section and waterplane; None: from the block. [-]
    frame_spacing : float
        Distance between frames; frame 0 at the forward perpendicular. [m]
    """

    length: float
    beam: float
    draught: float
    block_coefficient: float
    frame_spacing: float
    midship_coefficient: float | None = None
    waterplane_coefficient: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Water:
    """The water she lies in: salinity and temperature, or a measured resistivity.

    Attributes
    ----------
    salinity, temperature : float or None
        Practical salinity [g/kg] and temperature [°C].
    resistivity : float or None
        Measured; wins over salinity. [Ω·m]
    depth : float or None
        Depth of water at the berth; None: deep. [m]
    """

    salinity: float | None = None
    temperature: float | None = None
    resistivity: float | None = None
    depth: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LampSet:
    """Ground-detector lamps, one a conductor, in star to the hull.

    Attributes
    ----------
    volts : float
        Rated voltage of one lamp. [V]
    watts : float
        Rated power of one lamp. [W]
    ratio : float
        Line voltage over lamp voltage of the lamp transformer; 1: none. [-]
    """

    volts: float
    watts: float
    ratio: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class System:
    """One electrical system, none of whose conductors is tied to the hull.

    Attributes
    ----------
    name : str
        As in ship.toml.
    kind : {'ac3', 'ac1', 'dc2'}
        Three-phase, single-phase two-wire, two-wire direct current.
    volts : float
        Between conductors (rms for alternating current). [V]
    hertz : float
        Frequency, 0 for direct current. [Hz]
    capacitance : float or None
        Each conductor to hull, the whole system; None: basis table. [F]
    insulation : float or None
        Each conductor to hull, healthy; None: basis table. [Ω]
    switchboard_zone : str or None
        Zone of the switchboard, where lamp and cable currents join the hull.
    lamps : LampSet or None
        None: the system has no detector lamps.
    fed_from_shore : bool
        False where the system stays behind a converter or transformer of its own
        aboard, so that an earthed shore supply does not earth it.
    """

    name: str
    kind: Kind
    volts: float
    hertz: float = 0.0
    capacitance: float | None = None
    insulation: float | None = None
    switchboard_zone: str | None = None
    lamps: LampSet | None = None
    fed_from_shore: bool = True

    @property
    def conductors(self) -> tuple[str, ...]:
        """Names of the conductors, in the order of every array axis."""
        return CONDUCTORS[self.kind]

    @property
    def current(self) -> Current:
        """What kind of current a fault of this system carries."""
        return "dc" if self.kind == "dc2" else "ac"

    @property
    def omega(self) -> float:
        """Angular frequency, zero for direct current [rad/s]."""
        return 0.0 if self.kind == "dc2" else 2.0 * np.pi * self.hertz

    @property
    def star_volts(self) -> ComplexArray | Array:
        """Source voltage of each conductor about the floating star point [V].

        Complex rms phasors, shape (3,) or (2,); real for direct current.
        """
        if self.kind == "ac3":
            turn = np.exp(-2j * np.pi * np.arange(3) / 3.0)
            return np.asarray(self.volts / np.sqrt(3.0) * turn)
        half = np.array([0.5, -0.5]) * self.volts
        return half if self.kind == "dc2" else half.astype(np.complex128)


@dataclass(frozen=True, slots=True, kw_only=True)
class Zone:
    """One hull zone: a patch of plating, or a part fastened to the hull.

    Attributes
    ----------
    zone, name : str
        Short unique id, and words.
    frame_from, frame_to : float
        Frames counted from the forward perpendicular.
    side : {'port', 'starboard', 'centre'}
        Side of the ship.
    top, bottom : float
        Below the waterline; negative is above it. [m]
    area : float or None
        Plate area facing the water; None: from the hull form. [m²]
    exposure, metal, access : str
        See ``3-records``: what the plate faces, of what, and how it is reached.
    built, limit, pit_limit : float
        Thickness as built, least allowed, least allowed under a pit. [m]
    bare : float or None
        Coating breakdown seen, as a share of the area. [-]
    bare_seen, painted : When or None
        When the breakdown was seen; when the zone was last painted.
    bond : float or None
        Resistance of the joint that fastens a part; None: welded plating. [Ω]
    bonded_to : str or None
        Zone on the other side of that joint.
    protection : float
        Cathodic protection current reaching bare steel. [A/m²]
    consequence : int
        1 (nuisance) to 5 (loss of the ship or of life).
    gauge_hours : float
        Time to gauge it. [h]
    cable_share : float or None
        Share of the ship's cabling in way of the zone; None: by area. [-]
    """

    zone: str
    name: str
    frame_from: float
    frame_to: float
    side: Side
    top: float
    bottom: float
    exposure: Exposure
    built: float
    limit: float
    pit_limit: float
    area: float | None = None
    metal: str = "steel"
    bare: float | None = None
    bare_seen: When | None = None
    painted: When | None = None
    bond: float | None = None
    bonded_to: str | None = None
    protection: float = 0.0
    consequence: int = 3
    access: Access = "inside"
    gauge_hours: float = 2.0
    cable_share: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Readings:
    """What was read on the instruments while a fault stood; None is not read.

    Attributes
    ----------
    conductor : str or None
        Conductor that touches the hull; None: not known.
    amps : float or None
        Measured current into the hull; direct current is positive from the
        circuit into the steel, alternating current is rms. [A]
    insulation : float or None
        Insulation test of the isolated branch, conductor to hull. [Ω]
    hull_volts : tuple of (float or None)
        Volts to hull, a conductor each, in the system's order; empty: none
        read. Magnitudes for alternating current. [V]
    meter : float
        Input resistance of that voltmeter. [Ω]
    lamps : tuple of (Picture or None)
        What each lamp showed, in the system's order; empty: not noted.
    """

    conductor: str | None = None
    amps: float | None = None
    insulation: float | None = None
    hull_volts: tuple[float | None, ...] = ()
    meter: float = 10e6
    lamps: tuple[Picture | None, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One sustained current into the hull.

    Attributes
    ----------
    fault : str
        Unique id.
    system, circuit, zone : str or None
        Which system and circuit; zone where the current enters the steel, None:
        not found.
    source : {'ground fault', 'welding', 'other'}
        What drives it.
    returns : {'aboard', 'ashore'} or None
        Where it returns; None: what the berth says.
    last_good, found, cleared : When or None
        Last good check, when found, when cleared; cleared None: still standing.
    current : {'ac', 'dc'}
        Kind of current (what the system says, where the record was blank).
    readings : Readings
        What was read while it stood.
    remark : str
        Words.
    line : int
        Line in faults.csv, for messages.
    """

    fault: str
    system: str | None
    found: When
    current: Current
    circuit: str | None = None
    zone: str | None = None
    source: Source = "ground fault"
    returns: Return | None = None
    last_good: When | None = None
    cleared: When | None = None
    readings: Readings = Readings()
    remark: str = ""
    line: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Berth:
    """How she lay and what fed her, from one date to another.

    Attributes
    ----------
    start, end : When or None
        None: from the beginning of the records; to the present.
    berth : str
        Words.
    supply : {'own', 'shore isolated', 'shore earthed'}
        What fed her.
    earth_cable : float or None
        Hull to shore earth through the protective conductor; None: none
        connected. [Ω]
    shore_earth : float or None
        Shore earth electrode to remote earth; None: basis table. [Ω]
    earth_couple : float or None
        Voltage of the couple hull steel against the shore earth, positive drives
        current out of the hull into the water; None: basis table for ``shore
        earthed``, zero otherwise. [V]
    galvanic_isolator : bool
        Whether one is in the protective conductor.
    shore_side : Side or None
        Side on which the shore earth lies.
    shore_distance : float or None
        How far. [m]
    """

    start: When | None
    end: When | None
    berth: str
    supply: Supply
    earth_cable: float | None = None
    shore_earth: float | None = None
    earth_couple: float | None = None
    galvanic_isolator: bool = False
    shore_side: Side | None = None
    shore_distance: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Gauging:
    """One thickness measurement of a zone.

    Attributes
    ----------
    zone : str
        Zone id.
    date : When
        When it was gauged.
    thickness : float
        Mean of the readings, or least found. [m]
    readings : int
        Number of readings.
    sd : float or None
        Standard uncertainty of one reading; None: basis table. [m]
    kind : {'mean', 'least'}
        Mean of the zone, or least found.
    frame : float or None
        Frame of the reading.
    remark : str
        Words.
    line : int
        Line in gaugings.csv, for messages.
    """

    zone: str
    date: When
    thickness: float
    readings: int = 1
    sd: float | None = None
    kind: GaugingKind = "mean"
    frame: float | None = None
    remark: str = ""
    line: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Circuit:
    """One circuit in the tree from the switchboard.

    Attributes
    ----------
    system, circuit : str
        Which.
    fed_from : str or None
        Circuit or panel upstream; None: the switchboard.
    zone : str or None
        Zone that it runs through.
    minutes_to_open, minutes_to_test : float or None
        Time to open and to test it. [min]
    permission : str
        Who must agree before it is opened; empty: nobody.
    """

    system: str
    circuit: str
    fed_from: str | None = None
    zone: str | None = None
    minutes_to_open: float | None = None
    minutes_to_test: float | None = None
    permission: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Prices:
    """What steel and work cost, in the user's own currency; None: not given.

    Attributes
    ----------
    steel_per_kg : float or None
        Renewed plate, all in, a kilogram.
    steel_per_m2 : float or None
        Renewed plate, all in, a square metre.
    crew_hour : float or None
        One hour of the crew.
    """

    steel_per_kg: float | None = None
    steel_per_m2: float | None = None
    crew_hour: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Restated:
    """An entry of the basis table that the user restates.

    Attributes
    ----------
    median, spread : float
        Median, in the entry's unit, and geometric standard deviation. [-]
    why : str
        The user's reason.
    """

    median: float
    spread: float
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MonitorLog:
    """One hull-current log file of the folder, not yet read.

    Attributes
    ----------
    path : Path
        Where it lies.
    """

    path: Path


@dataclass(frozen=True, slots=True, kw_only=True)
class Ship:
    """Everything in a ship folder, checked.

    Attributes
    ----------
    name : str
        Her name.
    folder : Path or None
        Where she was read from.
    form, water, prices : Form, Water, Prices
        Dimensions, water and prices.
    built, next_docking : When or None
        When she was built; when she next docks (the horizon).
    last_docking : When or None
        When she was last docked and painted.
    systems, zones, faults, berths, gaugings, circuits, logs : tuple
        The tables, in file order. Berths never empty: own supply, afloat, all the
        time where none was written.
    restated : mapping of str to Restated
        Entries of the basis table that the user restates.
    doubts : tuple of Problem
        What is doubtful but does not stop the work.
    """

    name: str
    form: Form
    water: Water
    built: When
    zones: tuple[Zone, ...]
    systems: tuple[System, ...] = ()
    faults: tuple[Fault, ...] = ()
    berths: tuple[Berth, ...] = ()
    gaugings: tuple[Gauging, ...] = ()
    circuits: tuple[Circuit, ...] = ()
    logs: tuple[MonitorLog, ...] = ()
    prices: Prices = Prices()
    next_docking: When | None = None
    last_docking: When | None = None
    restated: Mapping[str, Restated] = field(default_factory=dict)
    doubts: tuple[Problem, ...] = ()
    folder: Path | None = None

    def zone_index(self, zone: str) -> int:
        """Return the position of a zone on every zone axis.

        Raises
        ------
        LookupFailed
            If there is no such zone.
        """
        for index, row in enumerate(self.zones):
            if row.zone == zone:
                return index
        raise LookupFailed.among("zone", zone, [row.zone for row in self.zones])

    def system(self, name: str) -> System:
        """Return the system of that name.

        Raises
        ------
        LookupFailed
            If there is no such system.
        """
        for row in self.systems:
            if row.name == name:
                return row
        raise LookupFailed.among("system", name, [row.name for row in self.systems])
