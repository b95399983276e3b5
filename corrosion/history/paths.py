"""The routes of the current for a block of samples, while time goes on."""

from dataclasses import replace

import numpy as np

from corrosion.foundation.types import Array, IntArray
from corrosion.history.coated_steel import CoatedSteel
from corrosion.history.injected import lamp_board
from corrosion.history.inputs import ModelInputs
from corrosion.history.natural_rate import share_under_way
from corrosion.hull.held_electrodes import HeldSteel
from corrosion.hull.injection import source_transfer
from corrosion.hull.network import (
    Network,
    Transfer,
    network,
    spreading_resistance,
    transfer,
)
from corrosion.hull.nonlinear.linear_check import LinearCheck
from corrosion.hull.nonlinear.polarisation import BareSteel
from corrosion.hull.own_metals import OwnMetals, has_own_metals, own_metals
from corrosion.hull.shore_connection import ShoreConnection, shore_connection
from corrosion.hull.shore_evidence import SeenHull
from corrosion.leakage.fault_currents import returns_ashore
from corrosion.leakage.fed_system import SystemCurrents
from corrosion.wastage.alternating import dissolving_fraction
from corrosion.wastage.fault_charges import CurrentSource


class CurrentPaths(CoatedSteel):
    """The current paths of a block of samples, solved anew for berth and coating."""

    def __init__(self, inputs: ModelInputs, rows: slice, epochs: Array) -> None:
        super().__init__(inputs, rows)
        self.epochs = epochs
        self.entry, self.back = inputs.entry[rows], inputs.back[rows]
        self._edges = np.append(epochs, inputs.time_grid.moments[-1])
        self._networks: dict[tuple[float, float], Network] = {}
        self._kept: dict[tuple[int, float], Transfer] = {}
        self._shores: dict[tuple[int, float], ShoreConnection] = {}
        self._straight: dict[int, LinearCheck] = {}
        self._own: dict[bool, OwnMetals] = {}
        self._own_start: dict[bool, Array] = {}
        self._metals = [inputs.ship.zones[k].metal for k in self.wet]
        self.epoch = 0
        self.ashore = [returns_ashore(inputs.ship, p.berth) for p in inputs.periods]

    def turn_to(self, *edges: float) -> None:
        """Move on to the step between two dates, in parts if there are more [s]."""
        epoch = int(np.searchsorted(self._edges, edges[0], side="right"))
        if epoch != self.epoch:  # what was solved for older paint is large, and done
            self.epoch = epoch
            for kept in (self._networks, self._kept, self._shores, self._straight):
                kept.clear()
            self._own.clear()
            self.paint_over(float(self._edges[epoch - 1 : epoch + 1].mean()))
        self.turn_paint(*edges)

    def look(self, moment: float) -> None:
        """See her as she is at one moment, nothing having been consumed before [s]."""
        self.paint_over(moment)
        self.turn_paint(moment, moment)

    def seen_hull(self, number: int) -> SeenHull:
        """Return what a couple's current meets of her at a berth."""
        berth = self.inputs.periods[number].berth
        loop = shore_connection(self.inputs.hull, berth, self.unknowns, hertz=0.0)
        free = np.zeros(len(self.paint))
        return SeenHull.of(self._network(number, 0.0), loop, free)

    def couple_amps(self, number: int) -> Array:
        """Return the couple's current at a berth, all that leaves her [A]."""
        return np.asarray(self.solved(number, 0.0).couple.sum(axis=1))

    def solved(self, number: int, hertz: float) -> Transfer:
        """Return the transfer at a berth and a frequency."""
        kept = self._kept.get((number, hertz))
        if kept is not None:
            return kept
        if self.inputs.periods[number].berth.afloat:
            fresh = transfer(self._network(number, hertz), self.shore(number, hertz))
        else:  # no network is asked for
            samples, zones = self.paint.shape
            fresh = Transfer.dry(samples, zones, len(self.wet))
        return self._kept.setdefault((number, hertz), fresh)

    def shore(self, number: int, hertz: float) -> ShoreConnection:
        """Return the way back ashore at a berth and a frequency."""
        if (number, hertz) not in self._shores:
            ohms = self._network(number, 0.0).hull_ohms if hertz == 0.0 else None
            berth, mine = self.inputs.periods[number].berth, self.unknowns
            self._shores[number, hertz] = shore_connection(
                self.inputs.hull, berth, mine, hertz=hertz, hull_ohms=ohms
            )
        return self._shores[number, hertz]

    def _network(self, number: int, hertz: float) -> Network:
        """Return steel, interfaces and water, with the paint midway in this epoch."""
        berth = self.inputs.periods[number].berth
        # At rest all are alike; else by the flow, and for how long her shaft turns.
        key = hertz, share_under_way(berth)
        kept = self._networks.get(key)
        if kept is not None:
            return kept
        unknowns = self.in_flow(number)
        fresh = network(
            self.inputs.hull,
            self.contact(number, hertz, self.paint),
            unknowns,
            hertz=hertz,
            spreading=spreading_resistance(
                self.inputs.hull,
                self.paint[:, self.wet],
                interface=unknowns.interface_at(hertz),
                coating=unknowns.coating,
            ),
        )
        return self._networks.setdefault(key, fresh)

    def straight(self, number: int) -> LinearCheck:
        """Return the linear network of direct current at a berth, to be judged."""
        kept = self._straight.get(number)
        if kept is not None:
            return kept
        berth = self.inputs.periods[number].berth
        fresh = LinearCheck(
            self._network(number, 0.0),
            berth,
            self.shore(number, 0.0),
            contact=self.contact(number, 0.0, self.paint),
            steel=BareSteel.at_rest(
                self.in_flow(number).interface[:, None],
                self.rest(number),
                assumptions=self.inputs.ship.assumptions,
            ),
            interface=self.in_flow(number).interface,
            behind=self.unknowns.earth_conductance_at(berth),
            assumptions=self.inputs.ship.assumptions,
        )
        return self._straight.setdefault(number, fresh)

    def held(self, _: int) -> HeldSteel | None:
        """Return what her metal loses where anodes hold it at a berth; None: none."""
        return None

    def own_metals(self, number: int) -> Array:
        """Return what her own metals add at bare steel, (samples, wetted) [A/m²].

        At a berth, with the paint midway in this epoch: what leaves is brought to the
        bare area of now. A stay partly under way is so long in each of two states.
        """
        berth = self.inputs.periods[number].berth
        if not berth.afloat or not has_own_metals(self._metals):
            return np.zeros((len(self.bare), len(self.wet)))
        part = share_under_way(berth)
        density = np.zeros((len(self.bare), len(self.wet)))
        for moving, share in ((False, 1.0 - part), (True, part)):
            if share > 0.0:
                density += share * self._own_metals(moving).density
        return np.asarray(density * (self.paint / self.bare)[:, self.wet])

    def _own_metals(self, moving: bool) -> OwnMetals:
        """Return what her own metals do at rest or under way, with this paint."""
        if moving not in self._own:
            inputs, rows = self.inputs, self.rows
            turns = np.full_like(self.unknowns.turns, moving)
            fresh = own_metals(
                inputs.hull,
                self._metals,
                self.paint[:, self.wet],
                replace(self.unknowns, turns=turns),
                inputs.metals.rows(rows),
                flow=inputs.zones.under_way[rows] if moving else 1.0,
                start=self._own_start.get(moving),
            )
            self._own[moving], self._own_start[moving] = fresh, fresh.potential
        return self._own[moving]

    def flow(self, number: int, leak: SystemCurrents) -> CurrentSource:
        """Return where the currents of one system leave the steel."""
        inputs, amps = self.inputs, leak.amps
        if leak.lamps is not None:
            amps = np.concatenate([amps, leak.lamps[:, :, None]], axis=2)
        density = self.density(number, leak.hertz)
        if leak.current == "ac":  # counted as so much of mains frequency
            mains = inputs.zones.fraction[self.rows][:, self.wet]
            exponent = inputs.zones.ac_exponent[self.rows][:, None]
            counts = dissolving_fraction(mains, leak.hertz, exponent=exponent) / mains
            density = density * counts
        return CurrentSource(
            amps=amps,
            transfer=self.routed(
                number, leak, self.solved(number, leak.hertz), slice(None)
            ),
            faults=leak.faults,
            density=density,
        )

    def routed(
        self,
        number: int,
        leak: SystemCurrents,
        solved: Transfer,
        sample: slice | IntArray,
    ) -> Array:
        """Return what leaves per ampere of each fault, and of the lamps if there are.

        By a transfer of some samples; of shape (samples, sources, wetted). [-]
        """
        ashore = self.ashore[number][leak.faults]
        cables = self.inputs.cables
        entry, back = (of[sample][:, leak.faults] for of in (self.entry, self.back))
        board = None
        if leak.lamps is not None and leak.system is not None:
            board = lamp_board(self.inputs, leak.system)
        return source_transfer(solved, entry, ashore, cables, back, board)
