"""One ship's life, start to finish: what is true, before anybody writes it down."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from corrosion.foundation.types import Array
from corrosion.validation import currents, steel
from corrosion.validation.currents import Currents
from corrosion.validation.faults import Faults, arise, look_after
from corrosion.validation.loops import open_loops
from corrosion.validation.nature import NOW, Nature
from corrosion.validation.strays import Strays, stray
from corrosion.validation.vessels import Vessel, launch
from corrosion.validation.voyages import AHEAD, Voyages, sail
from corrosion.validation.welding import Weld, strike
from corrosion.validation.works import Works, repair


@dataclass(frozen=True, slots=True, kw_only=True)
class Circumstances:
    """What a scenario wants of a world."""

    # shifts, widths: see `corrosion.validation.nature.Nature`
    shifts: Mapping[str, float] = field(default_factory=dict)
    widths: Mapping[str, float] = field(default_factory=dict)
    crowd: int = 0  # so many more faults all standing at the end
    river: bool = False  # she lies in fresh water, always
    # she moves between own supply and earthed quay every few months
    restless: bool = False
    protected: bool = False  # zinc anodes on every wetted plate
    welding: bool = False  # she is welded on afloat


@dataclass(frozen=True, slots=True, kw_only=True)
class Life:
    """Everything that is true of one ship."""

    nature: Nature
    # vessel, voyages, currents, welds, plating, strays, works: the ship, where she lay,
    # faults and what flowed through them, welding, her plates' paint and steel, what
    # currents took of them, and what yards put right
    vessel: Vessel
    voyages: Voyages
    currents: Currents
    welds: tuple[Weld, ...]
    plating: steel.Plating
    # shape (plates, paintings): when each plate was painted, infinite where
    # it was not [s]
    paintings: Array
    strays: Strays
    works: Works

    def lost(self, moments: Array) -> tuple[Array, Array]:
        """Return mean loss and deepest pit of each plate, (moments, plates) [mm].

        Both faces; a pit is measured from the plate's outer face as rolled and counts
        what the inner face lost behind it.
        """
        sites = self.plating.even(moments, self.strays.added)
        even, pitted, inside = self.works.before(moments)
        inside = self.plating.worn_inside(moments) - inside
        deepest = self.plating.pits(sites - pitted).max(axis=2)
        mean = (sites - even).mean(axis=2)
        return mean + inside, np.maximum(deepest, mean) + inside

    def natural_kg(self) -> Array:
        """Return metal that nature alone took of what is known, shape (plates,).

        Of plates that were renewed before the log began, and nobody knows of it, only
        what went since; plate renewed later is included.
        """
        return self._gone(None)

    def lost_kg(self) -> Array:
        """Return metal that was lost of what is known, all causes, shape (plates,)."""
        return self._gone(self.strays.added)

    def own_kg(self) -> Array:
        """Return what own metals took of what is known, shape (plates,)."""
        at = self.strays.added[:, 0]
        went = zip(self._known_since(), self.strays.own_kg.T, strict=True)
        ends = np.array([np.interp([since, NOW], at, kg) for since, kg in went])
        return np.asarray(ends[:, 1] - ends[:, 0])

    def _gone(self, added: Array | None) -> Array:
        since = self._known_since()
        moments, at = np.unique(np.append(since, NOW), return_inverse=True)
        lost = self.plating.even(moments, added).mean(axis=2)
        lost = lost + self.plating.worn_inside(moments)
        plates = np.arange(len(since))
        gone = lost[at[-1], plates] - lost[at[:-1], plates]
        return np.asarray(gone * 1e-3 * self.tonnes)

    def _known_since(self) -> Array:
        """Return since when each plate is aboard as far as anybody can know [s]."""
        since = np.full(len(self.tonnes), self.vessel.built)
        for work in self.works.done:
            if work.work == "renewed" and work.moment < self.voyages.log_begins:
                since[work.plate] = max(since[work.plate], work.moment)
        return since

    @property
    def faults(self) -> Faults:
        """Every fault of her life."""
        return self.currents.faults

    @property
    def tonnes(self) -> Array:
        """Kilograms of a plate for each metre of thickness."""
        area = np.array([plate.area for plate in self.vessel.plates])
        dense = [steel.DENSITY[plate.metal] for plate in self.vessel.plates]
        return np.asarray(area * np.array(dense))


def live(kind: str, seed: int, what: Circumstances) -> Life:
    """Return one life of a kind of ship.

    Parameters
    ----------
    kind : str
        One of :data:`corrosion.validation.kinds.KINDS`.
    seed : int
        The same seed lives the same life.
    what : Circumstances
        What the scenario wants.
    """
    nature = Nature(seed=seed, shifts=what.shifts, widths=what.widths)
    vessel = launch(kind, nature, river=what.river)
    voyages = sail(vessel, nature, restless=what.restless)
    arisen = arise(vessel, voyages, nature, crowd=what.crowd)
    faults = look_after(arisen, vessel, voyages, nature, crowd=what.crowd)
    faults = open_loops(faults, vessel, voyages, nature)
    flown = currents.run(vessel, voyages, faults)
    paintings = steel.painted(vessel, voyages.dockings, nature)
    welds = strike(vessel, voyages, nature) if what.welding else ()
    new = np.full((len(vessel.plates), 0), np.inf)
    while True:
        plating = steel.weather(vessel, voyages, paintings, nature, AHEAD, renewed=new)
        currents_took = stray(
            vessel, voyages, flown, plating, welds,
            nature=nature, protected=what.protected,
        )  # fmt: skip
        works = repair(vessel, plating, currents_took.added, voyages.dockings, nature)
        bare = _bare_new(works, np.hstack([paintings, new]))
        if not np.isfinite(bare).any():
            break
        new = np.hstack([new, bare])
    return Life(
        nature=nature,
        vessel=vessel,
        voyages=voyages,
        currents=flown,
        welds=welds,
        plating=plating,
        paintings=paintings,
        strays=currents_took,
        works=works,
    )


def _bare_new(works: Works, painted: Array) -> Array:
    """Return when each plate was first renewed and not painted, (plates, 1) [s].

    A yard paints the plate that it lets in: what is here wants another weathering.
    Infinite where there is no such plate.
    """
    first = np.full((len(painted), 1), np.inf)
    for work in works.done:
        if work.work == "renewed" and not (painted[work.plate] == work.moment).any():
            first[work.plate] = min(first[work.plate, 0], work.moment)
    return first
