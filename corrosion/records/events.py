"""What happened to her: faults and their readings, berths, gaugings, logs."""

from dataclasses import dataclass
from pathlib import Path

from corrosion.records.dates import When
from corrosion.records.kinds import (
    Current,
    GaugingKind,
    Picture,
    Return,
    Side,
    Source,
    Supply,
)

__all__ = [
    "Berth",
    "Fault",
    "Gauging",
    "MonitorLog",
    "Readings",
]


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
    afloat : bool
        Whether she lay in water; False: in dry dock or on a slip, where no current
        finds a way through it.
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
    afloat: bool = True
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
class MonitorLog:
    """One hull-current log file of the folder, not yet read.

    Attributes
    ----------
    path : Path
        Where it lies.
    """

    path: Path
