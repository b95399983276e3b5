"""Tests of leakage.fault_currents, in the order: laws, edges."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from ships import AC, DC, berth, current, fault, ship

from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.sampling import Draws
from corrosion.leakage.fault_currents import fault_currents, returns_ashore
from corrosion.leakage.fault_unknowns import FaultUnknowns
from corrosion.leakage.fault_unknowns import sample_faults as sample_at
from corrosion.leakage.fed_system import SystemCurrents
from corrosion.leakage.network import solve
from corrosion.leakage.neutral_point import healthy_admittance
from corrosion.leakage.time_intervals import ConstantIntervals, Stay, constant_intervals
from corrosion.records.dates import as_written
from corrosion.records.ship import Berth, Fault, LampSet, Ship, System

DRAWS = Draws(32, 1, default_assumptions())
AFLOAT = berth(None, None)
ASHORE = berth(None, None, "shore earthed", earth_cable=0.2, shore_earth=0.8)
LAMPS = LampSet(volts=127.0, watts=15.0, ratio=2.0)


EARTH = 0.8  # shore earth to remote earth [Ω]


NO_TIME = np.zeros(4096)
AS_OF = as_written("2010").earliest


def sample_faults(one: Ship, draws: Draws) -> FaultUnknowns:
    """Return the unknowns, read and asked for at once: nothing wanders or is direct."""
    found = sample_at(one, draws, as_of=AS_OF)
    then = np.zeros_like(found.path.moment)
    still = replace(found.path, moment=then, turned=then)
    none = np.zeros_like(found.direct_volts)
    return replace(found, path=still, direct_volts=none)


def leaking(
    one: Ship,
    unknowns: FaultUnknowns,
    at: Berth = AFLOAT,
    *,
    rows: slice = slice(None),
    earth: float = EARTH,
) -> list[SystemCurrents]:
    """Return the currents of all faults standing together in a single stretch."""
    standing = np.arange(len(one.faults))
    count = len(unknowns.place[rows])
    return fault_currents(
        one,
        unknowns,
        Stay(
            berth=at,
            start=NO_TIME[: len(unknowns.place)],
            end=NO_TIME[: len(unknowns.place)],
        ),
        intervals=ConstantIntervals(
            np.zeros((count, 1)),
            np.zeros((count, 1)),
            np.ones((count, 1, len(standing)), dtype=np.bool_),
        ),
        standing=standing,
        rows=rows,
        earth=(
            np.full(count, earth),
            np.full(count, 1.0 / at.earth_cable if at.earth_cable else 0.0),
        ),
    )


def closed(one: Ship, draws: Draws = DRAWS) -> FaultUnknowns:
    """Return samples of faults whose branches nothing opens, whatever they carry."""
    unknowns = sample_faults(one, draws)
    return replace(unknowns, trip=np.full(unknowns.trip.shape, 1e9))


def resistive(name: str, conductor: str, ohms: float, **more: Any) -> Fault:
    return fault(name, "2003-06-10", conductor=conductor, insulation=ohms, **more)


def test_a_clamped_fault_carries_what_was_clamped_in_the_state_of_its_reading() -> None:
    one = ship(faults=(fault("F", "2003", conductor="b", amps=0.4, insulation=900.0),))
    unknowns = sample_faults(one, Draws(512, 1, default_assumptions()))
    (leak,) = leaking(one, unknowns)
    size = np.abs(leak.amps[:, 0, 0])
    assert np.median(size) == pytest.approx(0.4, rel=0.03)
    assert 0.5 * np.ptp(np.quantile(size, [0.1587, 0.8413])) < 0.03
    system = replace(
        AC,
        capacitance=float(unknowns.capacitance["power"][3]),
        insulation=float(unknowns.insulation["power"][3]),
    )
    volts = solve(system, [("b", unknowns.resistance[3, 0])]).hull_volts[1]
    assert np.angle(leak.amps[3, 0, 0]) == pytest.approx(np.angle(volts), rel=1e-9)


def test_a_clamp_shows_a_magnitude_and_the_conductor_gives_the_direction() -> None:
    for conductor, sign in (("+", 1.0), ("-", -1.0)):
        one = ship(
            faults=(
                fault(
                    "F",
                    "2003",
                    system="battery",
                    current="dc",
                    amps=0.01,
                    conductor=conductor,
                ),
            )
        )
        (leak,) = leaking(one, sample_faults(one, DRAWS))
        assert (sign * leak.amps.real > 0.0).all()


@pytest.mark.parametrize("lamps", [None, LAMPS])
@pytest.mark.parametrize(
    ("system", "conductors"), [(AC, ("a", "c", "c")), (DC, ("+", "-", "-"))]
)
def test_what_is_not_measured_is_solved_sample_by_sample(
    system: System, conductors: tuple[str, ...], lamps: LampSet | None
) -> None:
    own = replace(system, lamps=lamps)
    rows = tuple(
        resistive(f"F{k}", pole, 10.0 ** (k + 1), system=own.name, current=own.current)
        for k, pole in enumerate(conductors)
    )
    one = ship(systems=(own,), faults=rows)
    unknowns = closed(one)
    (leak,) = leaking(one, unknowns)
    for s in (0, 7, 31):
        alone = replace(
            own,
            capacitance=float(unknowns.capacitance[own.name][s]),
            insulation=float(unknowns.insulation[own.name][s]),
        )
        faults = list(zip(conductors, unknowns.resistance[s], strict=True))
        solved = solve(alone, faults, lamps=lamps is not None)
        assert leak.amps[s, 0] == pytest.approx(solved.fault_amps, rel=1e-9)
        if lamps is not None:
            assert leak.lamps is not None
            lit = solved.lamp_amps.sum()
            assert leak.lamps[s, 0] == pytest.approx(lit, abs=1e-9 * abs(lit) + 1e-12)


def test_faults_on_two_conductors_carry_the_voltage_between_them() -> None:
    one = ship(faults=(resistive("A", "a", 2.0), resistive("B", "b", 3.0)))
    unknowns = closed(one)
    (leak,) = leaking(one, unknowns)
    volts = leak.amps[:, 0] * unknowns.resistance
    between = AC.star_volts[0] - AC.star_volts[1]
    assert volts[:, 0] - volts[:, 1] == pytest.approx(np.full(32, between), rel=1e-9)
    # One loop: what goes in at one comes out at the other, but for the capacitance.
    assert np.abs(leak.amps.sum(axis=2)).max() < 0.5
    loop = 440.0 / unknowns.resistance.sum(axis=1)
    assert np.abs(leak.amps[:, 0, 0]) == pytest.approx(loop, rel=0.02)


def test_charge_is_conserved_with_what_returns() -> None:
    one = ship(
        systems=(replace(AC, lamps=LAMPS),),
        faults=(resistive("A", "a", 30.0), resistive("B", "b", 500.0)),
    )
    unknowns = sample_faults(one, DRAWS)
    (leak,) = leaking(one, unknowns)
    assert leak.lamps is not None
    healthy = healthy_admittance(
        AC,
        capacitance=unknowns.capacitance["power"],
        insulation=unknowns.insulation["power"],
    )
    # Conductor c is on no fault: its voltage from those that are.
    at = leak.amps[:, 0] * unknowns.resistance
    third = at[:, 0] + (AC.star_volts[2] - AC.star_volts[0])
    returned = healthy * (at.sum(axis=1) + third)
    total = leak.amps[:, 0].sum(axis=1) + leak.lamps[:, 0] + returned
    largest = np.abs(leak.amps[:, 0]).max(axis=1)
    assert (np.abs(total) < 1e-9 * largest).all()


def test_only_those_that_stand_carry_current_and_each_stretch_is_solved_alone() -> None:
    one = ship(faults=(resistive("A", "a", 20.0), resistive("B", "b", 30.0)))
    unknowns = closed(one)
    began = np.tile([1.0, 3.0], (32, 1))
    ended = np.tile([5.0, np.inf], (32, 1))
    cut = constant_intervals(began, ended, np.zeros(32), np.full(32, 9.0))
    (leak,) = fault_currents(
        one,
        unknowns,
        Stay(berth=AFLOAT, start=NO_TIME[:32], end=NO_TIME[:32]),
        intervals=cut,
        standing=np.arange(2),
        rows=slice(None),
        earth=(np.ones(32), np.zeros(32)),
    )
    stands = np.abs(leak.amps[0]) > 0.0
    assert stands.tolist() == [
        [False, False],
        [True, False],
        [True, True],
        [False, True],
    ]
    assert np.abs(leak.amps[:, 2]).min() > 2.0  # together: from phase to phase
    assert np.abs(leak.amps[:, (1, 3)]).max() < 1.0


def test_a_block_of_rows_is_that_block_of_the_whole() -> None:
    one = ship(faults=(resistive("A", "a", 20.0), current("W", "2003", "2004", 9.0)))
    unknowns = sample_faults(one, DRAWS)
    whole, part = leaking(one, unknowns), leaking(one, unknowns, rows=slice(8, 20))
    for all_rows, some in zip(whole, part, strict=True):
        assert some.amps == pytest.approx(all_rows.amps[8:20], rel=1e-14)


@pytest.mark.parametrize("cable", [None, 30.0])
def test_an_earthed_supply_drives_the_fault_from_star_to_shore(
    cable: float | None,
) -> None:
    one = ship(faults=(resistive("A", "a", 400.0),))
    unknowns = sample_faults(one, DRAWS)
    (leak,) = leaking(one, unknowns, replace(ASHORE, earth_cable=cable), earth=90.0)
    earth = 90.0 if cable is None else 90.0 * 30.0 / (90.0 + 30.0)
    healthy = healthy_admittance(
        AC,
        capacitance=unknowns.capacitance["power"],
        insulation=unknowns.insulation["power"],
    )
    # A balanced star behind the earth and the three conductors' own admittances.
    behind = 1.0 / (1.0 / earth + 3.0 * healthy)
    expected = AC.star_volts[0] / (unknowns.resistance[:, 0] + behind)
    assert leak.amps[:, 0, 0] == pytest.approx(expected, rel=1e-9)


def test_an_earthed_supply_trips_on_more_than_stands() -> None:
    one = ship(faults=(resistive("A", "a", 0.5), resistive("B", "b", 0.4)))
    # many: what a fault stands is drawn again together with its resistance
    unknowns = sample_faults(one, Draws(4096, 1, default_assumptions()))
    (leak,) = leaking(one, unknowns, ASHORE)
    size = np.abs(leak.amps[:, 0])
    assert (size <= unknowns.trip * (1.0 + 1e-12)).all()
    solid = unknowns.resistance.sum(axis=1) < 2.0  # but for slips of the pen
    assert solid.mean() > 0.6  # an insulation test stands for service within 2
    assert size[solid] == pytest.approx(unknowns.trip[solid], rel=1e-12)
    assert np.median(unknowns.trip) == pytest.approx(
        default_assumptions().value("sustained_earthed_amps"), rel=0.02
    )
    (afloat,) = leaking(one, unknowns)  # through each other: as through the earth
    assert np.abs(afloat.amps[:, 0])[solid] == pytest.approx(
        unknowns.trip[solid], rel=1e-12
    )


def test_a_system_of_its_own_aboard_is_not_earthed_by_the_shore() -> None:
    own = replace(AC, fed_from_shore=False)
    one = ship(systems=(own,), faults=(resistive("A", "a", 400.0),))
    unknowns = sample_faults(one, DRAWS)
    (ashore,), (afloat,) = leaking(one, unknowns, ASHORE), leaking(one, unknowns)
    assert (ashore.amps == afloat.amps).all()
    assert not returns_ashore(one, ASHORE).any()


def test_returns_where_the_record_says_else_where_the_berth_says() -> None:
    one = ship(
        faults=(
            fault("blank", "2003", amps=1.0),
            fault("aboard", "2003", amps=1.0, returns="aboard"),
            fault("ashore", "2003", amps=1.0, returns="ashore"),
            current("welding", "2003", "2004", 1.0),
        )
    )
    assert returns_ashore(one, AFLOAT).tolist() == [False, False, True, False]
    assert returns_ashore(one, ASHORE).tolist() == [True, False, True, True]
    isolated = berth(None, None, "shore isolated")
    assert (returns_ashore(one, isolated) == returns_ashore(one, AFLOAT)).all()


def test_adding_a_fault_leaves_the_numbers_of_the_others() -> None:
    first = (current("A", "2003", "2004", 1.0), current("B", "2003-05", "2005", 2.0))
    few, more = (
        sample_faults(ship(faults=rows), DRAWS)
        for rows in (first, (*first, current("C", "2001", "2004", 3.0)))
    )
    for name in ("amps", "place", "trip"):
        assert (getattr(few, name) == getattr(more, name)[:, :2]).all()
    assert (few.spans.found == more.spans.found[:, :2]).all()


def test_other_currents_come_as_measured_one_leak_a_kind() -> None:
    one = ship(
        faults=(
            current("W", "2003", "2004", 150.0, source="welding"),
            current("X", "2003", "2004", 3.0, current="ac"),
            current("Y", "2003", "2004", -1.0),
        )
    )
    unknowns = sample_faults(one, DRAWS)
    by_kind = {leak.current: leak for leak in leaking(one, unknowns)}
    assert by_kind["dc"].faults.tolist() == [0, 2]
    assert by_kind["ac"].faults.tolist() == [1]
    assert by_kind["dc"].amps[:, 0] == pytest.approx(unknowns.amps[:, (0, 2)])
    assert by_kind["ac"].amps.dtype == np.complex128
    assert by_kind["ac"].hertz == 60.0
    assert np.isnan(unknowns.resistance).all()


def test_no_fault_no_leak() -> None:
    one = ship()
    assert leaking(one, sample_faults(one, DRAWS)) == []


def test_what_was_never_read_stays_a_wide_prior() -> None:
    one = ship(faults=(Fault(fault="F", system="power", found=WHEN, current="ac"),))
    unknowns = sample_faults(one, Draws(2048, 1, default_assumptions()))
    row = default_assumptions()["fault_ohm"]
    logs = np.log(unknowns.resistance[:, 0])
    assert np.median(logs) == pytest.approx(np.log(row.median), abs=0.2)
    assert logs.std() == pytest.approx(np.log(row.geometric_sd), rel=0.1)
    assert np.bincount(unknowns.pole[:, 0]) == pytest.approx(2048 / 3, rel=0.1)


WHEN = as_written("2003")
