"""What is not known for certain about the current paths, a sample a row."""

from dataclasses import dataclass, fields
from typing import Final

import numpy as np

from corrosion.foundation.assumptions import Assumptions, default_assumptions
from corrosion.foundation.sampling import Draws, sample_lognormal
from corrosion.foundation.types import Array, IntArray
from corrosion.foundation.units import MAINS
from corrosion.records.ship import Berth

SHORE: Final = (
    "shore_earth",
    "couple",
    "couples",
    "earth_limit",
    "earth_kind",
    "earth_factor",
    "couple_factor",
    "earth_conductance",
)
"""What readings on the shore connection teach."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PathUnknowns:
    """Samples of what decides where a current crosses into the water.

    Arrays are of shape (samples,) where no other is said.
    """

    # interface, interface_mains: one square metre of bare steel in seawater, to direct
    # current, and to alternating current of ``units.MAINS`` [Ω·m²]
    interface: Array
    interface_mains: Array
    coating: Array  # one square metre of sound coating [Ω·m²]
    # structure, structure_mains: conductance of the structure over that of its shell
    # plating with steel at its medians, to direct and to alternating current [-]
    structure: Array
    structure_mains: Array
    shore_earth: Array  # shore earth to remote earth, where none is written [Ω]
    # open-circuit volts of hull steel against a shore earth of which nothing is
    # written, either sign [V]
    couple: Array
    couples: Array  # shape (samples, kinds): the same for each kind of `EARTHS` [V]
    earth_kind: IntArray  # which of them an earth is of which nothing is written
    earth_limit: Array  # current that a shore earth can take up from the water [A]
    # earth_factor, couple_factor: true shore earth and couple over those
    # that are written [-]
    earth_factor: Array
    couple_factor: Array
    # protective conductor of a shore supply of which nothing is written; 0: it
    # is not connected [S]
    earth_conductance: Array
    # a turning shaft to the hull, by its brush or bearings, where none is written [Ω]
    brush: Array
    # by which anodes hold her metal below free steel, over remote water [V]
    held: Array
    turns: Array  # share of the time in which her shaft turns: 0 at rest [-]

    def interface_at(self, hertz: float) -> Array:
        """Return the interface of bare steel at a frequency [Ω·m²].

        To alternating current it is the double layer's capacitance, so that its
        impedance falls as the frequency rises.
        """
        if hertz == 0.0:
            return self.interface
        return self.interface_mains * (MAINS / hertz)

    def structure_at(self, hertz: float) -> Array:
        """Return the conductance of the structure at a frequency [-].

        Alternating current uses a skin of the plate, whose conductance falls as the
        root of resistivity and permeability.
        """
        return self.structure if hertz == 0.0 else self.structure_mains

    def shore_earth_at(self, berth: Berth) -> Array:
        """Return the shore earth to remote earth at a berth [Ω]."""
        if berth.shore_earth is None:
            return self.shore_earth
        return berth.shore_earth * self.earth_factor

    def earth_conductance_at(self, berth: Berth) -> Array:
        """Return the protective conductor from the hull to the shore earth [S].

        0 where none is connected; where nobody wrote it, connected in some samples.
        """
        if berth.earth_cable is not None:
            return np.full(len(self.interface), 1.0 / max(berth.earth_cable, 1e-6))
        if berth.earth_connected is not None:
            return np.zeros(len(self.interface))
        return self.earth_conductance

    def earth_at(self, berth: Berth) -> tuple[Array, Array]:
        """Return the shore earth [Ω] and the conductor to it [S] at a berth."""
        return self.shore_earth_at(berth), self.earth_conductance_at(berth)

    def couple_at(self, berth: Berth) -> Array:
        """Return the couple of her hull against the shore earth at a berth [V].

        What is written was read as anodes held her; a kind of earth tells of free
        steel.
        """
        if berth.earth_couple is not None:
            return berth.earth_couple * self.couple_factor
        if berth.earth_connected is False:
            return np.zeros_like(self.couple)
        if berth.earth_metal is not None:
            free = self.couples[:, _KINDS.index(berth.earth_metal)]
            return np.asarray(free + self.held)
        return self.couple + self.held

    def earth_law_at(self, berth: Berth) -> list[str]:
        """Return the law of :data:`electrodes.LAWS` of each sample's shore earth."""
        if berth.earth_metal is not None:
            return [EARTHS[berth.earth_metal].law] * len(self.couple)
        laws = [EARTHS[kind].law for kind in _KINDS]
        return [laws[kind] for kind in self.earth_kind.tolist()]

    def rows(self, rows: slice | IntArray) -> "PathUnknowns":
        """Return some of the samples."""
        cut = {one.name: getattr(self, one.name)[rows] for one in fields(self)}
        return PathUnknowns(**cut)


