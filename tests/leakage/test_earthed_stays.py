"""Tests of leakage.earthed_stays: what standing at an earthed quay says of a fault."""

from dataclasses import replace

import numpy as np
import pytest
from ships import berth, fault, ship

from corrosion.foundation.sampling import Draws
from corrosion.leakage.earthed_stays import DrawnFaults, amps_ashore, stood_earthed
from corrosion.leakage.fault_unknowns import FaultUnknowns, sample_faults
from corrosion.leakage.wander import Wander
from corrosion.records.dates import as_written
from corrosion.records.ship import Fault

AS_OF = as_written("2011").earliest
QUAY = berth("2010-06-01", None, "shore earthed", earth_cable=0.1, shore_earth=0.9)
STILL = Wander(0.0, 0.0, 1e9)


def asked(one: Fault, ohms: float) -> tuple[bool, float]:
    her = ship(faults=(one,), berths=(QUAY,))
    every = np.full((2, 1), ohms)
    pole, none = np.zeros((2, 1), dtype=np.int64), np.zeros((2, 1))
    samples = DrawnFaults(every, pole, none, np.full((2, 1), 10.0), none)
    possible, opened = stood_earthed(her, STILL, samples, AS_OF)
    return bool(possible[0, 0]), float(opened[0, 0])


def test_what_stood_at_the_quay_passed_less_than_opens_a_branch() -> None:
    # 254 V, and 0.9 beside 0.1 ohm back: 10 A at 25.3 ohm.
    stands = replace(fault("F", "2010-05-01"), standing=True)
    assert asked(stands, 25.2) == (False, np.inf)
    assert asked(stands, 25.4) == (True, np.inf)
    gone = fault("F", "2010-05-01", "2010-05-20")  # before she came there
    assert asked(gone, 1.0) == (True, np.inf)
    assert asked(fault("F", "2010-05-01", "2010-09-01"), 1.0) == (False, np.inf)
    assert asked(replace(stands, source="welding"), 1.0) == (True, np.inf)


def test_what_nobody_wrote_of_ended_as_she_came() -> None:
    came = as_written("2010-06-01").middle
    assert asked(fault("F", "2010-05-01"), 25.2) == (True, came + 60.0)
    assert asked(fault("F", "2010-05-01"), 25.4) == (True, np.inf)
    assert asked(fault("F", "2010-07-01"), 1.0) == (True, np.inf)  # found there


def test_the_current_at_an_earthed_berth_by_hand() -> None:
    her = ship(berths=(QUAY,))
    amps = amps_ashore(
        her, her.system("power"), QUAY, ohms=np.array([1.0]), pole=np.array([2])
    )
    assert amps == pytest.approx([440.0 / np.sqrt(3.0) / 1.09], rel=1e-6)


def drawn(**more: object) -> FaultUnknowns:
    one = replace(fault("F", "2010-05-01"), **more)  # type: ignore[arg-type]
    her = ship(faults=(one,), berths=(QUAY,))
    return sample_faults(her, Draws(512, 1, her.assumptions), as_of=AS_OF)


def test_a_standing_fault_of_which_nothing_was_read_is_no_dead_short() -> None:
    stands, free = drawn(standing=True), drawn(standing=False)
    low = [np.mean(x.resistance[:, 0] < 5.0) for x in (stands, free)]
    assert low[1] > 0.08
    assert low[0] < 0.5 * low[1]  # what wandered in between keeps some
    assert np.isinf(stands.spans.ended).all()
