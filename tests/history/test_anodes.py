"""Anodes through the whole program: a folder in, JSON out, held against the network.

The hull of :mod:`test_taken_and_spared`, with a propeller of 9 m² and twenty flush
zincs of 36 kg, fitted as the year begins in which half an ampere enters at the rudder.
"""

from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from history.test_taken_and_spared import invented
from records.written import write_ship
from ships import berth

import corrosion
from corrosion.foundation.types import Array
from corrosion.foundation.units import DAY, HOUR, YEAR
from corrosion.history.anodes_in_time import AnodesInTime, anode_dates
from corrosion.history.inputs import sample_inputs
from corrosion.history.integrate import integrate_history
from corrosion.history.loss import EATERS, LossHistory
from corrosion.history.natural_rate import flow_factor
from corrosion.history.time_grid import time_grid_of
from corrosion.history.time_steps import Scenario
from corrosion.hull.cathodic_protection import protected_state
from corrosion.hull.electrodes import LAWS, Electrodes
from corrosion.hull.nonlinear.galvanic import GalvanicNetwork, Tie, solve_galvanic
from corrosion.presentation.answers.currents import ANODES, causes_of, leaving
from corrosion.presentation.answers.hull import hull_result
from corrosion.records.dates import as_written
from corrosion.records.ship import Anode, AnodeSeen, Reading, Ship, Work
from corrosion.wastage.faraday import mass_loss

NEW_YEAR = "2021-01-01 00:00"
SAMPLES = 4


def anodes(**more: object) -> tuple[Anode, ...]:
    facts: dict[str, object] = {
        "metal": "zinc",
        "form": "flush",
        "count": 5,
        "net_mass": 36.0,
        "length": 0.6,
        "width": 0.15,
        "thickness": 0.06,
        "fitted": as_written(NEW_YEAR),
    }
    return tuple(
        Anode(anode=f"Z-{zone}", zone=zone, **(facts | more))  # type: ignore[arg-type]
        for zone in ("1PB", "1SB", "3PB", "3SB")
    )


def ship(
    *, fault: bool = True, before: float = 0.001, pace: float = 0.004, **more: object
) -> Ship:
    """The ship; ``before``, ``pace``: chance of earlier anodes, scatter of use."""
    one = invented()
    table = one.assumptions
    for name, value in {
        "under_way_factor": 1.0,
        "anode_capacity_zinc_ah_kg": 780.0,
        "noble_oxygen_limit_factor": 1.0,
        "steel_oxygen_excess": 1.0,
        "anodes_before_chance": before,
        "anode_pace_sd": pace,
    }.items():
        table = table.override(name, median=value, spread=1.0, why="a test")
    propeller = replace(
        one.zones[-1],
        zone="PRP",
        metal="nickel-aluminium bronze",
        area=9.0,
        bare=1.0,
        bond=0.002,
        painted=None,
        frame_from=97.0,
        frame_to=99.0,
    )
    facts: dict[str, object] = {
        "zones": (*one.zones, propeller),
        "faults": one.faults if fault else (),
        "anodes": anodes(),
        "assumptions": table,
    }
    return replace(one, **(facts | more))  # type: ignore[arg-type]


def estimated(one: Ship) -> corrosion.Estimate:
    return corrosion.estimate(one, samples=SAMPLES, as_of=date(2022, 1, 1))


@pytest.fixture(scope="module")
def result(tmp_path_factory: pytest.TempPathFactory) -> corrosion.Estimate:
    folder: Path = tmp_path_factory.mktemp("zincs")
    write_ship(ship(), folder)
    return corrosion.estimate(folder, samples=SAMPLES, as_of=date(2022, 1, 1))


@pytest.fixture(scope="module")
def quiet() -> corrosion.Estimate:
    return estimated(ship(fault=False))


def identity(history: LossHistory) -> Array:
    return np.asarray(
        history.natural_sea_kg
        - history.protection_spared_kg
        + history.faults_kg
        + history.couple_kg
        + history.own_metals_kg
        - history.spared_kg
        + history.natural_inside_kg
        + history.unexplained_kg
    )


