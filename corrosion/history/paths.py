"""The routes of the current for a block of samples, while time goes on."""

from collections.abc import Sequence

import numpy as np

from corrosion.foundation.types import Array, IntArray
from corrosion.foundation.units import MAINS, YEAR
from corrosion.history.inputs import ModelInputs
from corrosion.hull.injection import lamp_transfer, source_transfer
from corrosion.hull.nonlinear.polarisation import BareSteel, polarisation
from corrosion.hull.nonlinear.secant import LinearCheck
from corrosion.hull.water_currents import (
    Network,
    Transfer,
    contact_resistance,
    network,
    shore_connection,
    spreading_resistance,
    total_over_bare_current,
    transfer,
)
from corrosion.leakage.fault_currents import SystemCurrents, returns_ashore
from corrosion.records.ship import System
from corrosion.wastage.alternating import dissolving_fraction
from corrosion.wastage.apportionment import CurrentSource
from corrosion.wastage.pits import holiday_concentration

__all__ = ["CurrentPaths", "coating_epochs"]

_FACTOR = 1.4  # by which a zone's contact changes before the paths are solved anew
_LOOK = 0.25 * YEAR  # how often it is looked whether they are due
_ROWS = 64  # samples whose medians tell


def coating_epochs(inputs: ModelInputs) -> Array:
    """Return when the paths are solved anew for other paint [s].

    At the date of every painting, docking and look at the paint, where it may jump;
    wherever the contact of any wetted zone with the water has changed by a factor of
    1.4 either way since; and at the date of the estimate, so that no painting to come
    moves what has been.
    """
    start, end = inputs.time_grid.start, float(inputs.time_grid.moments[-1])
    zones, ship = inputs.zones, inputs.ship
    dated = [ship.last_docking, *(work.date for work in ship.works)]
    known = np.concatenate(
        [
            zones.paint.written,
            zones.paint.seen_at,
            [when.middle for when in dated if when is not None],
            [inputs.time_grid.as_of],
        ]
    )
    begun = np.append(known[(known > start) & (known < end)], start)
    dates = np.unique(np.append(begun, np.arange(start, end, _LOOK)))
    wet, rows = inputs.hull.body.zones, slice(0, _ROWS)
    paths = inputs.paths.rows(rows)
    edges: list[float] = []
    last = np.ones(len(wet))
    for date in dates:
        bare = zones.bare(date, rows)[:, wet]
        ohms = contact_resistance(
            bare, inputs.hull.contact_area, paths.interface, paths.coating
        )
        now = np.median(ohms, axis=0)
        changed = np.abs(np.log(now / last)).max(initial=0.0)
        if date in begun or changed > np.log(_FACTOR):
            edges.append(float(date))
            last = now
    return np.array(edges)


