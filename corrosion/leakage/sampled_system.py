"""What follows for each fault of a system, once its resistance is drawn."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.leakage.conditions import SystemEvidence
from corrosion.leakage.dated_states import berth_at
from corrosion.leakage.inference.evidence import Evidence, is_direct, states
from corrosion.leakage.inference.forward_model import FaultHypothesis, fault_amps
from corrosion.leakage.inference.grid import GRID, SystemGrid
from corrosion.leakage.inference.instruments import Instruments
from corrosion.leakage.inference.inverse_cdf import sample_cell
from corrosion.leakage.inference.likelihood import direct_return
from corrosion.leakage.inference.single import (
    GOLDEN,
    FaultSamples,
    grid_place,
    hour_chance,
    sample_later,
    state_chance,
)
from corrosion.records.kinds import Current
from corrosion.records.ship import Berth, Readings, Ship, System

_FAR = 4.0  # standard deviations beyond which the network does not explain a reading


@dataclass(frozen=True, slots=True, kw_only=True)
class Unexplained:
    """A clamp reading that no resistance explains: it holds in its own stay alone."""

    berth: Berth  # where it was read
    current: Current  # what was read
    # shape (samples,): within the clamp's tolerance; direct current is positive
    # into the steel [A]
    amps: Array


@dataclass(frozen=True, slots=True)
class OneSystem:
    """What follows for each fault of a system, once its resistance is drawn.

    On the nodes on which it was drawn: what they predict is not solved again.
    """

    ship: Ship
    system: System
    said: SystemEvidence
    found: FaultSamples
    healthy: tuple[Array, Array]
    tools: Instruments
    nodes: SystemGrid

    def unexplained(self, k: int, uniform: Array) -> tuple["Unexplained", ...]:
        """Return the clamp readings of a fault that no resistance explains.

        Those by four standard deviations off what the network gives in their state
        with the resistance that all readings leave; and one that returned ashore while
        nothing tied the system to earth, of which the network says nothing.
        """
        evidence = self.said.evidence[k]
        if evidence.beside:
            return ()
        fault = self.ship.faults[self.said.places[k]]
        first = self.said.moment[k]
        when = fault.found.middle if first is None else first
        own = fault.readings
        left_out = own.amps is not None and fault.returns == "ashore" and first is None
        odd = [
            readings
            for readings in evidence.readings
            if readings.amps is not None
            and min(self._off(one, readings, k) for _, one in evidence.by_state())
            > _FAR
        ]
        if left_out and all(r.amps is None for r in evidence.readings):
            odd.append(own)
        return tuple(self._kept(when, readings, k, uniform) for readings in odd)

    def _kept(
        self, moment: float, readings: Readings, k: int, uniform: Array
    ) -> "Unexplained":
        from scipy.special import ndtri  # noqa: PLC0415 - importing corrosion stays light

        read = abs(readings.amps or 0.0)
        width = self.tools.clamp_width(np.array([read]), np.zeros(1))
        size = np.maximum(read + width * ndtri(uniform), 0.0)
        current = readings.current or self.system.current
        sign = np.ones(len(size))
        if self.system.current == "dc":
            sign = np.where(self.found.pole[:, k] == 0, 1.0, -1.0)
        elif current == "dc":
            sign = np.copysign(sign, readings.amps or 0.0)
        return Unexplained(
            berth=berth_at(self.ship, moment), current=current, amps=sign * size
        )

    def _off(self, evidence: Evidence, readings: Readings, k: int) -> float:
        """Return by how many standard deviations the network misses a reading."""
        read = abs(readings.amps or 0.0)
        direct = is_direct(self.system, readings)
        shown = np.empty(len(self.found.pole))
        for state, mine, at in self._at_samples(evidence, k):
            if direct:
                most = self.tools.source.high * state.system.volts
                whole = most / (GRID[None, :] + 1.0 / direct_return(state, self.tools))
                shown[mine] = np.minimum(whole[at], read)
            else:
                shown[mine] = np.abs(fault_amps(state)[0][at])
        width = self.tools.clamp_width(shown, np.zeros(1))
        return float(np.median(np.abs(read - shown) / width))

    def found_in(self, k: int, uniform: Array) -> IntArray | None:
        """Return in which part of its date each fault was found, (samples,).

        By how long each part is and how likely it makes what was read, given what the
        fault is in that sample; None: there is only one.
        """
        parts = self.said.parts[k]
        if len(parts) == 1:
            return None
        evidence = self.said.evidence[k]
        likely = np.ones((len(uniform), len(parts)))
        if evidence.perhaps and self.said.moment[k] is None:
            states_of = [(one.tie, one.fed) for one in evidence.perhaps]
            place = [states_of.index((part.tie, part.fed)) for part in parts]
            node = self._node()
            chance = state_chance(self.system, self.nodes, evidence, self.tools)
            rank = self._rank(evidence, k)
            shares = np.array([one.share for one in evidence.perhaps])
            said = (
                chance[:, rank, node, grid_place(self.found.resistance[:, k])].T
                / shares
            )
            likely = said[:, place]
        weight = likely * [max(part.end - part.start, 1.0) for part in parts]
        return sample_cell(weight, uniform)[0]

    def _rank(self, evidence: Evidence, k: int) -> IntArray:
        """Return which of the conductors that may be at fault each sample has."""
        if evidence.conductor is not None:
            return np.zeros(len(self.found.pole), dtype=np.int64)
        return self.found.pole[:, k]

    def _at_samples(
        self, evidence: Evidence, k: int
    ) -> Iterator[tuple[FaultHypothesis, BoolArray, tuple[IntArray, IntArray]]]:
        """Yield each hypothesis, its samples, and their nodes and cells of the grid."""
        node, cell = self._node(), grid_place(self.found.resistance[:, k])
        for state in states(self.system, self.nodes, evidence, self.tools.law):
            mine = self.found.pole[:, k] == state.conductor
            yield state, mine, (node[mine], cell[mine])

    def _node(self) -> IntArray:
        return self.nodes.nearest(*self.healthy)

    def _one(self, k: int) -> FaultSamples:
        one = slice(k, k + 1)
        return FaultSamples(
            resistance=self.found.resistance[:, one], pole=self.found.pole[:, one]
        )

    def direct_volts(self, k: int, uniform: Array) -> Array:
        """Return the direct voltage behind a fault, (samples,); 0: none was read [V].

        What drives the reading through the fault's resistance and all that leads back
        in the state in which it was read, no more than such sources have.
        """
        from scipy.special import ndtri  # noqa: PLC0415 - importing corrosion stays light

        every = [self.said.evidence[k]]
        every += [occasion.evidence for occasion in every[0].further]
        for evidence in every:
            for readings in evidence.readings:
                if not readings.amps or not is_direct(self.system, readings):
                    continue
                back = self._back(evidence, k)
                read = abs(readings.amps)
                width = self.tools.clamp_width(np.array([read]), np.zeros(1))
                amps = np.maximum(read + width * ndtri(uniform), 0.0)
                volts = amps * (self.found.resistance[:, k] + 1.0 / back)
                most = self.tools.source.high * self.system.volts
                return np.asarray(np.copysign(np.minimum(volts, most), readings.amps))
        return np.zeros(len(uniform))

    def _back(self, evidence: Evidence, k: int) -> Array:
        """Return what leads back of a direct component, shape (samples,) [S]."""
        found = np.empty(len(self.found.pole))
        for state, mine, at in self._at_samples(evidence, k):
            back = direct_return(state, self.tools)
            found[mine] = np.broadcast_to(back, (len(state.nodes), len(GRID)))[at]
        return found

    def later(self, k: int, uniform: Array) -> list[tuple[float, Array]]:
        """Return the resistance of a fault at each further hour of reading [Ω]."""
        evidence, nodes = self.said.evidence[k], self.nodes
        found = []
        for number, occasion in enumerate(evidence.further):
            named, law = evidence.conductor, self.tools.law
            said = hour_chance(self.system, nodes, occasion.evidence, self.tools, named)
            tried = states(self.system, nodes, evidence, law, named)
            poles = np.array([state.conductor for state in tried])
            spent = (uniform + GOLDEN * number) % 1.0
            ohms = sample_later(
                self._one(k), (said, poles), occasion.apart, self._node(), spent
            )
            found.append((occasion.moment, ohms))
        return found