def test_what_the_fault_takes_is_what_the_network_says(
    result: corrosion.Estimate,
) -> None:
    """The rudder's year, against the whole network balanced with the fault in it."""
    inputs, rows = result.inputs, slice(0, SAMPLES)
    (history,) = integrate_history([Scenario(inputs, inputs.faults.spans)])
    (stay,) = inputs.periods
    before = until(result, date(2021, 1, 1))
    year = history.natural_sea_kg - before.natural_sea_kg
    held = AnodesInTime(inputs, rows)
    held.turn_to(as_written(NEW_YEAR).middle)
    wet, moment = inputs.hull.body.zones, as_written("2021-07-01").middle
    bare = inputs.zones.bare(moment, rows)[:, wet]
    left = 0.5 * (1.0 + history.anode_left)  # midway
    state = protected_state(
        held.her,
        bare,
        left,
        inputs.paths,
        inputs.metals,
        flow=flow_factor(inputs, stay.berth, rows),
    )
    count, many = state.area.shape[1], len(wet)
    her = held.her.hull
    steel = her.plating(inputs.paths)
    linked = her.body.matrix + steel.among(her.body.zones)
    linked[:, np.arange(count), np.arange(count)] += state.narrow
    rudder = inputs.ship.zone_index("RUD")
    amps = history.charge[:, :1] / history.seconds  # a clamp's last digit is rounded
    into = np.zeros((SAMPLES, len(inputs.ship.zones)))
    into[:, rudder] = 1.0
    into = amps * (into - inputs.cables)
    network = GalvanicNetwork(
        inverse=np.asarray(np.linalg.inv(linked), dtype=np.float64),
        island=np.zeros(count, dtype=np.int64),
        laws=state.held.laws,
        bare=state.area,
        paint=state.paint,
        lifted=steel.lifted(into, her.body.zones),
        total=np.zeros((SAMPLES, 1)),
    )
    z = solve_galvanic(network).potential
    at = int(np.flatnonzero(wet == rudder)[0])
    dissolved = network.laws.at(z[:, :-1]).dissolution[:, at]
    free = state.held.laws.natural[:, at]
    area = bare[:, at] * inputs.hull.body.area[rudder]

    def kg(density: Array) -> Array:
        """A year's loss: natural where nothing acts, the law's dissolution beyond."""
        natural = year[:, rudder] / area / mass_loss(365 * DAY)
        loss = density + (natural - free) * np.minimum(density / free, 1.0)
        return np.asarray(loss * area * mass_loss(365 * DAY))

    base = state.steel.base[:, at]
    taken = sum(
        sign * (one.faults_kg + one.own_metals_kg - one.spared_kg)[:, rudder]
        for sign, one in ((1.0, history), (-1.0, before))
    )
    change = kg(dissolved) - kg(base)
    assert taken == pytest.approx(change, rel=0.02, abs=0.01)
    volts = np.median(z[:, at])
    assert -0.66 < volts < -0.56  # the trial's, 5 % bare: -611 mV
    assert np.median(change) == pytest.approx(1.15, rel=0.25)  # and 1.15 kg
    # what the fault takes from the rudder it gives the zincs, ampere for ampere less
    drawn = network.flow(z)[:, many:] - state.amps
    eaten = history.anode_eaten[:, :, EATERS.index("faults")]
    assert eaten.sum(axis=1) == pytest.approx(drawn.sum(axis=1) * 365 * DAY, rel=0.03)
    assert (drawn.sum(axis=1) < 0.0).all()


def until(result: corrosion.Estimate, day: date) -> LossHistory:
    """Her history up to another day, from the same random numbers."""
    grid = time_grid_of(result.ship, day)
    inputs = sample_inputs(result.ship, result.inputs.draws, grid)
    return integrate_history([Scenario(inputs, inputs.faults.spans)])[0]


def test_accounts_add_up(result: corrosion.Estimate) -> None:
    history = result.history
    lost = history.lost_kg
    assert identity(history) == pytest.approx(lost, rel=1e-9, abs=1e-9)
    for name in ("faults", "couple", "own_metals", "spared", "protection_spared"):
        assert getattr(history, f"{name}_kg").min() >= -1e-9
    assert history.fault_kg.sum() == pytest.approx(history.faults_kg.sum(), rel=1e-9)