def draw_paths(draws: Draws, block: str = "paths") -> PathUnknowns:
    """Return samples of what is not known about the current paths."""
    u = draws.block("earth conductor", 2)
    connected = u[:, 0] < draws.value("earth_cable_chance")
    earth = connected / draws.lognormal("earth_cable_ohm", u[:, 1])
    kinds = draws.block(f"{block}, kind of shore earth", 2)
    uniform = draws.block(block, len(_ENTRIES))
    plating = draws.block(f"{block}, plating", 2)
    brush = draws.lognormal("brush_ohm", draws.block("brush", 1)[:, 0])
    return _paths(uniform, kinds, plating, draws.assumptions, earth, brush)


def median_paths(assumptions: Assumptions | None = None) -> PathUnknowns:
    """Return one sample of everything at its median; None: of the table as it is."""
    table = default_assumptions() if assumptions is None else assumptions
    earth = np.array([1.0 / table.value("earth_cable_ohm")])
    kinds = np.array([[0.0, 0.5]])  # copper, the most frequent
    middle = np.full((1, len(_ENTRIES)), 0.5)
    brush = np.array([table.value("brush_ohm")])
    return _paths(middle, kinds, np.full((1, 2), 0.5), table, earth, brush)


@dataclass(frozen=True, slots=True)
class _Earth:
    """A kind of shore earth: its law, its couple's sign and rows of assumptions."""

    law: str
    sign: float
    name: str  # in earth_NAME_v and earth_NAME_share
    sd: str = "earth_couple_sd_v"


EARTHS: Final = {
    "copper": _Earth("copper earth", 1.0, "copper"),
    "steel in concrete": _Earth("steel in concrete", 1.0, "concrete"),
    "galvanised": _Earth("galvanised earth", -1.0, "galvanised"),
    "protected quay": _Earth("protected quay", -1.0, "protected"),
    "bare steel": _Earth("protected quay", 0.0, "steel"),
    "other ship": _Earth("protected quay", 0.0, "ship", "earth_other_ship_sd_v"),
}
"""Kinds of shore earth."""

_KINDS: Final = tuple(EARTHS)
_STEEL: Final = ("steel_resistivity", "steel_relative_permeability")
_ENTRIES: Final = {
    "interface": "interface_ohm_m2",
    "interface_mains": "interface_ac_ohm_m2",
    "coating": "coating_ohm_m2",
    "structure": "steel_structure_factor",
    "shore_earth": "shore_earth_ohm",
    "couple": "",
    "earth_factor": "shore_earth_factor",
    "couple_factor": "earth_couple_factor",
}


def _paths(
    uniform: Array,
    kinds: Array,
    plating: Array,
    table: Assumptions,
    earth: Array,
    brush: Array,
) -> PathUnknowns:
    from scipy.special import ndtri  # noqa: PLC0415 - importing corrosion stays light

    columns = dict(zip(_ENTRIES, uniform.T, strict=True))
    normal = ndtri(columns.pop("couple"))
    couples = np.stack(
        [
            (earth.sign * table.value(f"earth_{earth.name}_v") if earth.sign else 0.0)
            + table.value(earth.sd) * normal
            for earth in EARTHS.values()
        ],
        axis=1,
    )
    names = [f"earth_{earth.name}_share" for earth in EARTHS.values()]
    shares = np.cumsum([table.value(name) for name in names])
    kind = np.searchsorted(shares / shares[-1], kinds[:, 0], side="right")
    kind = np.minimum(kind, len(_KINDS) - 1).astype(np.int64)
    structure = sample_lognormal(
        table["steel_structure_factor"], columns.pop("structure")
    )
    resistivity, permeability = (
        sample_lognormal(table[name], u) / table.value(name)
        for name, u in zip(_STEEL, plating.T, strict=True)
    )
    return PathUnknowns(
        structure=structure / resistivity,
        structure_mains=structure / np.sqrt(resistivity * permeability),
        couple=couples[np.arange(len(kind)), kind],
        couples=couples,
        earth_kind=kind,
        earth_conductance=earth,
        brush=brush,
        held=np.zeros(len(brush)),
        turns=np.zeros(len(brush)),
        earth_limit=sample_lognormal(table["earth_limit_a"], kinds[:, 1]),
        **{
            name: sample_lognormal(table[_ENTRIES[name]], u)
            for name, u in columns.items()
        },
    )
