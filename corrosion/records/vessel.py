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
    """One electrical system, ungrounded unless ``earthed_at`` says otherwise.

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
    monitor : float or None
        Internal resistance of the insulation monitor, system to hull; None: none, or
        not known. [Ω]
    earthed_at : str
        Where the system is tied to the hull by design: ``star``, a conductor,
        ``middle`` (its volts are outer to outer) or ``none``.
    earthing : float
        Resistance of that tie. [Ω]
    lamp_winding : float or None
        Direct-current resistance of a winding of the lamp transformer. [Ω]
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
    monitor: float | None = None
    earthed_at: EarthedAt = "none"
    earthing: float = 0.0
    lamp_winding: float | None = None
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
    strakes : str
        Strakes of the shell that it covers, in words.
    inside : {'dry', 'bilge', 'tank', 'void'} or None
        What its inner face looks into; None: not known.
    inside_bare : float or None
        Coating breakdown of the inner face, as a share. [-]
    bond : float or None
        Resistance of the joint that fastens a part; None: welded plating. [Ω]
    bonded_to : str or None
        Zone on the other side of that joint.
    turning : float or None
        Resistance of that joint while her shaft turns: its brush, or what its bearings
        let through; None: of another metal than steel not known, of steel as at rest.
        [Ω]
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
    strakes: str = ""
    inside: Inside | None = None
    inside_bare: float | None = None
    bond: float | None = None
    bonded_to: str | None = None
    turning: float | None = None
    protection: float = 0.0
    consequence: int = 3
    access: Access = "inside"
    gauge_hours: float = 2.0
    cable_share: float | None = None
