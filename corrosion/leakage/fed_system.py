"""One system as it is fed and earthed: the currents of its faults, state by state."""

from dataclasses import dataclass, replace
from typing import cast

import numpy as np

from corrosion.foundation.types import Array, BoolArray, ComplexArray, IntArray
from corrosion.leakage.earthing import Earthing
from corrosion.leakage.fault_unknowns import FaultUnknowns
from corrosion.leakage.inference.likelihood import fixed_direct_return
from corrosion.leakage.lamp_load import conductor_volts_with_lamps
from corrosion.leakage.neutral_point import Phasors, healthy_admittance
from corrosion.leakage.time_intervals import ConstantIntervals, Stay
from corrosion.records.ship import Current, System


@dataclass(frozen=True, slots=True, kw_only=True)
class SystemCurrents:
    """Currents into the steel from one system during a step of time."""

    current: Current  # kind
    hertz: float  # frequency; 0 for direct current [Hz]
    faults: IntArray  # shape (leaking,): positions in `ship.faults`
    # shape (samples, stretches, leaking): into the steel; complex rms phasors
    # for alternating current [A]
    amps: Array | ComplexArray
    # shape (samples, stretches): from the conductors into the hull at the switchboard,
    # beyond what flows there without faults: through the detector lamps, an insulation
    # monitor, and a strap that earths the system aboard [A]
    lamps: Array | ComplexArray | None
    system: System | None  # None: currents of no system of hers


@dataclass(frozen=True, slots=True)
class _Leaking:
    """The stretches in which any fault of a system stands, a row each.

    ``stands``, (samples, stretches), says which they are; the rest is that of its row,
    with an axis of one stretch: conductances of the faults, (rows, 1, faults) [S], and
    the tie.
    """

    stands: BoolArray
    conductance: Array
    tie: Earthing

    def spread(self, values: Phasors) -> Phasors:
        """Return values of the rows where they belong, noughts elsewhere."""
        whole = np.zeros((*self.stands.shape, *values.shape[2:]), dtype=values.dtype)
        whole[self.stands] = values[:, 0]
        return cast("Phasors", whole)


