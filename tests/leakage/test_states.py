"""A reading in one state, the current in another: against a simulator and by hand."""

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from circuit_simulator import SPICE, simulated
from ships import berth, fault, ship

from corrosion.foundation.assumptions import Assumptions, default_assumptions
from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array
from corrosion.leakage.fault_currents import fault_currents
from corrosion.leakage.fault_unknowns import sample_faults
from corrosion.leakage.fed_system import SystemCurrents
from corrosion.leakage.time_intervals import ConstantIntervals, Stay
from corrosion.records.dates import as_written
from corrosion.records.measured import Reading
from corrosion.records.ship import Berth, Fault, LampSet, System

SEA = berth(None, "2003-06-20")
QUAY = berth("2003-06-20", None, "shore earthed", earth_none=True, shore_earth=0.5)
AS_OF = as_written("2004").earliest
POWER = System(
    name="power",
    kind="ac3",
    volts=440.0,
    hertz=60.0,
    capacitance=0.2e-6,
    insulation=4e5,
)
CAP = 20.0  # where a clamp on a solid fault tells the capacitance and no ohms


def known(wander: float = 1.0001) -> Assumptions:
    """Return a table in which what she states is exact, and instruments good to 5 %."""
    table = default_assumptions()
    for name in ("capacitance_factor", "insulation_factor", "insulation_test_factor"):
        table = table.override(name, median=1.0, spread=1.001)
    for name in ("insulation_tester_factor", "clamp_factor"):  # a step of the grid
        table = table.override(name, median=1.0, spread=1.05)
    table = table.override("clamp_resolution_ma", median=0.06, spread=1.0)
    table = table.override("sustained_earthed_amps", median=90.0, spread=1.001)
    for name in ("fault_ohm_wander", "fault_ohm_wander_year"):
        table = table.override(name, median=1.0, spread=wander)
    return table


def currents(  # noqa: PLR0913 - a ship, her fault, and the state asked for
    system: System,
    one: Fault,
    at: Berth,
    *,
    table: Assumptions | None = None,
    readings: tuple[Reading, ...] = (),
    berths: tuple[Berth, ...] = (SEA, QUAY),
    samples: int = 128,
) -> list[SystemCurrents]:
    """Return what a fault, read as written, carries a week later at a berth."""
    her = replace(
        ship(systems=(system,), faults=(one,), berths=berths),
        readings=readings,
        assumptions=table or known(),
    )
    unknowns = sample_faults(her, Draws(samples, 1, her.assumptions), as_of=AS_OF)
    week = as_written("2003-06-27").earliest
    conductor = 0.0 if at.earth_cable is None else 1.0 / at.earth_cable
    stay = Stay(
        berth=at, start=np.full(samples, week - 1e3), end=np.full(samples, week + 1e3)
    )
    return fault_currents(
        her,
        unknowns,
        stay,
        intervals=ConstantIntervals(
            np.full((samples, 1), 2e3),
            np.full((samples, 1), week),
            np.ones((samples, 1, 1), np.bool_),
        ),
        standing=np.arange(1),
        rows=slice(None),
        earth=(
            np.full(samples, at.shore_earth or 1.0),
            np.full(samples, conductor),
        ),
    )


def amps(found: list[SystemCurrents], kind: str = "ac") -> Array:
    (one,) = (each for each in found if each.current == kind)
    return np.abs(one.amps[:, 0, 0])


def standing(**more: Any) -> Fault:
    return fault("F", "2003-06-10 08:00", standing=True, **more)


def network(ohms: float, neutral: float) -> list[str]:
    """Return three phases on a star point that is tied to the hull through ohms."""
    volts = 440.0 / np.sqrt(3.0)
    lines = [f"rn n 0 {neutral}"]
    for name, turn in (("a", 0.0), ("b", -120.0), ("c", 120.0)):
        lines += [
            f"v{name} {name} n dc 0 ac {volts:.15g} {turn}",
            f"c{name} {name} 0 0.2u",
            f"ri{name} {name} 0 400k",
        ]
    return [*lines, "vm a x dc 0", f"rf x 0 {ohms}"]


@SPICE
@pytest.mark.published(
    source="ngspice, circuit simulator, run beside the test",
    where="clamped at sea, asked on an earthed quay: 440 V, 0.2 µF, 3 kΩ",
    status="computed",
)
def test_clamped_at_sea_and_asked_on_an_earthed_quay(tmp_path: Path) -> None:
    ac = [".control", "set numdgt=12", "ac lin 1 60 60", "print i(vm)", ".endc"]
    at_sea, ashore = (
        abs(simulated(tmp_path, [*network(3e3, neutral), *ac], ["i(vm)"])[0])
        for neutral in (1e12, 0.5)
    )
    read = standing(conductor="a", amps=at_sea)
    assert np.median(amps(currents(POWER, read, SEA))) == pytest.approx(
        at_sea, rel=0.03
    )
    found = amps(currents(POWER, read, QUAY))
    assert np.median(found) == pytest.approx(ashore, rel=0.06)
    assert ashore > 1.5 * at_sea


