"""Tests of leakage.double_faults: what standing beside others says of a fault."""

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from records.written import write_ship
from ships import AC, berth, fault, ship

from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.sampling import Draws
from corrosion.leakage.double_faults import Together, stood_together
from corrosion.leakage.earthed_stays import DrawnFaults
from corrosion.leakage.fault_pool import most_amps
from corrosion.leakage.wander import Wander
from corrosion.presentation.terminal.cli import cli
from corrosion.records.dates import as_written
from corrosion.records.measured import Reading
from corrosion.records.ship import Fault

AS_OF = as_written("2011").earliest
STILL = Wander(0.0, 0.0, 1e9)
A = replace(fault("A", "2010-03-01"), standing=True)
B = replace(fault("B", "2010-05-01"), standing=True)


def together(*faults: Fault) -> Together:
    found = stood_together(ship(faults=faults), AC, faults, STILL, AS_OF)
    assert found is not None
    return found


def drawn(
    *ohms: list[float], poles: tuple[int, ...] = (0, 1), direct: float = 0.0
) -> DrawnFaults:
    """Two faults or more, a list of samples each, of which a branch carries 10 A."""
    every = np.array(ohms).T
    pole = np.broadcast_to(np.array(poles), every.shape)
    volts = np.zeros(every.shape)
    volts[:, 0] = direct
    return DrawnFaults(
        every, pole, np.zeros(every.shape), np.full(every.shape, 10.0), volts
    )


def test_of_two_on_different_conductors_one_is_drawn_again() -> None:
    """440 V: 10 A at 44 ohm in all; which of them is not known, so the first is."""
    at = together(A, B)
    short = drawn([20.0, 1e4], [23.9, 23.9])
    assert at.stood(short).tolist() == [[1, 0], [1, 1]]
    assert at.stood(drawn([20.0, 1e4], [25.0, 25.0])).tolist() == [[0, 0], [1, 1]]
    one_conductor = drawn([0.1, 1e4], [0.1, 1e4], poles=(0, 0))
    assert at.stood(one_conductor).tolist() == [[0, 0], [1, 1]]


def test_direct_and_alternating_current_heat_one_fuse() -> None:
    """440 V through 55 ohm: 8 A; a direct source of 385 V beside it 7 A: 10.6 A."""
    at = together(A, B)
    ohms = [25.0, 1e4], [30.0, 30.0]
    assert at.stood(drawn(*ohms))[0, 0] == 0
    assert at.stood(drawn(*ohms, direct=385.0))[0, 0] == 1


def test_who_may_have_ended_ended_as_it_opened_and_says_nothing_of_others() -> None:
    c = fault("C", "2010-04-01")
    at = together(A, B, c)
    shorts = drawn([1e4, 1e4], [20.0, 1e4], [1.0, 1.0], poles=(0, 1, 2))
    assert (at.stood(shorts) == np.arange(2)[:, None]).all()
    opened = at.opened(shorts)
    assert np.isinf(opened[:, :2]).all()
    assert B.found.latest < opened[0, 2] < AS_OF  # once B stood, and not before
    assert np.isinf(opened[1, 2])


def test_it_is_silent_where_nothing_stood_together_for_certain() -> None:
    for faults in (
        (A,),
        (A, fault("B", "2010-05-01")),
        (fault("A", "2010-03-01", "2010-04-01"), B),
    ):
        assert stood_together(ship(faults=faults), AC, faults, STILL, AS_OF) is None
    quay = berth("2010-01-01", None, "shore earthed", earth_cable=0.1)
    her = ship(faults=(A, B), berths=(quay,))
    assert stood_together(her, AC, (A, B), STILL, AS_OF) is None


def test_what_a_branch_carries_is_as_drawn_or_as_clamped_at_least() -> None:
    faults = (
        A,
        B,
        fault("C", "2010-05-01", amps=51.0, conductor="a"),
    )
    table = default_assumptions()
    read = Reading(
        time=as_written("2010-06-01 10:00"), system="power", fault="B", amps=7.5
    )
    her = ship(
        faults=faults,
        readings=(read, replace(read, amps=99.0, clamped="whole cable")),
    )
    most = most_amps(her, Draws(4, 1, table), np.full((4, 3), 1e-3))
    low = 10.0 * 2.0**-3.0902  # the thousandth of a lognormal law, as tables have it
    assert most[0] == pytest.approx([low, 7.5, 51.0], rel=5e-3)


def told(tmp_path: Path) -> dict[str, float]:
    """Return what is told of two dead shorts that stood for a hundred days."""
    two = tuple(
        fault(
            name,
            "2010-01-01 00:00",
            "2010-04-11 00:00",
            good="2010-01-01 00:00",
            conductor=conductor,
            insulation=0.5,
        )
        for name, conductor in (("A", "a"), ("B", "b"))
    )
    her = ship(
        faults=two,
        assumptions=default_assumptions().override(
            "sustained_earthed_amps", median=16.0, spread=1.0, why="as fitted"
        ),
    )
    write_ship(her, tmp_path / "teal")
    words = f"estimate {tmp_path / 'teal'} --as-of 2010-12-31 --samples 64 --json -"
    said = CliRunner().invoke(cli, words.split(), catch_exceptions=False)
    assert said.exit_code == 0, said.output
    totals: dict[str, dict[str, float]] = json.loads(said.stdout)["totals"]
    return totals["charge_ah_ac"]


def test_no_more_is_told_of_two_shorts_than_their_fuses_carry(tmp_path: Path) -> None:
    """By hand: 440 V through 1 ohm are 440 A; two fuses of 16 A, 2,400 h each."""
    charge = told(tmp_path)
    assert charge["p90"] <= 2 * 16.0 * 2400.0 * (1.0 + 1e-9)
    assert charge["p10"] > 0.1 * charge["p90"]
