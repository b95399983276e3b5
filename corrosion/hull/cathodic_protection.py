r"""A hull under her anodes: one network of her metals and of what protects them.

Each group of anodes is an electrode with the law of its metal, in the water of its
host zone: it has that zone's row and column of the water's and the plating's
resistances, and its own resistance by its form on the diagonal. Its current, the
potentials and so its life are results; no driving voltage is put in. An impressed
current is taken from the hull into the water of its host zone, as written or as much
as holds the hull at its set point.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.hull.anode_groups import AnodeGroup
from corrosion.hull.electrodes import LAWS, STEEL, Electrodes
from corrosion.hull.held_electrodes import HeldElectrodes, HeldSteel
from corrosion.hull.impressed_current import ImpressedSupply
from corrosion.hull.inverse import symmetric_inverse
from corrosion.hull.model import Hull
from corrosion.hull.network import spreading_resistance
from corrosion.hull.nonlinear.galvanic import GalvanicNetwork
from corrosion.hull.own_metals import MetalUnknowns, metal_laws
from corrosion.hull.uncertain import PathUnknowns


@dataclass(frozen=True, slots=True, kw_only=True)
class ProtectedHull:
    """A hull with an electrode for each group of anodes behind her wetted zones."""

    # whose ``body.zones`` has the host zone of each group behind the wetted ones
    hull: Hull
    groups: tuple[AnodeGroup, ...]  # sacrificial anodes, electrodes each
    impressed: tuple[AnodeGroup, ...]  # impressed-current anodes, which are none
    metals: tuple[str, ...]  # of each wetted zone

    @property
    def wetted(self) -> int:
        """How many zones are wetted."""
        return len(self.metals)


def protected_hull(
    hull: Hull, metals: Sequence[str], groups: Sequence[AnodeGroup]
) -> ProtectedHull:
    """Return a hull with an electrode for each group of sacrificial anodes."""
    acting = tuple(one for one in groups if one.size is not None)
    every = np.concatenate(
        [np.arange(len(metals)), np.array([one.host for one in acting], dtype=np.int64)]
    )
    body = replace(
        hull.body,
        zones=hull.body.zones[every],
        matrix=hull.body.matrix[np.ix_(every, every)],
    )
    return ProtectedHull(
        hull=replace(hull, body=body),
        groups=acting,
        impressed=tuple(one for one in groups if one.size is None),
        metals=tuple(metals),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class ProtectedState:
    """Metals and anodes of one state of paint, water and anodes, a sample a row.

    Arrays are of shape (samples, electrodes) where no other is said.
    """

    # laws of all electrodes, and potentials at which anodes and own metals hold them
    held: HeldElectrodes
    steel: HeldSteel  # what the wetted zones lose when currents are added
    # shape (samples,): her metal over remote water, by which it lies
    # below free steel [V]
    below: Array
    # shape (samples, wetted): net density that own metals add to
    # what leaves each [A/m²]
    own_metals: Array
    # area, paint: bare area [m²], and conductance of the coated area [S]
    area: Array
    paint: Array
    narrow: Array  # resistance of the water that narrows to each [Ω]
    amps: Array  # shape (samples, groups): current that leaves each group of anodes [A]
    # shape (samples, groups): the same, were all her metals at steel's rest [A]
    without_own: Array
    impressed: Array  # shape (samples, impressed): impressed currents [A]
    # shape (samples, electrodes + 1): where the next state's solutions may begin [V]
    start: tuple[Array, Array]

    def impedances(self, rows: IntArray | slice, interface: Array) -> Array:
        """Return each electrode's resistance to its water, (cases, electrodes) [Ω].

        ``interface`` is that of a square metre of each. [Ω·m²]
        """
        return 1.0 / (self.area[rows] / interface + self.paint[rows])


def protected_state(  # noqa: PLR0913 - a state is made of as much
    her: ProtectedHull,
    bare: Array,
    left: Array,
    paths: PathUnknowns,
    unknowns: MetalUnknowns,
    *,
    on: BoolArray | None = None,
    flow: Array | float = 1.0,
    start: tuple[Array, Array] | None = None,
) -> ProtectedState:
    """Return what anodes and own metals do to one another.

    Parameters
    ----------
    her : ProtectedHull
    bare : ndarray, shape (samples, wetted)
        Bare share. [-]
    left : ndarray, shape (samples, groups)
        What is left of the net mass of each group; 0: not fitted. [-]
    paths, unknowns : PathUnknowns, MetalUnknowns
    on : ndarray of bool, shape (impressed,), optional
        Which impressed-current anodes are fitted; None: all.
    flow : ndarray, shape (samples,), or float, optional
        On the natural rate of steel and the oxygen limit of others; 1 at rest. [-]
    start : tuple of two ndarrays, optional
        Of an earlier state. [V]

    Returns
    -------
    ProtectedState
        With the shore earth not tied and nothing injected.
    """
    hull, table, many = her.hull, her.hull.assumptions, her.wetted
    samples = len(bare)
    steel = np.array([metal in STEEL for metal in her.metals])
    mine = replace(hull, body=replace(hull.body, zones=hull.body.zones[:many]))
    laws = _joined(
        metal_laws(mine, her.metals, steel, paths, unknowns, flow),
        Electrodes.of([LAWS[one.anode.metal] for one in her.groups], samples),
    )
    alike = laws.rest.copy()  # the base: all of her own metal at steel's rest
    alike[:, :many][:, ~steel] = LAWS["steel"].rest + unknowns.steel_rest[:, None]
    area, paint, narrow = np.zeros((3, samples, many + len(her.groups)))
    area[:, :many] = bare * mine.contact_area
    paint[:, :many] = (1.0 - bare) * mine.contact_area / paths.coating[:, None]
    narrow[:, :many] = spreading_resistance(
        mine, bare, interface=paths.interface, coating=paths.coating
    )
    for k, one in enumerate(her.groups):
        area[:, many + k] = one.area(left[:, k])
        narrow[:, many + k] = one.ohms(hull.body.resistivity, left[:, k], table)
    network = GalvanicNetwork(
        inverse=symmetric_inverse(hull.linked(hull.plating(paths), narrow)),
        island=np.zeros(many + len(her.groups), dtype=np.int64),
        laws=laws,
        bare=area,
        paint=paint,
        lifted=np.zeros(area.shape),
        total=np.zeros((samples, 1)),
    )
    supply = ImpressedSupply.of(her.impressed, hull, steel)
    first, second = start or (None, None)
    full = supply.held(network, first, on)
    base = supply.held(replace(network, laws=replace(laws, rest=alike)), second, on)
    potential, quiet = full.potential[:, :-1], base.potential[:, :-1]
    before = base.network.laws.at(quiet)
    protected = before.net[:, :many]
    return ProtectedState(
        held=HeldElectrodes(laws=laws, volts=potential),
        steel=HeldSteel(
            laws=laws.row((slice(None), slice(many))),
            volts=potential[:, :many],
            protected=protected,
            base=before.dissolution[:, :many],
            steel=steel,
        ),
        below=LAWS["steel"].rest + unknowns.steel_rest - full.potential[:, -1],
        own_metals=laws.at(potential).net[:, :many] - protected,
        area=area,
        paint=paint,
        narrow=narrow,
        amps=full.network.flow(full.potential)[:, many:],
        without_own=base.network.flow(base.potential)[:, many:],
        impressed=full.amps,
        start=(full.potential, base.potential),
    )


def _joined(one: Electrodes, other: Electrodes) -> Electrodes:
    names = Electrodes.__dataclass_fields__
    return Electrodes(
        **{
            name: np.concatenate([getattr(one, name), getattr(other, name)], axis=1)
            for name in names
        }
    )
