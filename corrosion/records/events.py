"""What happened to her: faults and their readings, berths, logs."""

from dataclasses import dataclass
from pathlib import Path
from typing import TypeAlias, cast

from corrosion.records.dates import When
from corrosion.records.kinds import (
    Current,
    EarthedAt,
    EarthMetal,
    LampSeen,
    Lies,
    Nutrients,
    Picture,
    RecorderWrites,
    Return,
    Side,
    Source,
    Supply,
)

_Picture: TypeAlias = tuple[Picture | None, ...]


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
    current : {'ac', 'dc'} or None
        What the clamp read, as written; None: what the system says.
    meter : float
        Input resistance of that voltmeter. [Ω]
    lamps : tuple of (Picture or None)
        What each lamp showed, in the system's order; empty: not noted.
    """

    conductor: str | None = None
    amps: float | None = None
    insulation: float | None = None
    hull_volts: tuple[float | None, ...] = ()
    current: Current | None = None
    meter: float = 10e6
    lamps: tuple[LampSeen | None, ...] = ()

    @property
    def picture(self) -> tuple[Picture | None, ...]:
        """What the lamps say of a fault: nothing where one of the set has failed.

        The others burn differently without it, and what it would have shown is lost.
        """
        return () if "failed" in self.lamps else cast("_Picture", self.lamps)


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
        Last good check, when found, when cleared; cleared None: still standing, or
        nobody wrote when it was cleared (see ``standing``).
    current : {'ac', 'dc'}
        Kind of current (what the system says, where the record was blank).
    readings : Readings
        What was read while it stood.
    return_zone : str or None
        Where the return clamp of a welding set or other source sat.
    present : float
        Share of its time in which it was there. [-]
    standing : bool or None
        Whether it stands; False: cleared, nobody knows when; None: not written.
    isolated : When or None
        When its circuit was opened and tagged: the current ends, the fault does not.
    isolated_by : str
        By whom.
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
    return_zone: str | None = None
    present: float = 1.0
    standing: bool | None = None
    isolated: When | None = None
    isolated_by: str = ""
    remark: str = ""
    line: int = 0

    @property
    def ended(self) -> When | None:
        """When its current ended: when it was isolated, else when it was cleared."""
        return self.cleared if self.isolated is None else self.isolated

    @property
    def stands(self) -> bool:
        """Whether current still flows, as written: neither cleared nor isolated."""
        return self.ended is None and self.standing is not False


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
        Hull to shore earth through the protective conductor; None: none connected,
        or not known, which the paths take for none. [Ω]
    earth_none : bool
        The word that none is connected; without it and without ohms it is not known.
    shore_earth : float or None
        Shore earth electrode to remote earth; None: basis table. [Ω]
    earth_couple : float or None
        Open-circuit voltage of the couple hull steel against the shore earth,
        positive drives current out of the hull into the water; None: basis table
        for ``shore earthed``, zero otherwise. [V]
    earth_metal : str or None
        Of what the shore earth is made; None: not known, a mixture.
    galvanic_isolator : bool
        Whether one is in the protective conductor.
    earthed_at : str or None
        Where the supply is tied to earth: ``star``, a conductor, ``middle`` or
        ``none``; None: not written: by design aboard none, at an earthed supply its
        kind's usual tie.
    earthing : float
        Resistance of that tie. [Ω]
    volts, hertz : float or None
        Of every system fed from shore; None: the system's own. [V], [Hz]
    lies : {'afloat', 'dock', 'aground', 'under way'}
        How she lay.
    under_way : float or None
        Share of the stay in which she was under way; None: the table's where she lies
        ``under way``, else 0. [-]
    salinity, temperature : float or None
        Of the water there; None: the ship's. [g/kg], [°C]
    nutrients : {'clean', 'moderate', 'high'} or None
        Dissolved nitrogen there, below 0.1, 0.1 to 0.4, above 0.4 mg/l.
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
    earth_none: bool = False
    shore_earth: float | None = None
    earth_couple: float | None = None
    earth_metal: EarthMetal | None = None
    galvanic_isolator: bool = False
    earthed_at: EarthedAt | None = None
    earthing: float = 0.0
    volts: float | None = None
    hertz: float | None = None
    lies: Lies = "afloat"
    under_way: float | None = None
    salinity: float | None = None
    temperature: float | None = None
    nutrients: Nutrients | None = None
    shore_side: Side | None = None
    shore_distance: float | None = None

    @property
    def afloat(self) -> bool:
        """Whether she lay in water; in dock no current finds a way through it."""
        return self.lies != "dock"

    @property
    def earth_connected(self) -> bool | None:
        """Whether a protective conductor joins her hull to the shore earth.

        None: a shore supply of which nobody wrote it. On her own supply none is
        connected unless its ohms are written.
        """
        if self.earth_cable is not None:
            return True
        return False if self.earth_none or self.supply == "own" else None


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
class Recorder:
    """How her recorder of hull current writes its logs.

    Attributes
    ----------
    writes : {'on change', 'at intervals'} or None
        None: as its rows look.
    gap : float or None
        A longer step is a gap; None: five usual steps. [s]
    """

    writes: RecorderWrites | None = None
    gap: float | None = None
