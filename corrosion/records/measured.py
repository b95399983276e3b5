"""What was measured of her, each with its hour: readings, gaugings, potentials."""

from dataclasses import dataclass
from typing import Final

from corrosion.records.dates import When
from corrosion.records.kinds import (
    Clamped,
    Connected,
    Current,
    Electrode,
    GaugingKind,
    LampSeen,
    OnOff,
    Side,
    Surface,
)

SHORE_CABLE: Final = "shore cable"
"""Circuit of readings on the shore connection, which are of no system."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One row of readings.csv: what instruments showed at one hour; None: not read.

    Attributes
    ----------
    time : When
        When it was read; it counts in the state of that hour.
    system : str or None
        Of which system; None: the fault's.
    fault : str or None
        Of which fault; None: a round or survey, a good check of the system.
    circuit : str or None
        Circuit, or ``shore cable``.
    clamped : {'fault path', 'feeder', 'earth lead', 'whole cable'}
        What the clamp was round.
    conductor : str or None
        Conductor that was read.
    to : str or None
        Against what ``volts`` were read: another conductor or ``shore earth``; None:
        the hull.
    volts : float or None
        Voltmeter, a magnitude where alternating. [V]
    meter : float
        Input resistance of the voltmeter. [Ω]
    amps : float or None
        Clamp meter: rms, or signed for direct current. [A]
    current : {'ac', 'dc'} or None
        Of volts and amps; None: what the system says.
    insulation : float or None
        Insulation test of the isolated branch, conductor to hull. [Ω]
    test_volts : float or None
        Test voltage. [V]
    duration : float or None
        How long the test voltage had been on. [s]
    temperature : float or None
        Of the isolated branch. [°C]
    monitor : float or None
        What the insulation monitor showed of the whole system. [Ω]
    lamps : tuple of (LampSeen or None)
        What each lamp showed, in the system's order; empty: not noted.
    by, remark : str
        Who read it; words.
    line : int
        Line in readings.csv, for messages.
    """

    time: When
    system: str | None = None
    fault: str | None = None
    circuit: str | None = None
    clamped: Clamped = "fault path"
    conductor: str | None = None
    to: str | None = None
    volts: float | None = None
    meter: float = 10e6
    amps: float | None = None
    current: Current | None = None
    insulation: float | None = None
    test_volts: float | None = None
    duration: float | None = None
    temperature: float | None = None
    monitor: float | None = None
    lamps: tuple[LampSeen | None, ...] = ()
    by: str = ""
    remark: str = ""
    line: int = 0


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
        Mean of the readings, or least found; 0: holed. [m]
    readings : int
        Number of readings.
    sd : float or None
        Standard uncertainty of one reading; None: basis table. [m]
    kind : {'mean', 'least'}
        Mean of the zone, or least found.
    frame : float or None
        Frame of the reading.
    strake, plate : str or None
        Where on the shell.
    surface : str or None
        How the plate was made ready; None: not known, a mixture.
    instrument, by : str
        With what, and who read it.
    built : float or None
        Thickness as built of that plate; None: the zone's. [m]
    pit_depth : float or None
        Deepest pit by pit gauge. [m]
    pitting : float or None
        Share of the plate that is pitted. [-]
    seen_area : float or None
        Area that was looked over. [m²]
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
    strake: str | None = None
    plate: str | None = None
    surface: Surface | None = None
    instrument: str = ""
    by: str = ""
    built: float | None = None
    pit_depth: float | None = None
    pitting: float | None = None
    seen_area: float | None = None
    remark: str = ""
    line: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Potential:
    """One row of potentials.csv: the hull against a reference electrode in the water.

    Attributes
    ----------
    time : When
        When it was read.
    potential : float
        Hull against the electrode. [V]
    electrode : {'Ag/AgCl', 'Zn', 'CSE', 'SCE'}
        The reference.
    zone : str or None
        Where, or by frame and side.
    frame : float or None
        Where the electrode hung.
    side : {'port', 'starboard', 'centre'} or None
        On which side.
    distance : float or None
        From the electrode to the plate. [m]
    shore_earth : {'connected', 'disconnected'} or None
        Disconnected: the whole shore cable withdrawn.
    impressed : {'on', 'off'} or None
        Impressed current.
    settled : float or None
        How long nothing had been switched before. [s]
    open_circuit : float or None
        Shore earth against the hull with the cable withdrawn, positive where the
        shore earth is the nobler. [V]
    remark : str
        Words.
    line : int
        Line in potentials.csv, for messages.
    """

    time: When
    potential: float
    electrode: Electrode
    zone: str | None = None
    frame: float | None = None
    side: Side | None = None
    distance: float | None = None
    shore_earth: Connected | None = None
    impressed: OnOff | None = None
    settled: float | None = None
    open_circuit: float | None = None
    remark: str = ""
    line: int = 0