@SPICE
@pytest.mark.published(
    source="ngspice, circuit simulator, run beside the test",
    where="direct source behind a fault of an alternating system, aboard and ashore",
    status="computed",
)
def test_a_direct_component_follows_the_state(tmp_path: Path) -> None:
    # 90 V behind 150 Ω; back through 3 × 400 kΩ and a monitor of 12 kΩ, or the shore.
    system = replace(POWER, monitor=12e3)
    netlist = [
        "vs x y dc 90", "vm y n dc 0", "rx x 0 150",
        "ra n 0 400k", "rb n 0 400k", "rc n 0 400k", "rm n 0 12k",
    ]  # fmt: skip
    op = [".control", "set numdgt=12", "op", "print i(vm)", ".endc"]
    at_sea, ashore = (
        abs(simulated(tmp_path, [*netlist, f"rn n 0 {tie}", *op], ["i(vm)"])[0])
        for tie in (1e12, 0.5)
    )
    read = standing(conductor="a", insulation=150.0)
    row = Reading(
        time=as_written("2003-06-10 08:00"), fault="F", amps=at_sea, current="dc"
    )
    both = [
        amps(currents(system, read, at, readings=(row,)), "dc") for at in (SEA, QUAY)
    ]
    assert np.median(both[0]) == pytest.approx(at_sea, rel=0.03)
    assert np.median(both[1]) == pytest.approx(ashore, rel=0.05)
    assert ashore > 50.0 * at_sea


def test_a_direct_component_stands_beside_the_alternating_current() -> None:
    lit = replace(POWER, lamps=LampSet(volts=254.0, watts=25.0))
    read = standing(conductor="a", amps=0.15, insulation=90.0, current="dc")
    read = replace(read, readings=replace(read.readings, current="dc"))
    plain = replace(read, readings=replace(read.readings, amps=None, current=None))
    both = currents(lit, read, SEA)
    assert {each.current for each in both} == {"ac", "dc"}
    assert np.median(amps(both, "dc")) == pytest.approx(0.15, rel=0.05)
    alone = np.median(amps(currents(lit, plain, SEA)))
    assert np.median(amps(both)) == pytest.approx(alone, rel=0.2)
    (direct,) = (each for each in both if each.current == "dc")
    assert direct.hertz == 0.0
    assert direct.lamps is not None
    # What goes in at the fault comes out through the lamps, but for the insulation.
    back = direct.lamps[:, 0] / direct.amps[:, 0, 0]
    assert back == pytest.approx(np.full(len(back), -1.0), abs=0.02)


@pytest.mark.published(
    source="Ohm's law: a single-phase supply with one conductor earthed",
    where="230 V through 230 Ω is 1.0 A on the live wire and none on the earthed one",
    status="computed",
)
@pytest.mark.parametrize(
    ("kind", "volts", "earthed", "expected"),
    [
        ("ac1", 230.0, None, {"a": 1.0, "b": 0.0}),  # blank: b
        ("ac1", 230.0, "a", {"a": 0.0, "b": 1.0}),
        ("ac1", 230.0, "middle", {"a": 0.5, "b": 0.5}),  # split phase
        ("dc2", 230.0, "middle", {"+": 0.5, "-": 0.5}),  # three wires
        ("dc2", 230.0, None, {"+": 1.0, "-": 0.0}),  # blank: -
        ("ac3", 230.0 * np.sqrt(3.0), "star", {"a": 1.0, "c": 1.0}),
        ("ac3", 230.0, "c", {"a": 1.0, "b": 1.0, "c": 0.0}),  # a corner
        ("ac3", 230.0, "none", {"a": 0.0}),
    ],
)
def test_where_the_supply_is_earthed(
    kind: Any, volts: float, earthed: Any, expected: dict[str, float]
) -> None:
    system = System(
        name="power", kind=kind, volts=volts, hertz=50.0, capacitance=1e-12,
        insulation=1e9,
    )  # fmt: skip
    quay = replace(QUAY, earthed_at=earthed, shore_earth=0.02, earth_cable=0.02)
    current = system.current
    for conductor, size in expected.items():
        read = standing(conductor=conductor, insulation=230.0, current=current)
        found = currents(system, read, quay, berths=(quay,))
        assert np.median(amps(found, current)) == pytest.approx(
            size, rel=0.03, abs=1e-3
        )