def test_zincs_protect_and_are_consumed_by_their_charge(
    quiet: corrosion.Estimate,
) -> None:
    bare = estimated(ship(fault=False, anodes=()))
    with_zincs, without = quiet.history, bare.history
    saved = without.lost_kg.sum(axis=1) - with_zincs.lost_kg.sum(axis=1)
    assert (saved > 0.0).all()
    assert not without.anode_amps.size
    rows = quiet.to_json()["anodes"]
    assert bare.to_json()["anodes"] is None
    assert [row["anode"] for row in rows] == [one.anode for one in anodes()]
    for k, row in enumerate(rows):
        used = (1.0 - with_zincs.anode_left[:, k]) * 180.0  # kilograms
        eaten = with_zincs.anode_eaten[:, k].sum(axis=1) / HOUR
        assert eaten == pytest.approx(used * 780.0, rel=0.02)  # by its pace
        # a year at a current that changes little
        assert eaten == pytest.approx(with_zincs.anode_amps[:, k] * 8760.0, rel=0.05)
        assert (
            row["eaten_ah"]["protection"]["p50"] > row["eaten_ah"]["own metals"]["p50"]
        )
        assert -900.0 < row["mv"]["p50"] < -800.0
        ahead = with_zincs.anode_usable[:, k] / with_zincs.anode_amps[:, k] / YEAR
        gone = date.fromisoformat(row["gone_by"])
        assert (gone - date(2022, 1, 1)).days / 365.25 == pytest.approx(
            float(np.median(ahead)), abs=0.01
        )


def test_what_leaves_the_zincs_enters_the_hull_as_it_is_drawn() -> None:
    found = estimated(ship(fault=False, berths=(berth("2020-01", None),)))
    assert ANODES in causes_of(found)
    drawn = leaving(found, 0, ANODES)
    into = drawn.table.set_index("zone")["leaving_ma"]
    assert (into < 0.0).all()
    assert into.idxmin() == "PRP"  # the propeller takes up most
    given = found.history.anode_amps.sum(axis=1).mean()
    assert drawn.share == pytest.approx(given, rel=0.05)  # and a little through paint
    assert ANODES not in causes_of(estimated(ship(fault=False, anodes=())))


def test_spent_zincs_protect_no_more() -> None:
    small = ship(fault=False, anodes=anodes(net_mass=2.0))
    done = estimated(small)
    names = " ".join(done.warnings)
    assert "is used up before the next docking" in names
    assert done.history.anode_left == pytest.approx(0.15, abs=1e-6)
    assert done.history.anode_amps == pytest.approx(0.0, abs=1e-6)
    whole = estimated(ship(fault=False)).history.protection_spared_kg.sum()
    part = done.history.protection_spared_kg.sum()
    assert 0.0 < part < 0.7 * whole


def test_a_look_tells_what_is_left_and_a_renewal_makes_new() -> None:
    seen = (AnodeSeen(seen=as_written("2021-10-01"), left=0.4),)
    looked = estimated(ship(fault=False, pace=0.4, anodes=anodes(looks=seen)))
    left = looked.history.anode_left
    # 60 % was used in nine months: a quarter later another 20 % is, give or take an eye
    assert left.mean() == pytest.approx(0.2, abs=0.07)
    dull = AnodeSeen(seen=as_written("2021-10-01"), left=0.92)  # as the network says
    kept = estimated(ship(fault=False, anodes=anodes(looks=(dull,))))
    assert kept.history.anode_left.mean() == pytest.approx(0.89, abs=0.06)
    work = Work(date=as_written("2021-11-01"), zone="underwater", work="anodes renewed")
    new = estimated(ship(fault=False, anodes=anodes(looks=(dull,)), works=(work,)))
    assert new.history.anode_left == pytest.approx(1.0 - 0.11 / 6.0, abs=0.02)


