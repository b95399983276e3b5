"""What a ship's own metals do to one another: a propeller is a cathode of her hull.

All metal that is joined, through plating, joints and brushes, is one island of the
network of :mod:`corrosion.hull.nonlinear.galvanic`, each wetted zone an electrode with
the law of its metal. Shore earth and faults stand apart from it: what they drive is
added to what the own metals leave.
"""

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np

from corrosion.foundation.assumptions import Assumptions
from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.hull.electrodes import LAWS, STEEL, Electrodes
from corrosion.hull.inverse import symmetric_inverse
from corrosion.hull.model import Hull
from corrosion.hull.network import spreading_resistance
from corrosion.hull.nonlinear.galvanic import GalvanicNetwork, solve_galvanic
from corrosion.hull.nonlinear.polarisation import natural_density
from corrosion.hull.uncertain import PathUnknowns


@dataclass(frozen=True, slots=True, kw_only=True)
class MetalUnknowns:
    """Samples of how a ship's metals answer a current.

    Arrays are of shape (samples,) where no other is said.
    """

    # steel_rest, noble_rest: rest of steel, and of her other metals, over the median
    # of their law [V]
    steel_rest: Array
    noble_rest: Array
    oxygen_limit: Array  # of other metals, over the median of their law [-]
    oxygen_excess: Array  # oxygen limit of steel over its natural rate, less one [-]

    def rows(self, rows: slice | IntArray) -> "MetalUnknowns":
        """Return some of the samples."""
        cut = {one.name: getattr(self, one.name)[rows] for one in fields(self)}
        return MetalUnknowns(**cut)


def median_metals(assumptions: Assumptions) -> MetalUnknowns:
    """Return one sample of how a ship's metals answer a current, at its median."""
    return MetalUnknowns(
        steel_rest=np.zeros(1),
        noble_rest=np.zeros(1),
        oxygen_limit=np.array([assumptions.value("noble_oxygen_limit_factor")]),
        oxygen_excess=np.array([assumptions.value("steel_oxygen_excess")]),
    )


def draw_metals(draws: Draws) -> MetalUnknowns:
    """Return samples of how a ship's metals answer a current."""
    from scipy.special import ndtri  # noqa: PLC0415 - importing corrosion stays light

    uniform = draws.block("metals", 4)
    return MetalUnknowns(
        steel_rest=draws.value("steel_rest_sd_v") * ndtri(uniform[:, 0]),
        noble_rest=draws.value("noble_rest_sd_v") * ndtri(uniform[:, 1]),
        oxygen_limit=draws.lognormal("noble_oxygen_limit_factor", uniform[:, 2]),
        oxygen_excess=draws.lognormal("steel_oxygen_excess", uniform[:, 3]),
    )


_BALANCED = 1e-6  # of the largest current: Newton's last step lands far below it


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnMetals:
    """What the own metals do in one state of paint and water, a sample a row.

    Arrays are of shape (samples, wetted) where no other is said.
    """

    # what they add to the dissolution of bare steel, negative where they spare it; at
    # other metals the net current that leaves them, which spares what corrodes there as
    # long as it enters [A/m²]
    density: Array
    leaving: Array  # current that leaves each wetted zone; they sum to 0 [A]
    # shape (samples, wetted + 1): where the next state's solution may begin [V]
    potential: Array


def has_own_metals(metals: Sequence[str]) -> bool:
    """Return whether some wetted zone is of another metal than steel."""
    return any(metal not in STEEL for metal in metals)


def own_metals(  # noqa: PLR0913 - a state is made of as much
    hull: Hull,
    metals: Sequence[str],
    bare: Array,
    paths: PathUnknowns,
    unknowns: MetalUnknowns,
    *,
    flow: Array | float = 1.0,
    start: Array | None = None,
) -> OwnMetals:
    """Return what a ship's own metals do to one another.

    Parameters
    ----------
    hull : Hull
    metals : sequence of str
        Of each wetted zone, by metals.csv.
    bare : ndarray, shape (samples, wetted)
        Bare share. [-]
    paths, unknowns : PathUnknowns, MetalUnknowns
    flow : ndarray, shape (samples,), or float, optional
        On the natural rate of steel and the oxygen limit of others; 1 at rest. [-]
    start : ndarray, shape (samples, wetted + 1), optional
        Of an earlier state. [V]

    Returns
    -------
    OwnMetals
        With the shore earth not tied, nothing injected and no protection.
    """
    samples, count = bare.shape
    steel = np.array([metal in STEEL for metal in metals])
    laws = metal_laws(hull, metals, steel, paths, unknowns, flow)
    narrow = spreading_resistance(
        hull, bare, interface=paths.interface, coating=paths.coating
    )
    network = GalvanicNetwork(
        inverse=symmetric_inverse(hull.linked(hull.plating(paths), narrow)),
        island=np.zeros(count, dtype=np.int64),
        laws=laws,
        bare=bare * hull.contact_area,
        paint=(1.0 - bare) * hull.contact_area / paths.coating[:, None],
        lifted=np.zeros((samples, count)),
        total=np.zeros((samples, 1)),
    )
    z = solve_galvanic(network, start, balanced=_BALANCED).potential
    partial = laws.at(z[:, :-1])
    return OwnMetals(
        density=np.where(steel, partial.dissolution - laws.natural, partial.net),
        leaving=network.flow(z),
        potential=z,
    )


def metal_laws(
    hull: Hull,
    metals: Sequence[str],
    steel: BoolArray,
    paths: PathUnknowns,
    unknowns: MetalUnknowns,
    flow: Array | float,
) -> Electrodes:
    """Return the law of each wetted zone.

    Parameters
    ----------
    hull, metals
        As :func:`own_metals` takes them.
    steel : ndarray of bool, shape (wetted,)
        Which are of steel.
    paths, unknowns, flow
        As :func:`own_metals` takes them.

    Returns
    -------
    Electrodes
        Of shape (samples, wetted); steel as fast at rest as its interface says.
    """
    samples = len(paths.interface)
    laws = Electrodes.of([LAWS[metal] for metal in metals], samples)
    flowing = np.broadcast_to(flow, samples)[:, None]
    natural = natural_density(paths.interface, assumptions=hull.assumptions)[:, None]
    laws.natural[:, steel] = natural * flowing
    laws.oxygen[:, steel] = 1.0 + unknowns.oxygen_excess[:, None]
    laws.rest[:, steel] += unknowns.steel_rest[:, None]
    laws.rest[:, ~steel] += unknowns.noble_rest[:, None]
    laws.oxygen[:, ~steel] = np.maximum(
        laws.oxygen[:, ~steel] * flowing * unknowns.oxygen_limit[:, None], 1.0
    )
    laws.anodic[:, steel] = hull.assumptions.value("anodic_tafel_v")
    return laws
