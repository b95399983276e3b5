"""Where current leaves the steel: electrodes in water, joined by plating, at once.

One electrode a wetted plate. Steel stands at phi, the water before it at u, remote
water at nothing; E = phi - u is what an electrode knows. With I the current that
leaves each plate (L the conductance of plating and joints, R that of the water's
potentials, g the shore connection at one plate, r_s the rest of the shore's earth)

    I = A f(E),   u = R I,   L phi + I_s = J - I,

    I_s = l tanh(g (phi_w - r_s) / l)   (an earth passes no more than its limit l),

which is solved for phi by Newton, all states together. Short on purpose: plates are
hemispheres of their own area in half a space, and plating is a ladder of strips.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from corrosion.foundation.types import Array, ComplexArray, IntArray
from corrosion.validation.nature import Nature
from corrosion.validation.vessels import Plate, Vessel
from corrosion.validation.zinc import ZINC_V

REST: Final = {
    "steel": -0.65,
    "aluminium 5083": -0.85,
    "nickel-aluminium bronze": -0.30,
}
"""Rest potentials, V against Ag/AgCl."""


_CATHODIC, _HYDROGEN, _ONSET = 0.12, 0.12, 0.45  # [V/decade], [V/decade], [V]
_BRONZE_LIMIT = 0.15  # oxygen on bronze [A/m²]
_PLATE_OHM_M = 1.6e-7
_SKIN = 0.9e-3  # depth that an alternating current of mains frequency uses [m]
_AC_INTERFACE = 0.0013  # [Ω·m²]
_STRUCTURE = 1.5  # decks and frames beside the shell


@dataclass(frozen=True, slots=True, kw_only=True)
class Hull:
    """The wetted plates as electrodes."""

    wet: IntArray  # which plates
    area: Array
    rest: Array
    bronze: Array  # 1 or 0
    water: Array  # R [Ω]
    steel: Array  # L [S], direct current
    steel_ac: Array
    turning: Array  # what L changes by while the shaft turns [S]
    near: IntArray  # for every plate, the electrode where its current enters
    board: int  # electrode of switchboard and shore connection
    laws: "Laws"


@dataclass(frozen=True, slots=True)
class Shore:
    """Where she lies, an entry a state: the shore's earth, and the water."""

    # tie, rest, limit, shape (states,): conductance of conductor and earth [S] (0:
    # none), rest of the earth [V], and the most that it passes [A]
    tie: Array
    rest: Array
    limit: Array
    water: Array  # (states,) resistivity over that of the ship's own water

    @classmethod
    def none(cls, water: Array) -> "Shore":
        """Return no connection at all."""
        return cls(0.0 * water, 0.0 * water, np.ones(len(water)), water)

    def at(self, states: IntArray) -> "Shore":
        """Return some of the states."""
        return Shore(
            self.tie[states], self.rest[states], self.limit[states], self.water[states]
        )


@dataclass(frozen=True, slots=True)
class Surface:
    """What the plates are like, an entry a state."""

    # natural, bare, shape (states, n): natural dissolution of bare steel [A/m²],
    # and bare share
    natural: Array
    bare: Array
    way: Array  # (states,) oxygen that reaches bronze over that at rest
    turns: Array  # (states,) share of the time in which the shaft turns
    zinc: Array  # (states, n) conductance of zinc anodes on each plate; 0: none [S]

    def at(self, states: IntArray) -> "Surface":
        """Return some of the states."""
        parts = (self.natural, self.bare, self.way, self.turns, self.zinc)
        return Surface(*(part[states] for part in parts))


@dataclass(frozen=True, slots=True, kw_only=True)
class Laws:
    """Electrode laws of one ship."""

    slope: float
    limit: float  # k: oxygen limit over the natural rate
    paint: float  # [Ω·m²]


