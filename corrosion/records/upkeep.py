"""What was done to her plating: works, and the anodes that protect it."""

from dataclasses import dataclass

from corrosion.records.dates import When
from corrosion.records.kinds import (
    WETTED,
    AnodeForm,
    AnodeMetal,
    Electrode,
    WorkKind,
)
from corrosion.records.vessel import Zone

EVERYWHERE = ("underwater", "all")
"""Words in place of a zone in works.csv."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """One row of works.csv.

    Attributes
    ----------
    date : When
        When it was done; in the future: planned.
    zone : str
        Zone id, or ``underwater``, or ``all``.
    work : str
        ``painted``, ``pits filled``, ``pits welded``, ``renewed``, ``doubler`` or
        ``anodes renewed``.
    share : float
        Share of the zone that was worked on. [-]
    thickness : float or None
        Of new plate or doubler; None: as built. [m]
    bare : float or None
        Share left bare after it; None: what new paint leaves. [-]
    anode : str or None
        Which anode was renewed; None: all of the zone.
    counts : bool
        Whether a doubler counts for the limit.
    remark : str
        Words.
    line : int
        Line in works.csv, for messages.
    """

    date: When
    zone: str
    work: WorkKind
    share: float = 1.0
    thickness: float | None = None
    bare: float | None = None
    anode: str | None = None
    counts: bool = False
    remark: str = ""
    line: int = 0

    def covers(self, zone: Zone) -> bool:
        """Return whether it was done to a zone."""
        if self.zone == "underwater":
            return zone.exposure in WETTED
        return self.zone in ("all", zone.zone)


@dataclass(frozen=True, slots=True, kw_only=True)
class AnodeSeen:
    """How much of an anode was left when somebody looked.

    Attributes
    ----------
    seen : When
        When.
    left : float
        Share of its net mass. [-]
    """

    seen: When
    left: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Anode:
    """A group of alike anodes of one zone, or an impressed-current anode.

    Attributes
    ----------
    anode : str
        Unique id.
    zone : str
        Zone on which it sits.
    metal : {'zinc', 'aluminium', 'magnesium', 'impressed'}
        Of what it is.
    form : {'flush', 'stand-off', 'bracelet'} or None
        Its shape; None: not known.
    count : int
        How many of them.
    net_mass : float or None
        Net mass of one when new. [kg]
    length, width, thickness, stand_off : float or None
        Of one; distance from the plate. [m]
    fitted : When or None
        When; None: not known.
    amps : float or None
        Output of an impressed-current anode. [A]
    set_potential : float or None
        To which its controller holds the hull, against ``electrode``. [V]
    electrode : str or None
        Reference electrode of the controller.
    looks : tuple of AnodeSeen
        How much was left when, in file order.
    line : int
        Line in anodes.csv at which it first stands, for messages.
    """

    anode: str
    zone: str
    metal: AnodeMetal
    form: AnodeForm | None = None
    count: int = 1
    net_mass: float | None = None
    length: float | None = None
    width: float | None = None
    thickness: float | None = None
    stand_off: float | None = None
    fitted: When | None = None
    amps: float | None = None
    set_potential: float | None = None
    electrode: Electrode | None = None
    looks: tuple[AnodeSeen, ...] = ()
    line: int = 0
