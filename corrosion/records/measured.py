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
    """One row of readings.csv: what instruments showed at one hour; None: not read."""

    time: When  # when it was read; it counts in the state of that hour
    system: str | None = None  # of which system; None: the fault's
    # of which fault; None: a round or survey, a good check of the system
    fault: str | None = None
    circuit: str | None = None  # circuit, or ``shore cable``
    clamped: Clamped = "fault path"  # what the clamp was round
    conductor: str | None = None  # conductor that was read
    # against what `volts` were read: another conductor or `shore earth`; None: the hull
    to: str | None = None
    volts: float | None = None  # voltmeter, a magnitude where alternating [V]
    meter: float = 10e6  # input resistance of the voltmeter [Ω]
    amps: float | None = None  # clamp meter: rms, or signed for direct current [A]
    current: Current | None = None  # of volts and amps; None: what the system says
    # insulation test of the isolated branch, conductor to hull [Ω]
    insulation: float | None = None
    test_volts: float | None = None  # test voltage [V]
    duration: float | None = None  # how long the test voltage had been on [s]
    temperature: float | None = None  # of the isolated branch [°C]
    # what the insulation monitor showed of the whole system [Ω]
    monitor: float | None = None
    # what each lamp showed, in the system's order; empty: not noted
    lamps: tuple[LampSeen | None, ...] = ()
    # by, remark: who read it; words
    by: str = ""
    remark: str = ""
    line: int = 0  # line in readings.csv, for messages


@dataclass(frozen=True, slots=True, kw_only=True)
class Gauging:
    """One thickness measurement of a zone."""

    zone: str  # zone id
    date: When  # when it was gauged
    thickness: float  # mean of the readings, or least found; 0: holed [m]
    readings: int = 1  # number of readings
    # standard uncertainty of one reading; None: basis table [m]
    sd: float | None = None
    kind: GaugingKind = "mean"  # mean of the zone, or least found
    frame: float | None = None  # frame of the reading
    # strake, plate: where on the shell
    strake: str | None = None
    plate: str | None = None
    # how the plate was made ready; None: not known, a mixture
    surface: Surface | None = None
    # instrument, by: with what, and who read it
    instrument: str = ""
    by: str = ""
    built: float | None = None  # thickness as built of that plate; None: the zone's [m]
    pit_depth: float | None = None  # deepest pit by pit gauge [m]
    pitting: float | None = None  # share of the plate that is pitted [-]
    seen_area: float | None = None  # area that was looked over [m²]
    remark: str = ""  # words
    line: int = 0  # line in gaugings.csv, for messages


@dataclass(frozen=True, slots=True, kw_only=True)
class Potential:
    """One row of potentials.csv: the hull against an electrode in the water."""

    time: When  # when it was read
    potential: float  # hull against the electrode [V]
    electrode: Electrode  # the reference
    zone: str | None = None  # where, or by frame and side
    frame: float | None = None  # where the electrode hung
    side: Side | None = None  # on which side
    distance: float | None = None  # from the electrode to the plate [m]
    # disconnected: the whole shore cable withdrawn
    shore_earth: Connected | None = None
    impressed: OnOff | None = None  # impressed current
    settled: float | None = None  # how long nothing had been switched before [s]
    # shore earth against the hull with the cable withdrawn, positive where the shore
    # earth is the nobler [V]
    open_circuit: float | None = None
    remark: str = ""  # words
    line: int = 0  # line in potentials.csv, for messages