def hull_of(vessel: Vessel, nature: Nature) -> Hull:
    """Return the electrodes of a ship."""
    wet = np.array([k for k, plate in enumerate(vessel.plates) if plate.wet])
    plates = [vessel.plates[k] for k in wet]
    place = np.array([plate.middle for plate in plates])
    area = np.array([plate.area for plate in plates])
    gap = np.linalg.norm(place[:, None] - place[None, :], axis=-1)
    radius = np.sqrt(area / (2.0 * np.pi))
    np.fill_diagonal(gap, radius)
    touching = radius[:, None] + radius[None, :]  # two hemispheres at the nearest
    np.fill_diagonal(touching, 0.0)
    gap = np.maximum(gap, touching)
    frames = np.array([np.mean(plate.frames) for plate in vessel.plates])
    aft = np.array([np.mean(plate.frames) for plate in plates])
    welded = np.array([plate.bond is None for plate in plates])
    apart = np.abs(frames[:, None] - aft[None, :]) + 1e6 * ~welded
    near = np.argmin(apart, axis=1)
    near[wet] = np.arange(len(wet))
    return Hull(
        wet=wet,
        area=area,
        rest=np.array([REST[plate.metal] for plate in plates]),
        bronze=np.array([plate.bronze for plate in plates], float),
        water=vessel.resistivity / (2.0 * np.pi * gap),
        steel=_plating(vessel, plates, None),
        steel_ac=_plating(vessel, plates, _SKIN),
        turning=_turning(plates),
        near=near,
        laws=Laws(
            slope=nature.one("anodic_slope_v"),
            limit=1.0 + nature.one("oxygen_limit_less_one"),
            paint=nature.one("paint_ohm_m2"),
        ),
        board=int(np.argmin(np.abs(aft - 0.6 * frames.max()) + 1e6 * ~welded)),
    )


def _plating(vessel: Vessel, plates: list[Plate], skin: float | None) -> Array:
    """Return the conductance matrix of plating and joints [S]."""
    out = np.zeros((len(plates), len(plates)))
    names = [plate.zone for plate in plates]
    for a, one in enumerate(plates):
        for b, other in enumerate(plates[:a]):
            g = _link(vessel, one, other, skin)
            if one.bonded_to == names[b] or other.bonded_to == names[a]:
                g = 1.0 / (one.bond or other.bond or 1.0)
            out[a, b] -= g
            out[b, a] -= g
    out[np.diag_indices(len(out))] = -out.sum(axis=1)
    return out


def _turning(plates: list[Plate]) -> Array:
    """Return what that matrix changes by while the shaft turns [S]."""
    out = np.zeros((len(plates), len(plates)))
    for a, one in enumerate(plates):
        for b, other in enumerate(plates):
            if one.turning and one.bond and other.zone == one.bonded_to:
                g = 1.0 / one.turning - 1.0 / one.bond
                out[[a, b], [a, b]] += g
                out[[a, b], [b, a]] -= g
    return out


def _link(vessel: Vessel, one: Plate, other: Plate, skin: float | None) -> float:
    """Return the conductance between two plates that share a border [S]."""
    if one.bond is not None or other.bond is not None:
        return 0.0
    run = vessel.of.length / vessel.of.sections
    girth = 0.5 * vessel.of.draught + 0.2 * vessel.of.beam
    thick = 1e-3 * min(one.built_mm, other.built_mm)
    square = _PLATE_OHM_M / min(thick, skin or thick) + vessel.of.seams
    along = abs(one.middle[0] - other.middle[0])
    same = one.zone[2:] == other.zone[2:]
    if same and abs(along - run) < 0.1 * run:  # the next section, across the girth
        return _STRUCTURE * girth / (square * run)
    level = along < 0.1 * run
    keel = "BOT" in one.zone and "BOT" in other.zone
    bilge = one.side == other.side
    if level and (keel or bilge):  # beside it, along the run
        return _STRUCTURE * run / (square * girth)
    return 0.0