@dataclass(frozen=True, slots=True)
class FedSystem:
    """One system as it is fed and earthed, for some samples."""

    system: System
    unknowns: FaultUnknowns
    rows: slice
    tie: Earthing
    stay: Stay

    def currents(
        self, intervals: ConstantIntervals, faults: IntArray
    ) -> list[SystemCurrents]:
        """Solve the faults that stand together, in every stretch that has any."""
        system, unknowns, rows = self.system, self.unknowns, self.rows
        stay = self.stay.start[rows], self.stay.end[rows]
        ohms = unknowns.path.at(rows, faults, stay, intervals.middle)
        stands = np.asarray(intervals.active.any(axis=2))
        if not stands.any():
            return []
        sample = np.nonzero(stands)[0]
        here = _Leaking(
            stands=stands,
            conductance=(intervals.active / ohms)[stands][:, None, :],
            tie=replace(self.tie, conductance=self.tie.conductance[sample]),
        )
        conductance = here.conductance
        pole = unknowns.pole[rows, faults][sample]
        count = len(system.conductors)
        place = np.arange(len(pole))[:, None] * count + pole
        on = np.bincount(place.ravel(), conductance.ravel(), len(pole) * count)
        y = healthy_admittance(
            system,
            capacitance=unknowns.capacitance[system.name][rows],
            insulation=unknowns.insulation[system.name][rows],
        )
        tied = self.tie.on_conductors(system)[:, None, :]
        healthy = cast("Phasors", np.reshape(y, (-1, 1, 1)) + tied)
        volts, lit, board = self._solved(
            here.tie, on.reshape(-1, 1, count) + healthy[sample]
        )
        if board is not None:
            _, _, usual = self._solved(self.tie, healthy)
            board = here.spread(board - cast("Phasors", usual)[sample])
        at_fault = np.take_along_axis(volts, pole[:, None, :], axis=2)
        amps = cast("Phasors", at_fault * conductance)
        direct = self._direct(here, lit, faults)
        size = np.abs(amps) if direct is None else np.hypot(np.abs(amps), direct[0])
        # More opens the branch, through the shore's earth or through another fault:
        # such a fault stood not.
        most = unknowns.trip[rows, None, faults][sample]
        kept = most / np.maximum(size, most)
        flows = [(system.current, amps, board)]
        if direct is not None:
            flows.append(("dc", direct[0], here.spread(direct[1])))
        return [
            self._leak(current, (here.spread(each * kept), lamps), intervals, faults)
            for current, each, lamps in flows
        ]

    def _leak(
        self,
        current: Current,
        flows: tuple[Phasors, Phasors | None],
        intervals: ConstantIntervals,
        faults: IntArray,
    ) -> SystemCurrents:
        """Return currents of faults and lamps, as read and logged where they were."""
        amps = self._as_read(flows[0], intervals, faults, current)
        return SystemCurrents(
            current=current,
            hertz=self.system.hertz if current == "ac" else 0.0,
            faults=faults,
            amps=with_log(self.unknowns, amps, intervals, faults, current),
            lamps=flows[1],
            system=self.system,
        )

    def _as_read(
        self,
        amps: Phasors,
        intervals: ConstantIntervals,
        faults: IntArray,
        current: Current,
    ) -> Phasors:
        """Let readings that no resistance explains stand in their own stay."""
        for column, fault in enumerate(faults.tolist()):
            for odd in self.unknowns.unexplained.get(fault, ()):
                if odd.berth != self.stay.berth or odd.current != current:
                    continue
                own = amps[:, :, column]
                turn = intervals.active[:, :, column] * np.ones_like(own)
                if current == "ac":
                    size = np.abs(own)
                    np.divide(own, size, out=turn, where=size > 0.0)
                amps[:, :, column] = turn * odd.amps[self.rows, None]
        return amps

    def _solved(
        self, tie: Earthing, admittance: Phasors
    ) -> tuple[Phasors, Array, Phasors | None]:
        """Return volts, what the lamps draw, and what flows in at the switchboard.

        Shape (samples, states, c) and (samples, states); None: nothing is there.
        """
        system, neutral = self.system, tie.neutral()[:, None]
        strapped = tie.at is not None and not tie.ashore
        volts, lit = conductor_volts_with_lamps(
            system.star_volts, admittance, system.lamps, neutral, law=self.unknowns.law
        )
        if system.lamps is None and not strapped:
            return volts, lit, None
        board = (volts * lit).sum(axis=-1)
        if strapped:
            board = board + tie.current(system, volts)
        return volts, lit, cast("Phasors", board)

    def _direct(
        self, here: _Leaking, lit: Array, faults: IntArray
    ) -> tuple[Array, Array] | None:
        """Return what direct sources behind faults of an alternating system drive.

        Through the faults and, at the switchboard, through lamps, monitor and strap,
        a row a state; None: nobody knows of any. At 0 Hz the windings join all
        conductors to one node. Its voltage to the hull balances what each source
        drives through its fault with what returns through insulation, lamps, monitor,
        tie and the other faults. [A]
        """
        system, unknowns, rows = self.system, self.unknowns, self.rows
        logged = (unknowns.logged.get(k) for k in faults.tolist())
        log = any(one is not None and one.current == "dc" for one in logged)
        log |= any(
            odd.current == "dc"
            for k in faults.tolist()
            for odd in unknowns.unexplained.get(k, ())
        )
        volts = unknowns.direct_volts[rows, None, faults]
        if system.current == "dc" or not (volts.any() or log):
            return None
        sample, tie = np.nonzero(here.stands)[0], here.tie
        insulation = unknowns.insulation[system.name][rows, None][sample]
        board = np.array([[fixed_direct_return(system, 1.0)]])
        if system.lamps is not None and system.lamps.ratio != 1.0:
            winding = system.lamp_winding or unknowns.winding[rows, None][sample]
            board = fixed_direct_return(replace(system, lamps=None), 1.0) + (
                len(system.conductors) / np.asarray(winding)
            )
        elif system.lamps is not None:
            board = board + lit.sum(axis=-1)
        if not tie.ashore:
            board = board + tie.conductance[:, None]
        back = len(system.conductors) / insulation + board
        if tie.ashore:
            back = back + tie.conductance[:, None]
        source = volts[sample]
        driven = (source * here.conductance).sum(axis=-1)
        node = -driven / (here.conductance.sum(axis=-1) + back)
        return (node[:, :, None] + source) * here.conductance, node * board


def with_log(
    unknowns: FaultUnknowns,
    amps: Array | ComplexArray,
    intervals: ConstantIntervals,
    faults: IntArray,
    current: Current,
) -> Array | ComplexArray:
    """Let a log stand in for the currents of the hours that it covers.

    Of alternating current the size is logged and the phase is the network's.
    """
    half = 0.5 * intervals.duration
    start, end = intervals.middle - half, intervals.middle + half
    for column, fault in enumerate(faults.tolist()):
        log = unknowns.logged.get(fault)
        if log is None or log.current != current:
            continue
        covered, mean = log.over(start, end)
        share = np.divide(
            covered,
            intervals.duration,
            out=np.zeros_like(covered),
            where=intervals.duration > 0.0,
        )
        share = np.minimum(share, 1.0) * intervals.active[:, :, column]
        own = amps[:, :, column]
        size = np.abs(own)
        if current == "ac":
            turn = np.divide(own, size, out=np.ones_like(own), where=size > 0.0)
            mean = mean * turn
        amps[:, :, column] = (1.0 - share) * own + share * mean
    return amps
