"""Tests of leakage.dated_states: in which state a coarse date lets a fault be read."""

from dataclasses import replace

import numpy as np
import pytest
from ships import AC, berth, fault, ship

from corrosion.foundation.sampling import Draws
from corrosion.leakage.conditions import occasions
from corrosion.leakage.dated_states import dated_states
from corrosion.leakage.fault_unknowns import sample_faults
from corrosion.records.dates import as_written
from corrosion.records.ship import Fault, Ship

QUAY = berth("2010-10-01", "2012-01-01", "shore earthed", earth_cable=0.2)
SEA = berth("2005", "2010-10-01", "own")
SAMPLES = 512


def drawn(one: Fault) -> tuple[Ship, np.ndarray, np.ndarray]:
    her = ship(faults=(one,), berths=(SEA, QUAY))
    as_of = as_written("2013").earliest
    found = sample_faults(her, Draws(SAMPLES, 1, her.assumptions), as_of=as_of)
    return her, found.resistance[:, 0], found.spans.found[:, 0]


def test_a_year_in_which_she_moved_leaves_two_states() -> None:
    one = fault("F", "2010", "2010")
    sea, quay = dated_states(ship(faults=(one,), berths=(SEA, QUAY)), one, AC)
    assert (sea.berth, quay.berth) == (SEA, QUAY)
    assert sea.end == quay.start == as_written("2010-10-01").middle
    assert (sea.tie.conductance, quay.tie.at) == (0.0, "star")
    day = fault("F", "2010-06-01", "2010")
    assert len(dated_states(ship(faults=(day,), berths=(SEA, QUAY)), day, AC)) == 1
    gone = fault("F", "2010", "2010-09-01")  # cleared before she came
    assert len(dated_states(ship(faults=(gone,), berths=(SEA, QUAY)), gone, AC)) == 1
    ashore = replace(one, returns="ashore")
    (only,) = dated_states(ship(faults=(ashore,), berths=(SEA, QUAY)), ashore, AC)
    assert only.berth == QUAY


def test_the_evidence_has_both_states_by_their_share_of_the_year() -> None:
    one = fault("F", "2010", "2010", amps=12.0)
    her = ship(faults=(one,), berths=(SEA, QUAY))
    ((_, said),) = occasions(her, one, AC)
    days = [273.5, 91.5]  # until the middle of 1 October, and from there
    assert [one.share for one in said.perhaps] == pytest.approx(
        [d / 365.0 for d in days], rel=1e-4
    )
    assert sum(share for share, _ in said.by_state()) == pytest.approx(1.0)


def test_a_current_that_only_the_quay_drives_was_read_there() -> None:
    # 254 V and some 0.17 ohm back: 12 A through 21 ohm. Afloat the capacitance lets a
    # fraction of an ampere through, whatever the fault: it used to be called a slip,
    # and the fault one of unknown resistance.
    one = fault("F", "2010", "2010", amps=12.0)
    _, ohms, found = drawn(one)
    assert np.quantile(ohms, [0.1, 0.9]) == pytest.approx([20.0, 22.0], rel=0.06)
    assert np.mean(found >= as_written("2010-10-01").earliest) > 0.97


def test_a_current_that_either_state_may_drive_leaves_two_resistances() -> None:
    # 0.1 A: some 2.5 kohm at the quay, or a low one whose return is capacitance.
    one = fault("F", "2010", "2010", amps=0.1)
    _, ohms, found = drawn(one)
    at_quay = found >= as_written("2010-10-01").middle
    assert 0.02 < at_quay.mean() < 0.98
    assert np.median(ohms[at_quay]) == pytest.approx(2.5e3, rel=0.1)
    assert np.median(ohms[~at_quay]) < 0.99 * np.median(ohms[at_quay])
