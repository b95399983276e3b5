"""The current paths of a ship whose anodes are written, while they are consumed."""

from dataclasses import replace
from itertools import pairwise

import numpy as np

from corrosion.foundation.types import Array, IntArray
from corrosion.history.anodes_in_time import AnodesInTime, anodes_act
from corrosion.history.inputs import ModelInputs
from corrosion.history.loss import LossHistory
from corrosion.history.natural_rate import flow_factor, share_under_way
from corrosion.history.paths import CurrentPaths
from corrosion.hull.cathodic_protection import ProtectedState, protected_state
from corrosion.hull.held_electrodes import HeldSteel
from corrosion.hull.network import Network, Transfer, network, transfer
from corrosion.hull.shore_connection import ShoreConnection, shore_connection
from corrosion.hull.shore_evidence import SeenHull
from corrosion.leakage.time_intervals import Stay
from corrosion.records.ship import Berth


def current_paths(inputs: ModelInputs, rows: slice, epochs: Array) -> CurrentPaths:
    """Return the current paths of a block of samples, with anodes if any is written."""
    kind = ProtectedPaths if inputs.ship.anodes else CurrentPaths
    return kind(inputs, rows, epochs)


def paths_at(inputs: ModelInputs, berth: Berth, moment: float) -> CurrentPaths:
    """Return the current paths of all samples at one berth and moment, as stay 0.

    Anodes are as new, or as last seen.
    """
    always = np.full((2, inputs.draws.samples), moment)
    stay = Stay(berth=berth, start=always[0], end=always[1])
    there = current_paths(replace(inputs, periods=[stay]), slice(None), np.zeros(0))
    there.look(moment)
    return there


def columns_of(solved: Transfer, some: slice) -> Transfer:
    """Return what a transfer says of some electrodes."""
    return Transfer(
        steel=solved.steel[..., some],
        low_rank_terms=tuple((w, p[:, some]) for w, p in solved.low_rank_terms),
        ashore=solved.ashore[:, some],
        couple=solved.couple[:, some],
    )