def test_anodes_before_the_first_that_is_written_are_told_by_chance() -> None:
    day = date(2020, 12, 30)  # a year after she was built
    never, always, some = (
        until(estimated(ship(fault=False, before=chance)), day)
        for chance in (0.001, 1.0, 0.5)
    )
    assert not never.protection_spared_kg.any()
    assert (always.protection_spared_kg.sum(axis=1) > 10.0).all()
    spared = (some.protection_spared_kg.sum(axis=1) > 1.0).mean()
    assert spared == pytest.approx(0.5, abs=0.25)
    assert not always.anode_eaten.any()  # nobody knows when they were renewed
    said = estimated(ship(fault=False, before=0.8)).warnings
    assert any("protected her with a chance of 80%" in text for text in said)


def test_a_written_protection_is_what_arrives() -> None:
    """Anodes are consumed and change no digit of the loss."""
    held = tuple(replace(zone, protection=0.02) for zone in ship().zones)
    alone = estimated(ship(zones=held, anodes=()))
    beside = estimated(ship(zones=held))
    for name in ("lost_kg", "faults_kg", "own_metals_kg", "mean"):
        one, other = (getattr(x.history, name) for x in (alone, beside))
        assert (one == other).all(), name
    assert beside.history.anode_amps.all()
    assert not anode_dates(beside.inputs).size
    said = [text for text in beside.warnings if "zones.csv writes a protection" in text]
    assert len(said) == 1


def test_an_impressed_current_beyond_its_set_point_is_named() -> None:
    one = Anode(
        anode="ICCP",
        zone="2PB",
        metal="impressed",
        amps=200.0,
        set_potential=-1.15,
        electrode="Ag/AgCl",
        fitted=as_written("2021-01"),
    )
    far = estimated(ship(fault=False, anodes=(one,)))
    assert any("overprotected" in text for text in far.warnings)
    (row,) = far.to_json()["anodes"]
    assert row["left_percent"] is None
    assert 0.0 < row["amps"]["p50"] < 200.0
    held = estimated(ship(fault=False, anodes=(replace(one, set_potential=-0.85),)))
    assert not any("overprotected" in text for text in held.warnings)
    wet = held.inputs.hull.body.zones[:-1]  # all but the propeller
    volts = held.history.anode_zone_volts[:, wet].mean(axis=1)
    assert volts == pytest.approx(-0.85, abs=1e-3)


def test_an_anode_that_cannot_be_reckoned_is_named() -> None:
    nothing = replace(
        anodes()[0], anode="X", net_mass=None, length=None, width=None, thickness=None
    )
    found = estimated(ship(fault=False, anodes=(*anodes(), nothing)))
    assert any("anode X is left out" in text for text in found.warnings)
    assert any("the first anodes were fitted 2021-01-01" in t for t in found.warnings)
    assert len(found.to_json()["anodes"]) == 4


EXACT = {  # beside those of ship(), so that one network is right
    "earth_couple_sd_v": 0.001,
    "earth_limit_a": 1.0,
    "shore_earth_factor": 1.0,
    "steel_rest_sd_v": 3e-4,
    "noble_rest_sd_v": 7.1e-4,
}


def alongside(**more: object) -> Ship:
    """The ship on a copper earth of 1 ohm that takes up 1 A, since she was built."""
    one = ship(fault=False, **more)  # type: ignore[arg-type]  # keywords by name
    table = one.assumptions
    for name, median in EXACT.items():
        table = table.override(name, median=median, spread=1.0, why="a test")
    quay = berth(
        "2020-01",
        None,
        "shore earthed",
        earth_cable=0.1,
        shore_earth=1.0,
        earth_metal="copper",
    )
    return replace(one, berths=(quay,), assumptions=table)


