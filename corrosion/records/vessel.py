"""What she is: her form, her water, her electrical systems and her hull zones."""

from dataclasses import dataclass

import numpy as np

from corrosion.foundation.types import Array, ComplexArray
from corrosion.records.dates import When
from corrosion.records.kinds import (
    CONDUCTORS,
    Access,
    Current,
    EarthedAt,
    Exposure,
    Inside,
    Kind,
    Side,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """The hull's main dimensions."""

    # length, beam, draught: on the waterline, moulded, and mean draught [m]
    length: float
    beam: float
    draught: float
    block_coefficient: float  # displaced volume over length x beam x draught [-]
    # distance between frames; frame 0 at the forward perpendicular [m]
    frame_spacing: float
    # midship_coefficient, waterplane_coefficient: fullness of midship section and
    # waterplane; None: from the block [-]
    midship_coefficient: float | None = None
    waterplane_coefficient: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Water:
    """The water she lies in: salinity and temperature, or a measured resistivity."""

    # salinity, temperature: practical salinity [g/kg] and temperature [°C]
    salinity: float | None = None
    temperature: float | None = None
    resistivity: float | None = None  # measured; wins over salinity [Ω·m]
    depth: float | None = None  # depth of water at the berth; None: deep [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class LampSet:
    """Ground-detector lamps, one a conductor, in star to the hull."""

    volts: float  # rated voltage of one lamp [V]
    watts: float  # rated power of one lamp [W]
    # line voltage over lamp voltage of the lamp transformer; 1: none [-]
    ratio: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class System:
    """One electrical system, ungrounded unless ``earthed_at`` says otherwise."""

    name: str  # as in ship.toml
    kind: Kind  # three-phase, single-phase two-wire, two-wire direct current
    volts: float  # between conductors (rms for alternating current) [V]
    hertz: float = 0.0  # frequency, 0 for direct current [Hz]
    # each conductor to hull, the whole system; None: basis table [F]
    capacitance: float | None = None
    # each conductor to hull, healthy; None: basis table [Ω]
    insulation: float | None = None
    # zone of the switchboard, where lamp and cable currents join the hull
    switchboard_zone: str | None = None
    # internal resistance of the insulation monitor, system to hull; None: none,
    # or not known [Ω]
    monitor: float | None = None
    # where the system is tied to the hull by design: `star`, a conductor, `middle` (its
    # volts are outer to outer) or `none`
    earthed_at: EarthedAt = "none"
    earthing: float = 0.0  # resistance of the tie at ``earthed_at`` [Ω]
    # direct-current resistance of a winding of the lamp transformer [Ω]
    lamp_winding: float | None = None
    lamps: LampSet | None = None  # None: the system has no detector lamps
    # false where the system stays behind a converter or transformer of its own aboard,
    # so that an earthed shore supply does not earth it
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
    """One hull zone: a patch of plating, or a part fastened to the hull."""

    # zone, name: short unique id, and words
    zone: str
    name: str
    # frame_from, frame_to: frames counted from the forward perpendicular
    frame_from: float
    frame_to: float
    side: Side  # side of the ship
    # top, bottom: below the waterline; negative is above it [m]
    top: float
    bottom: float
    # exposure, metal, access: see `3-records`: what the plate faces, of what, and how
    # it is reached
    exposure: Exposure
    # built, limit, pit_limit: thickness as built, least allowed, least allowed
    # under a pit [m]
    built: float
    limit: float
    pit_limit: float
    # plate area facing the water; None: from the hull form [m²]
    area: float | None = None
    metal: str = "steel"
    bare: float | None = None  # coating breakdown seen, as a share of the area [-]
    # bare_seen, painted: when the breakdown was seen; when the zone was last painted
    bare_seen: When | None = None
    painted: When | None = None
    strakes: str = ""  # strakes of the shell that it covers, in words
    inside: Inside | None = None  # what its inner face looks into; None: not known
    # coating breakdown of the inner face, as a share [-]
    inside_bare: float | None = None
    # resistance of the joint that fastens a part; None: welded plating [Ω]
    bond: float | None = None
    bonded_to: str | None = None  # zone on the other side of the joint
    # resistance of that joint while her shaft turns: its brush, or what its bearings
    # let through; None: of another metal than steel not known, of steel as at rest [Ω]
    turning: float | None = None
    protection: float = 0.0  # cathodic protection current reaching bare steel [A/m²]
    consequence: int = 3  # 1 (nuisance) to 5 (loss of the ship or of life)
    access: Access = "inside"
    gauge_hours: float = 2.0  # time to gauge it [h]
    # share of the ship's cabling in way of the zone; None: by area [-]
    cable_share: float | None = None