class CurrentPaths:
    """The current paths of a block of samples, solved anew for berth and coating."""

    def __init__(self, inputs: ModelInputs, rows: slice, epochs: Array) -> None:
        self.inputs = inputs
        self.rows = rows
        self.epochs = epochs
        self.unknowns = inputs.paths.rows(rows)
        self.entry = inputs.entry[rows]
        self.wet = inputs.hull.body.zones
        self._edges = np.append(epochs, inputs.time_grid.moments[-1])
        self._networks: dict[float, Network] = {}
        self._kept: dict[tuple[int, float], Transfer] = {}
        self._straight: dict[int, LinearCheck] = {}
        self.epoch = 0
        self._ashore = [returns_ashore(inputs.ship, p.berth) for p in inputs.periods]
        held = np.array([inputs.ship.zones[k].protection for k in self.wet])
        interface = self.unknowns.interface[:, None]
        self.rest = np.zeros((len(interface), len(held)))
        if held.any():
            self.rest += polarisation(
                -held, interface, assumptions=inputs.ship.assumptions
            )

    def turn_to(self, a: float, b: float) -> None:
        """Move on to the slab between two dates."""
        self.early, self.late = a, b
        epoch = int(np.searchsorted(self._edges, a, side="right"))
        if epoch != self.epoch:  # what was solved for older paint is large, and done
            self.epoch = epoch
            self._networks.clear()
            self._kept.clear()
            self._straight.clear()
            midway = float(self._edges[epoch - 1 : epoch + 1].mean())
            self.paint = self.inputs.zones.bare(midway, self.rows)
        self.paint_now = self.inputs.zones.paint.at(0.5 * (a + b), self.rows)
        self.bare = self.paint_now.bare

    def contact(self, hertz: float, bare: Array) -> Array:
        """Return the resistance of each wetted zone to its water [Ω]."""
        return contact_resistance(
            bare[:, self.wet],
            self.inputs.hull.contact_area,
            self.unknowns.interface_at(hertz),
            self.unknowns.coating,
        )

    def solved(self, number: int, hertz: float) -> Transfer:
        """Return the transfer at a berth and a frequency."""
        kept = self._kept.get((number, hertz))
        if kept is not None:
            return kept
        berth = self.inputs.periods[number].berth
        loop = shore_connection(self.inputs.hull, berth, self.unknowns, hertz=hertz)
        fresh = transfer(self._network(hertz), loop)
        self._kept[number, hertz] = fresh
        return fresh

    def _network(self, hertz: float) -> Network:
        """Return steel, interfaces and water, with the paint midway in this epoch."""
        kept = self._networks.get(hertz)
        if kept is not None:
            return kept
        fresh = network(
            self.inputs.hull,
            self.contact(hertz, self.paint),
            hertz=hertz,
            structure=self.unknowns.structure,
            spreading=spreading_resistance(
                self.inputs.hull,
                self.paint[:, self.wet],
                interface=self.unknowns.interface_at(hertz),
                coating=self.unknowns.coating,
            ),
        )
        self._networks[hertz] = fresh
        return fresh

    def straight(self, number: int) -> LinearCheck:
        """Return the linear network of direct current at a berth, to be judged."""
        kept = self._straight.get(number)
        if kept is not None:
            return kept
        berth = self.inputs.periods[number].berth
        fresh = LinearCheck(
            self._network(0.0),
            berth,
            shore_connection(self.inputs.hull, berth, self.unknowns, hertz=0.0),
            contact=self.contact(0.0, self.paint),
            steel=BareSteel.at_rest(
                self.unknowns.interface[:, None],
                self.rest,
                assumptions=self.inputs.ship.assumptions,
            ),
            interface=self.unknowns.interface,
            assumptions=self.inputs.ship.assumptions,
        )
        self._straight[number] = fresh
        return fresh

    def injected(
        self, number: int, leaks: Sequence[SystemCurrents], sample: IntArray
    ) -> Array:
        """Return the direct current into the steel of each zone, (states, zones) [A].

        Of leaks of one stretch each, in samples of this block.
        """
        inputs, ashore = self.inputs, self._ashore[number]
        into = np.zeros((len(sample), len(inputs.ship.zones)))
        each = np.arange(len(sample))[:, None]
        for leak in leaks:
            if leak.current == "ac":
                continue
            amps = leak.amps[:, 0].real
            np.add.at(into, (each, self.entry[sample][:, leak.faults]), amps)
            aboard = amps @ ~ashore[leak.faults]
            if leak.lamps is not None and leak.system is not None:
                lamps = leak.lamps[:, 0].real
                into[:, self._board(leak.system)] += lamps
                aboard = aboard + lamps
            into -= aboard[:, None] * inputs.cables
        return into

    def _board(self, system: System) -> int:
        """Return the zone at which a system's lamps meet the hull."""
        board = system.switchboard_zone
        inputs = self.inputs
        return inputs.hull.reference if board is None else inputs.ship.zone_index(board)

    def flow(self, number: int, leak: SystemCurrents) -> CurrentSource:
        """Return where the currents of one system leave the steel."""
        inputs, amps = self.inputs, leak.amps
        if leak.lamps is not None:
            amps = np.concatenate([amps, leak.lamps[:, :, None]], axis=2)
        density = self.density(leak.hertz)
        if leak.current == "ac":  # counted as so much of mains frequency
            mains = inputs.zones.fraction[self.rows][:, self.wet]
            exponent = inputs.zones.ac_exponent[self.rows][:, None]
            counts = dissolving_fraction(mains, leak.hertz, exponent=exponent) / mains
            density = density * counts
        return CurrentSource(
            amps=amps,
            transfer=self.routed(
                number, leak, self.solved(number, leak.hertz), self.entry
            ),
            faults=leak.faults,
            density=density,
        )

    def routed(
        self, number: int, leak: SystemCurrents, solved: Transfer, entry: IntArray
    ) -> Array:
        """Return what leaves per ampere of each fault, and of the lamps if there are.

        By a transfer, for faults that enter at some zones; of shape (samples, sources,
        wetted). [-]
        """
        ashore = self._ashore[number][leak.faults]
        cables = self.inputs.cables
        routes = source_transfer(solved, entry[:, leak.faults], ashore, cables)
        if leak.lamps is None or leak.system is None:
            return routes
        lamps = lamp_transfer(solved, self._board(leak.system), cables)
        return np.concatenate([routes, lamps], axis=1)

    def total_over_bare_current(self) -> tuple[Array, Array]:
        """Return what leaves a zone over what leaves its bare steel, (samples, wetted).

        Sound paint lets a little through, which dissolves steel beneath it: it counts
        as metal, not as depth at the bare spots. Of direct current by the linear law,
        and of alternating current of mains frequency. [-]
        """
        bare, unknowns = self.bare[:, self.wet], self.unknowns
        direct, alternating = (
            total_over_bare_current(
                bare, unknowns.interface_at(hertz), unknowns.coating
            )
            for hertz in (0.0, MAINS)
        )
        return direct, alternating

    def at_holidays(self) -> tuple[Array, Array]:
        """Return density at small holidays over the mean, (samples, 1) [-].

        Of direct and of alternating current: they draw more than the mean of all bare
        steel, the more so the less the interface resists, as it does for alternating
        current.
        """
        rho = self.inputs.hull.body.resistivity
        direct, alternating = (
            holiday_concentration(
                rho,
                interface=self.unknowns.interface_at(hertz),
                assumptions=self.inputs.draws.assumptions,
            )[:, None]
            for hertz in (0.0, MAINS)
        )
        return direct, alternating

    def density(self, hertz: float) -> Array:
        """Return density at bare steel per ampere leaving each zone [1/m²]."""
        interface = self.unknowns.interface_at(hertz)[:, None]
        share = self.inputs.hull.share_flooded
        return self.contact(hertz, self.bare) * share / interface