def coupled(one: corrosion.Estimate) -> tuple[GalvanicNetwork, GalvanicNetwork]:
    """Metals and anodes of today beside the earth, an electrode: tied, and not."""
    inputs, rows, day = one.inputs, slice(0, SAMPLES), one.inputs.time_grid.as_of
    held = AnodesInTime(inputs, rows)
    held.turn_to(day)
    bare = inputs.zones.bare(day, rows)[:, inputs.hull.body.zones]
    state = protected_state(
        held.her, bare, one.history.anode_left, inputs.paths, inputs.metals
    )
    her, n = held.her.hull, state.area.shape[1]
    ohms = np.zeros((SAMPLES, n + 1, n + 1))
    ohms[:, :n, :n] = her.body.matrix + her.plating(inputs.paths).among(her.body.zones)
    ohms[:, np.arange(n), np.arange(n)] += state.narrow
    ohms[:, n, n] = 1.0
    laws = Electrodes.of([LAWS["copper earth"]], SAMPLES)
    takes_up = 1.0 / (laws.natural * laws.oxygen)  # of one ampere [m²]
    joined = Electrodes(
        **{
            name: np.concatenate(
                [getattr(state.held.laws, name), getattr(laws, name)], axis=1
            )
            for name in Electrodes.__dataclass_fields__
        }
    )
    tied = GalvanicNetwork(
        inverse=np.asarray(np.linalg.inv(ohms), dtype=np.float64),
        island=np.array([0] * n + [1]),
        laws=joined,
        bare=np.concatenate([state.area, takes_up], axis=1),
        paint=np.concatenate([state.paint, 0.0 * takes_up], axis=1),
        lifted=np.zeros((SAMPLES, n + 1)),
        total=np.zeros((SAMPLES, 2)),
        ties=(Tie(one=0, other=1, conductance=np.full(SAMPLES, 10.0)),),
    )
    loose = Tie(one=0, other=1, conductance=np.full(SAMPLES, 1e-9))
    return tied, replace(tied, ties=(loose,))


def test_zincs_feed_the_shore_couple(tmp_path: Path) -> None:
    """Held below free steel she drives more ashore, and the zincs pay: folder to JSON.

    Against the whole network with the shore earth as an electrode of its own.
    """
    write_ship(alongside(), tmp_path)
    found = corrosion.estimate(tmp_path, samples=SAMPLES, as_of=date(2022, 1, 1))
    tied, loose = coupled(found)
    many = len(found.inputs.hull.body.zones)
    flows = [net.flow(solve_galvanic(net).potential) for net in (tied, loose)]
    ashore = -flows[0][:, -1]  # enters the earth
    drawn = (flows[0] - flows[1])[:, many:-1].sum(axis=1)
    rows = found.to_json()["anodes"]
    eaten = sum(row["eaten_ah"]["shore couple"]["mean"] for row in rows)
    assert eaten == pytest.approx(drawn.mean() * 8760.0, rel=0.05)
    told = hull_result(found.ship, samples=SAMPLES, as_of=date(2022, 1, 1))["berths"][0]
    assert told["couple_amps"]["mean"] == pytest.approx(ashore.mean(), rel=0.05)
    bare = hull_result(alongside(anodes=()), samples=SAMPLES, as_of=date(2022, 1, 1))
    assert told["couple_amps"]["mean"] > 1.3 * bare["berths"][0]["couple_amps"]["mean"]


def test_a_clamp_on_a_hull_with_zincs_tells_of_the_earth_as_it_is() -> None:
    """Readings that the network gives for three earths, and what is made of them."""
    wide = alongside().assumptions.override(
        "earth_couple_sd_v", median=0.1, spread=1.0, why="a test"
    )
    for off in (-0.1, 0.0, 0.1):
        one = corrosion.estimate(
            replace(alongside(), next_docking=as_written("2025-01")),
            samples=SAMPLES,
            as_of=date(2022, 1, 1),
        )
        tied, _ = coupled(one)
        rest = tied.laws.rest.copy()
        rest[:, -1] += off
        tied = replace(tied, laws=replace(tied.laws, rest=rest))
        amps = -float(tied.flow(solve_galvanic(tied).potential)[:, -1].mean())
        clamp = Reading(
            time=as_written("2021-12-20"),
            circuit="shore cable",
            clamped="earth lead",
            amps=amps,
            current="dc",
            line=2,
        )
        inputs = sample_inputs(
            replace(alongside(), readings=(clamp,), assumptions=wide),
            replace(one.inputs.draws, samples=64, assumptions=wide),
            one.inputs.time_grid,
        )
        couple = np.median(inputs.paths.couple_at(inputs.ship.berths[0]))
        assert couple == pytest.approx(0.30 + off, abs=0.04)