def test_a_high_resistance_neutral_and_a_system_earthed_by_design() -> None:
    quay = replace(QUAY, earthing=2e3)
    read = standing(conductor="a", insulation=100.0)
    found = np.median(amps(currents(POWER, read, quay)))
    healthy = 3.0 * (1.0 / 4e5 + 2j * np.pi * 60.0 * 0.2e-6)
    behind = 1.0 / (1.0 / 2000.5 + healthy)
    assert found == pytest.approx(
        abs(440.0 / np.sqrt(3.0) / (100.0 + behind)), rel=0.01
    )
    battery = System(
        name="power", kind="dc2", volts=24.0, insulation=1e6, earthed_at="-",
        fed_from_shore=False,
    )  # fmt: skip
    live = standing(conductor="+", insulation=24.0, current="dc")
    (one,) = currents(battery, live, SEA)
    assert np.median(np.abs(one.amps)) == pytest.approx(1.0, rel=0.03)
    assert one.lamps is not None  # it returns through the strap at the switchboard
    assert one.lamps[:, 0] == pytest.approx(-one.amps[:, 0, 0], rel=1e-3)


def test_an_insulation_test_and_a_clamp_of_one_fault_agree_ashore() -> None:
    # Entered by insulation test the fault passed 230 times what it did by clamp.
    solid = 0.0574  # √3·ω·C·V on 0.2 µF: whatever its ohms below a kilohm or so
    table = known().override("fault_ohm", median=200.0, spread=20.0)
    clamped = amps(currents(POWER, standing(conductor="a", amps=solid), QUAY,
                            table=table))  # fmt: skip
    tested = amps(currents(POWER, standing(conductor="a", insulation=CAP), QUAY))
    assert np.median(clamped) > 10.0 * solid
    assert np.quantile(clamped, 0.9) > np.median(tested)


def test_away_from_its_reading_a_resistance_wanders() -> None:
    read = standing(conductor="a", insulation=3e3)
    still, wide = (
        0.5 * np.ptp(np.quantile(np.log(found), [0.1587, 0.8413]))  # but for slips
        for sd in (1.0001, 2.0)
        for found in [amps(currents(POWER, read, QUAY, table=known(sd), samples=512))]
    )
    assert still == pytest.approx(np.log(1.05), rel=0.25)
    # A day's part on either side of it, and little of the slow one within 17 days.
    assert wide == pytest.approx(np.log(2.0), rel=0.15)


def test_present_for_part_of_its_time() -> None:
    read = standing(conductor="a", insulation=3e3)
    whole = amps(currents(POWER, read, QUAY))
    part = amps(currents(POWER, replace(read, present=0.25), QUAY))
    assert part == pytest.approx(0.25 * whole, rel=1e-9)


def test_two_readings_of_one_hour_count_together() -> None:
    # Two meters on one conductor, which one row of faults.csv cannot hold.
    hour = as_written("2003-06-10 08:00")
    rows = tuple(
        Reading(time=hour, fault="F", conductor="a", volts=volts, meter=meter)
        for volts, meter in ((5.0, 1e7), (4.9, 3e3))
    )
    read = standing(conductor="a")
    her = replace(
        ship(systems=(POWER,), faults=(read,)), readings=rows, assumptions=known()
    )
    draws = Draws(256, 1, her.assumptions)
    one, two = (
        np.log(sample_faults(each, draws, as_of=AS_OF).resistance[:, 0])
        for each in (her, replace(her, readings=rows[:1]))
    )
    assert np.isfinite(one).all()
    assert one.std() <= two.std() * 1.05


def test_between_two_readings_lies_what_both_leave() -> None:
    early = Reading(time=as_written("2003-06-12"), fault="F", insulation=100.0)
    late = replace(early, time=as_written("2003-07-10"), insulation=9000.0)
    read = fault("F", "2003-06-12", standing=True, conductor="a")
    her = replace(
        ship(systems=(POWER,), faults=(read,)),
        readings=(early, late),
        assumptions=default_assumptions(),
    )
    unknowns = sample_faults(her, Draws(512, 1, her.assumptions), as_of=AS_OF)
    path, one = unknowns.path, np.arange(1)
    medians = [
        np.median(path.within(slice(None), one, at, at))
        for day in ("2003-06-12", "2003-06-27", "2003-07-10")
        for at in [np.full(512, as_written(day).middle)]
    ]
    assert medians[0] < 0.7 * medians[1] < 0.6 * medians[2]
    assert medians[0] < 400.0
    assert medians[2] > 1500.0
