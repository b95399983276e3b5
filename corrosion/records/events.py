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
    """What was read on the instruments while a fault stood; None is not read."""

    conductor: str | None = None  # conductor that touches the hull; None: not known
    # measured current into the hull; direct current is positive from the circuit into
    # the steel, alternating current is rms [A]
    amps: float | None = None
    # insulation test of the isolated branch, conductor to hull [Ω]
    insulation: float | None = None
    # volts to hull, a conductor each, in the system's order; empty: none read.
    # Magnitudes for alternating current [V]
    hull_volts: tuple[float | None, ...] = ()
    # what the clamp read, as written; None: what the system says
    current: Current | None = None
    meter: float = 10e6  # input resistance of the voltmeter [Ω]
    # what each lamp showed, in the system's order; empty: not noted
    lamps: tuple[LampSeen | None, ...] = ()

    @property
    def picture(self) -> tuple[Picture | None, ...]:
        """What the lamps say of a fault: nothing where one of the set has failed.

        The others burn differently without it, and what it would have shown is lost.
        """
        return () if "failed" in self.lamps else cast("_Picture", self.lamps)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One sustained current into the hull."""

    fault: str  # unique id
    # system, circuit, zone: which system and circuit; zone where the current enters the
    # steel, None: not found
    system: str | None
    found: When
    # kind of current (what the system says, where the record was blank)
    current: Current
    circuit: str | None = None
    zone: str | None = None
    source: Source = "ground fault"  # what drives it
    returns: Return | None = None  # where it returns; None: what the berth says
    # last_good, found, cleared: last good check, when found, when cleared; cleared
    # None: still standing, or nobody wrote when it was cleared (see `standing`)
    last_good: When | None = None
    cleared: When | None = None
    readings: Readings = Readings()  # what was read while it stood
    # where the return clamp of a welding set or other source sat
    return_zone: str | None = None
    present: float = 1.0  # share of its time in which it was there [-]
    # whether it stands; False: cleared, nobody knows when; None: not written
    standing: bool | None = None
    # when its circuit was opened and tagged: the current ends, the fault does not
    isolated: When | None = None
    isolated_by: str = ""  # by whom
    remark: str = ""  # words
    line: int = 0  # line in faults.csv, for messages

    @property
    def ended(self) -> When | None:
        """When its current ended: when it was isolated, else when it was cleared."""
        return self.cleared if self.isolated is None else self.isolated

    @property
    def widest(self) -> float:
        """Width of the widest of the dates of finding and end [s]."""
        return max(when.width for when in (self.found, self.ended) if when is not None)

    @property
    def stands(self) -> bool:
        """Whether current still flows, as written: neither cleared nor isolated."""
        return self.ended is None and self.standing is not False


@dataclass(frozen=True, slots=True, kw_only=True)
class Berth:
    """How she lay and what fed her, from one date to another."""

    # start, end: none: from the beginning of the records; to the present
    start: When | None
    end: When | None
    berth: str  # words
    supply: Supply  # what fed her
    # hull to shore earth through the protective conductor; None: none connected, or not
    # known, which the paths take for none [Ω]
    earth_cable: float | None = None
    # the word that none is connected; without it and without ohms it is not known
    earth_none: bool = False
    # shore earth electrode to remote earth; None: basis table [Ω]
    shore_earth: float | None = None
    # open-circuit voltage of the couple hull steel against the shore earth, positive
    # drives current out of the hull into the water; None: basis table for `shore
    # earthed`, zero otherwise [V]
    earth_couple: float | None = None
    # of what the shore earth is made; None: not known, a mixture
    earth_metal: EarthMetal | None = None
    galvanic_isolator: bool = False  # whether one is in the protective conductor
    # where the supply is tied to earth: `star`, a conductor, `middle` or `none`; None:
    # not written: by design aboard none, at an earthed supply its kind's usual tie
    earthed_at: EarthedAt | None = None
    earthing: float = 0.0  # resistance of the tie at ``earthed_at`` [Ω]
    # volts, hertz: of every system fed from shore; None: the system's own [V], [Hz]
    volts: float | None = None
    hertz: float | None = None
    lies: Lies = "afloat"  # how she lay
    # share of the stay in which she was under way; None: the table's where she lies
    # `under way`, else 0 [-]
    under_way: float | None = None
    # salinity, temperature: of the water there; None: the ship's [g/kg], [°C]
    salinity: float | None = None
    temperature: float | None = None
    # dissolved nitrogen there, below 0.1, 0.1 to 0.4, above 0.4 mg/l
    nutrients: Nutrients | None = None
    shore_side: Side | None = None  # side on which the shore earth lies
    shore_distance: float | None = None  # how far [m]

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
    """One hull-current log file of the folder, not yet read."""

    path: Path  # where it lies


@dataclass(frozen=True, slots=True, kw_only=True)
class Recorder:
    """How her recorder of hull current writes its logs."""

    writes: RecorderWrites | None = None  # None: as its rows look
    gap: float | None = None  # a longer step is a gap; None: five usual steps [s]
