"""What was done to her plating (works, anodes), and hunts as they were written down."""

from dataclasses import dataclass

from corrosion.records.dates import When
from corrosion.records.kinds import (
    WETTED,
    AnodeForm,
    AnodeMetal,
    Electrode,
    HuntAct,
    WorkKind,
)
from corrosion.records.vessel import Zone

EVERYWHERE = ("underwater", "all")  # words in place of a zone in works.csv


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """One row of works.csv."""

    date: When  # when it was done; in the future: planned
    zone: str  # zone id, or ``underwater``, or ``all``
    # `painted`, `pits filled`, `pits welded`, `renewed`, `doubler` or `anodes renewed`
    work: WorkKind
    share: float = 1.0  # share of the zone that was worked on [-]
    thickness: float | None = None  # of new plate or doubler; None: as built [m]
    # share left bare after it; None: what new paint leaves [-]
    bare: float | None = None
    anode: str | None = None  # which anode was renewed; None: all of the zone
    counts: bool = False  # whether a doubler counts for the limit
    remark: str = ""  # words
    line: int = 0  # line in works.csv, for messages

    def covers(self, zone: Zone) -> bool:
        """Return whether it was done to a zone."""
        if self.zone == "underwater":
            return zone.exposure in WETTED
        return self.zone in ("all", zone.zone)


@dataclass(frozen=True, slots=True, kw_only=True)
class AnodeSeen:
    """How much of an anode was left when somebody looked."""

    seen: When  # when
    left: float  # share of its net mass [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class Anode:
    """A group of alike anodes of one zone, or an impressed-current anode."""

    anode: str  # unique id
    zone: str  # zone on which it sits
    metal: AnodeMetal  # of what it is
    form: AnodeForm | None = None  # its shape; None: not known
    count: int = 1  # how many of them
    net_mass: float | None = None  # net mass of one when new [kg]
    # length, width, thickness, stand_off: of one; distance from the plate [m]
    length: float | None = None
    width: float | None = None
    thickness: float | None = None
    stand_off: float | None = None
    fitted: When | None = None  # when; None: not known
    amps: float | None = None  # output of an impressed-current anode [A]
    # to which its controller holds the hull, against `electrode` [V]
    set_potential: float | None = None
    electrode: Electrode | None = None  # reference electrode of the controller
    looks: tuple[AnodeSeen, ...] = ()  # how much was left when, in file order
    line: int = 0  # line in anodes.csv at which it first stands, for messages


@dataclass(frozen=True, slots=True, kw_only=True)
class HuntStep:
    """One row of a file in hunts/."""

    time: When  # when
    # `began`, `looked`, `clamped`, `opened`, `tested`, `closed`, `skipped`,
    # `isolated` or `cleared`
    act: HuntAct
    circuit: str | None = None  # to which circuit; the system, of ``began``
    # `stayed` or `went`, milliamperes, ohms, or how the ship lay, as written
    result: str = ""
    # the result as a number: amperes of `clamped` [A], ohms of `tested` [Ω]
    number: float | None = None
    # by, remark: who; words
    by: str = ""
    remark: str = ""
    line: int = 0  # line in its file, for messages


@dataclass(frozen=True, slots=True, kw_only=True)
class Hunt:
    """One hunt: a file of hunts/, to which rows are only ever added."""

    hunt: str  # the file's name: a fault's id, or the system and a date
    steps: tuple[HuntStep, ...]  # in file order

    @property
    def system(self) -> str | None:
        """The system hunted in, of the row ``began``."""
        begun = (step.circuit for step in self.steps if step.act == "began")
        return next(begun, None)
