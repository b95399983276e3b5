"""A hull ready for solving: her areas, her water, her steel, her paint as last seen."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from corrosion.foundation.assumptions import Assumptions, default_assumptions
from corrosion.foundation.errors import InputError
from corrosion.foundation.types import Array
from corrosion.foundation.units import MAINS
from corrosion.hull.geometry.borders import shell_mesh
from corrosion.hull.plating import Joints, Steel, joints_of, steel_resistance
from corrosion.hull.uncertain import PathUnknowns
from corrosion.hull.water.water_body import WaterBody, water_body
from corrosion.records.ship import Ship


@dataclass(frozen=True, slots=True, kw_only=True)
class Hull:
    """A hull ready for solving."""

    body: WaterBody  # areas, centres and water resistances
    # shape (zones, zones): resistance matrix of the plating about the reference
    # zone, by frequency [Ω]
    steel: Mapping[float, Array]
    joints: Joints  # of the parts that hang on it
    # the reference zone: the switchboard's, where shore connections land
    reference: int
    bare: Array  # shape (zones,): bare share of each zone as last seen [-]
    # beam, length: main dimensions, for the place of the shore earth [m]
    beam: float
    length: float
    # shape (zones,) or (): share of the time for which a zone lies in the water: half a
    # tide for a tidal one [-]
    flooded: Array = field(default_factory=lambda: np.ones(()))
    assumptions: Assumptions = field(default_factory=default_assumptions)  # the ship's

    @property
    def share_flooded(self) -> Array:
        """Share of the time for which each wetted zone lies in the water, (wetted,)."""
        return np.broadcast_to(self.flooded, self.bare.shape)[self.body.zones]

    @property
    def contact_area(self) -> Array:
        """Area through which each wetted zone conducts, mean over the tide [m²]."""
        return self.body.area[self.body.zones] * self.share_flooded

    def linked(self, steel: Steel, beside: Array) -> Array:
        """Return water and steel between wetted zones, (samples, wetted, wetted) [Ω].

        ``beside``, shape (samples, wetted): what lies between a zone and its water.
        """
        linked = steel.among(self.body.zones)
        linked += self.body.matrix
        np.einsum("sii->si", linked)[:] += beside
        return linked

    def plating(self, paths: PathUnknowns, hertz: float = 0.0) -> Steel:
        """Return plating and joints at one of the frequencies of ``steel``."""
        return Steel(
            plate=self.steel[hertz],
            ease=1.0 / paths.structure_at(hertz),
            beyond=self.joints.beyond,
            joint=self.joints.ohms(paths.brush, paths.turns),
        )


def build_hull(ship: Ship) -> Hull:
    """Return the hull of a ship, ready for solving.

    With the steel's resistances at direct current and at the frequency of each of her
    systems.

    Raises InputError if her form, water or zones cannot be solved.
    """
    body = water_body(ship)
    boards = [s.switchboard_zone for s in ship.systems if s.switchboard_zone]
    welded = [i for i, zone in enumerate(ship.zones) if zone.bond is None]
    if not welded:
        msg = "build_hull: every zone is a jointed part; at least one must be plating."
        raise InputError(msg)
    reference = ship.zone_index(boards[0]) if boards else welded[0]
    frequencies = {0.0, MAINS} | {s.hertz for s in ship.systems}
    new = ship.assumptions.value("coating_initial_share")
    mesh = shell_mesh(ship)
    return Hull(
        body=body,
        steel={
            hertz: steel_resistance(ship, hertz, reference=reference, mesh=mesh)
            for hertz in sorted(frequencies)
        },
        joints=joints_of(ship, reference),
        reference=reference,
        bare=np.array([new if z.bare is None else z.bare for z in ship.zones]),
        flooded=np.array(
            [
                ship.assumptions.value("tidal_immersed_share")
                if z.exposure == "tidal"
                else 1.0
                for z in ship.zones
            ]
        ),
        beam=ship.form.beam,
        length=ship.form.length,
        assumptions=ship.assumptions,
    )