def direct(
    hull: Hull, surface: Surface, *, injected: Array, shore: Shore
) -> tuple[Array, Array]:
    """Return potentials and what dissolves, in A/m² of bare metal, (states, n) each.

    ``injected``, shape (states, n): direct current put into each plate; what sums to
    more than nothing returns through the water, to the shore connection or remote earth
    [A].
    """
    n = len(hull.area)
    tie, limit = shore.tie, shore.limit
    full = hull.steel + surface.turns[:, None, None] * hull.turning
    potential = np.broadcast_to(hull.rest, surface.bare.shape).copy()
    for _ in range(60):
        current, slope, _ = _electrode(hull, surface, potential)
        # phi = E + u at each plate; u = R I
        stands = potential + current @ hull.water.T * shore.water[:, None]
        pull = tie * (stands[:, hull.board] - shore.rest) / limit
        off = (full @ stands[..., None])[..., 0] + current - injected
        off[:, hull.board] += limit * np.tanh(pull)
        tied = full.copy()
        tied[:, hull.board, hull.board] += tie / np.cosh(np.clip(pull, -20, 20)) ** 2
        through = tied @ hull.water * shore.water[:, None, None] + np.eye(n)
        step = np.linalg.solve(tied + through * slope[:, None, :], off[..., None])
        move = np.clip(step[..., 0], -0.06, 0.06)
        potential -= move
        if np.abs(move).max() < 1e-7:
            break
    return potential, _electrode(hull, surface, potential)[2]


def _electrode(
    hull: Hull, surface: Surface, potential: Array
) -> tuple[Array, Array, Array]:
    """Return current out [A], its slope [S], and dissolution [A/m² of bare metal]."""
    laws, natural, bare = hull.laws, surface.natural, surface.bare
    k, up = laws.limit, potential - hull.rest
    bronze = hull.bronze
    ten = np.log(10.0)
    anodic = natural * 10.0 ** np.clip(up / laws.slope, -40.0, 12.0)
    turned = 10.0 ** np.clip(up / _CATHODIC, -12.0, 12.0)
    cathodic = k * natural / (1.0 + (k - 1.0) * turned)
    falls = -cathodic * (k - 1.0) * turned / (1.0 + (k - 1.0) * turned)
    share = 10.0 ** (-_ONSET / _HYDROGEN)
    gas = share * natural * 10.0 ** np.clip(-up / _HYDROGEN, -12.0, 12.0)
    oxygen = _BRONZE_LIMIT * surface.way[:, None]
    shape = oxygen * np.tanh(up / 0.06)  # bronze takes oxygen up to a limit
    lean = oxygen / 0.06 / np.cosh(np.clip(up / 0.06, -20, 20)) ** 2
    net = np.where(bronze > 0.0, shape, anodic - (1.0 - share) * cathodic - gas)
    tilt = anodic * ten / laws.slope - (1.0 - share) * falls * ten / _CATHODIC
    tilt = np.where(bronze > 0.0, lean, tilt + gas * ten / _HYDROGEN) + 1e-6
    metal = hull.area * np.where(bronze > 0.0, 1.0, bare)
    paint = hull.area * (1.0 - bare) * (bronze < 0.5) / laws.paint
    current = metal * net + paint * up + surface.zinc * (potential - ZINC_V)
    tilt = metal * tilt + paint + surface.zinc
    return current, tilt, np.where(bronze > 0.0, 0.0, anodic)


def alternating(
    hull: Hull, *, bare: Array, injected: ComplexArray, shore: Shore
) -> Array:
    """Return the alternating density at bare metal, rms, (states, n) [A/m²]."""
    n = len(hull.area)
    metal = np.where(hull.bronze > 0.0, 1.0, np.maximum(bare, 1e-4))
    meets = hull.water * shore.water[:, None, None]
    meets[:, np.arange(n), np.arange(n)] += _AC_INTERFACE / (hull.area * metal)
    full = np.broadcast_to(hull.steel_ac, meets.shape).copy()
    full[:, hull.board, hull.board] += shore.tie
    out = np.linalg.solve(full @ meets + np.eye(n), injected[..., None])[..., 0]
    return np.asarray(np.abs(out) / (hull.area * metal))