class ProtectedPaths(CurrentPaths):
    """The current paths of a ship with anodes, for a block of samples.

    Where the anodes act (:func:`~corrosion.history.anodes_in_time.anodes_act`), direct
    currents meet the network of her metals and anodes as these hold one another; where
    a protection current is written, the anodes are consumed and change nothing else.

    Attributes
    ----------
    anodes : AnodesInTime
        What is left of them.
    networks : dict
        Networks of states with direct currents, kept until anodes or paint change.
    """

    def __init__(self, inputs: ModelInputs, rows: slice, epochs: Array) -> None:
        super().__init__(inputs, rows, epochs)
        self.anodes = AnodesInTime(inputs, rows)
        self._act = anodes_act(inputs.ship)
        self._states: dict[float, ProtectedState] = {}
        self._tied: dict[int, tuple[Transfer, ShoreConnection]] = {}
        self.networks: dict[tuple[int, bytes, bytes], object] = {}
        self._begin: dict[float, tuple[Array, Array]] = {}
        self._eater: int | None = None
        self._turned = False
        self._today: tuple[Array, ...] | None = None

    @property
    def acting(self) -> bool:
        """Whether anodes hold her now."""
        return self._act and self.anodes.acting

    def turn_to(self, *edges: float) -> None:
        """Move on to the step between dates; what the last one took is taken."""
        self.consume()
        if self._today is None and edges[0] >= self.inputs.time_grid.as_of:
            self._today = self._now()
        epoch = self.epoch
        super().turn_to(*edges)
        self._turned = True
        if self.anodes.turn_to(edges[0]) or self.epoch != epoch:
            self._solve_anew()

    def _solve_anew(self) -> None:
        """Forget what was solved for other anodes or older paint."""
        self._states.clear()
        self._tied.clear()
        self.networks.clear()

    def look(self, moment: float) -> None:
        """See her as she is at one moment, anodes as new or as last seen [s]."""
        super().look(moment)
        self.anodes.turn_to(moment)

    def consume(self) -> None:
        """Take from the anodes what her own metals drew in the step that ends."""
        if not self._turned:
            return
        self._turned = False
        for early, late in pairwise(self.edges):
            if early > self.edges[0] and self.anodes.turn_to(early):
                self._solve_anew()
            if self.anodes.acting:
                self._consume(early, late)

    def _consume(self, early: float, late: float) -> None:
        """Take it in a part of the step [s]."""
        for number, stay in enumerate(self.inputs.periods):
            if not stay.berth.afloat:
                continue
            start, end = (
                np.clip(t[self.rows], early, late) for t in (stay.start, stay.end)
            )
            seconds = (end - start)[:, None]
            if not seconds.any():
                continue
            state, every = self.state(number), slice(None)
            drawn = np.maximum(state.amps * seconds, 0.0)
            # no more than they have: what is drawn at the end of a step is too much
            most = np.minimum(self.anodes.usable, drawn)
            part = np.divide(most, drawn, out=np.ones_like(drawn), where=drawn > 0.0)
            self.anodes.use(every, state.without_own * seconds * part, "protection")
            own = (state.amps - state.without_own) * seconds * part
            self.anodes.use(every, own, "own metals")

    def eat(self, sample: IntArray, charge: dict[str, Array], scenario: int) -> None:
        """Take from the anodes what couple and faults drew, (states, groups) [C].

        Of the first scenario that asks alone: the others see the same anodes.
        """
        self._eater = scenario if self._eater is None else self._eater
        if self._eater == scenario:
            for eater, part in charge.items():
                self.anodes.use(sample, part, eater)

    def state(self, number: int) -> ProtectedState:
        """Return how anodes and own metals hold one another at a berth."""
        inputs, berth = self.inputs, self.inputs.periods[number].berth
        key = share_under_way(berth)
        if key not in self._states:
            fresh = protected_state(
                self.anodes.her,
                self.paint[:, self.wet],
                self.anodes.left,
                self.turned(number),
                inputs.metals.rows(self.rows),
                on=self.anodes.on,
                flow=flow_factor(inputs, berth, self.rows),
                start=self._begin.get(key),
            )
            self._states[key], self._begin[key] = fresh, fresh.start
        return self._states[key]

    def _holds(self, number: int) -> bool:
        return self.acting and self.inputs.periods[number].berth.afloat

    def held(self, number: int) -> HeldSteel | None:
        """Return what her metal loses where anodes hold it; None: none does."""
        return self.state(number).steel if self._holds(number) else None

    def own_metals(self, number: int) -> Array:
        """Return what her own metals add at bare metal, (samples, wetted) [A/m²]."""
        if not self._holds(number):
            return super().own_metals(number)
        return self.state(number).own_metals

    def shore(self, number: int, hertz: float) -> ShoreConnection:
        """Return the way back ashore, as anodes meet it too at direct current."""
        if hertz > 0.0 or not self._holds(number):
            return super().shore(number, hertz)
        return self._tie(number)[1]

    def solved(self, number: int, hertz: float) -> Transfer:
        """Return the transfer at a berth and a frequency, to wetted zones."""
        if hertz > 0.0 or not self._holds(number):
            return super().solved(number, hertz)
        return columns_of(self._tie(number)[0], slice(0, len(self.wet)))

    def couple_amps(self, number: int) -> Array:
        """Return the couple's current at a berth, all that leaves her [A]."""
        if not self._holds(number):
            return super().couple_amps(number)
        return np.asarray(self._tie(number)[0].couple.sum(axis=1))

    def seen_hull(self, number: int) -> SeenHull:
        """Return what a couple's current meets of her at a berth."""
        if not self._holds(number):
            return super().seen_hull(number)
        berth, held = self.inputs.periods[number].berth, self.state(number).below
        loop = shore_connection(self.anodes.her.hull, berth, self.unknowns, hertz=0.0)
        return SeenHull.of(self._about(number), loop, held)

    def _about(self, number: int) -> Network:
        """Return the network of the tangents at which all is held."""
        state = self.state(number)
        tangent = 1.0 / state.held.slope(np.zeros_like(state.held.volts))
        return network(
            self.anodes.her.hull,
            state.impedances(slice(None), tangent),
            self.turned(number),
            spreading=state.narrow,
        )

    def _tie(self, number: int) -> tuple[Transfer, ShoreConnection]:
        """Return paths and shore about where all is held, to zones and anodes."""
        if number not in self._tied:
            about = self._about(number)
            loop = shore_connection(
                self.anodes.her.hull,
                self.inputs.periods[number].berth,
                replace(self.unknowns, held=self.state(number).below),
                hertz=0.0,
                hull_ohms=about.hull_ohms,
            )
            self._tied[number] = transfer(about, loop), loop
        return self._tied[number]

    def density(self, number: int, hertz: float) -> Array:
        """Return density at bare metal per ampere leaving each zone [1/m²]."""
        if hertz > 0.0 or not self._holds(number):
            return super().density(number, hertz)
        return self.held_density(number, slice(None), None)

    def held_density(
        self, number: int, sample: IntArray | slice, interface: Array | None
    ) -> Array:
        """Return it by an interface of the electrodes; None: the tangents' [1/m²]."""
        state, many = self.state(number), len(self.wet)
        if interface is None:
            interface = 1.0 / state.held.slope(np.zeros_like(state.held.volts))
        ohms = state.impedances(sample, interface)[:, :many]
        return np.asarray(ohms * self.inputs.hull.share_flooded / interface[:, :many])

    def total_over_bare_current(self, number: int) -> tuple[Array, Array]:
        """Return what leaves a zone over what leaves its bare steel, (samples, wetted).

        Under protection no current through paint is metal.
        """
        direct, alternating = super().total_over_bare_current(number)
        if self._holds(number):
            direct = np.ones_like(direct)
        return direct, alternating

    def _now(self) -> tuple[Array, ...]:
        """Return what the anodes do at the end of the step that was, as (samples, ...).

        What is left, usable charge, current, potential of the steel about each, and
        what was eaten by whom.
        """
        inputs, anodes = self.inputs, self.anodes
        number = self._standing()
        groups, supply = len(anodes.her.groups), len(anodes.her.impressed)
        samples = len(anodes.left)
        amps, volts = np.zeros((2, samples, groups + supply))
        zones = np.full((samples, len(inputs.ship.zones)), np.nan)
        if self.epoch > 0 and anodes.acting:
            state = self.state(number)
            amps = np.concatenate([state.amps, state.impressed], axis=1)
            volts = state.held.volts[:, anodes.hosts]
            zones[:, self.wet] = state.held.volts[:, : len(self.wet)]
        blank = np.full((samples, supply), np.nan)
        return (
            np.concatenate([anodes.left, blank], axis=1),
            np.concatenate([anodes.usable, blank], axis=1),
            amps,
            volts,
            np.concatenate(
                [anodes.eaten, np.zeros((samples, supply, anodes.eaten.shape[2]))],
                axis=1,
            ),
            zones,
        )

    def _standing(self) -> int:
        """Return the stay of the date of the estimate, in most samples."""
        day = self.inputs.time_grid.as_of - 1.0
        there = [
            ((stay.start[self.rows] <= day) & (day < stay.end[self.rows])).sum()
            for stay in self.inputs.periods
        ]
        return int(np.argmax(there))

    def tell(self, history: LossHistory) -> None:
        """Write what the anodes do at the date of the estimate into a history."""
        if self._today is None:
            self.consume()
            self._today = self._now()
        names = ("left", "usable", "amps", "volts", "eaten", "zone_volts")
        for name, found in zip(names, self._today, strict=True):
            getattr(history, f"anode_{name}")[self.rows] = found
