"""Tests of hull.cathodic_protection, with anode_groups and impressed_current."""

from dataclasses import replace

import numpy as np
import pytest
from trial_hull import TRIAL, ZONES

from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.types import Array
from corrosion.foundation.units import HOUR, YEAR
from corrosion.hull.anode_groups import AnodeGroup, anode_size
from corrosion.hull.cathodic_protection import (
    ProtectedState,
    protected_hull,
    protected_state,
)
from corrosion.hull.model import Hull
from corrosion.hull.nonlinear.polarisation import natural_density
from corrosion.hull.own_metals import MetalUnknowns
from corrosion.hull.plating import Joints
from corrosion.hull.uncertain import PathUnknowns, median_paths
from corrosion.hull.water.water_body import WaterBody
from corrosion.records.ship import Anode
from corrosion.wastage.faraday import mass_loss

TABLE = (
    default_assumptions()
    .override("anodic_tafel_v", median=0.058, spread=1.0, why="the trial's")
    .override("bare_patch_radius_m", median=0.001, spread=1.0, why="the trial has none")
)
METALS = ["steel"] * 17 + ["bronze"]
MIDSHIPS, RUDDER = 4, 16
FLUSH = Anode(
    anode="Z",
    zone="any",
    metal="zinc",
    form="flush",
    count=5,
    net_mass=36.0,
    length=0.6,
    width=0.15,
    thickness=0.06,
)


def trial_hull() -> Hull:
    """The hull of the trial, in the sea."""
    body = WaterBody(
        zones=np.arange(ZONES),
        area=TRIAL["area"],
        centre=np.zeros((ZONES, 3)),
        matrix=0.27 * TRIAL["R"],
        remote=1.0,
        displacement=1.0,
        wetted=1.0,
        resistivity=0.27,
        asymmetry=0.0,
    )
    return Hull(
        body=body,
        steel={0.0: TRIAL["K"]},  # joints and all
        joints=Joints(
            beyond=np.zeros((0, ZONES)), at_rest=np.zeros(0), turning=np.zeros(0)
        ),
        reference=0,
        bare=np.full(ZONES, 0.05),
        beam=15.0,
        length=100.0,
        assumptions=TABLE,
    )


def zincs() -> list[AnodeGroup]:
    """Twenty flush zincs of 36 kg on four zones."""
    return [
        AnodeGroup(
            anode=replace(FLUSH, anode=f"Z{host}"), host=host, size=anode_size(FLUSH)
        )
        for host in (13, 15, 5, 7)
    ]


def unknowns() -> tuple[PathUnknowns, MetalUnknowns]:
    """The trial's: 0.043 A/m², 5,000 Ω·m², oxygen's limit twice the natural rate."""
    paths = median_paths(TABLE)
    natural = natural_density(paths.interface, assumptions=TABLE)
    zero, one = np.zeros(1), np.ones(1)
    return (
        replace(
            paths,
            interface=paths.interface * natural / 0.043,
            coating=np.full(1, 5000.0),
            structure=one,
        ),
        MetalUnknowns(
            steel_rest=zero, noble_rest=zero, oxygen_limit=one, oxygen_excess=one
        ),
    )


def state(
    groups: list[AnodeGroup], bare: float = 0.05, flow: float = 1.0, left: float = 1.0
) -> ProtectedState:
    her = protected_hull(trial_hull(), METALS, groups)
    share = np.full((1, ZONES), bare)
    share[:, -1] = 1.0
    size = np.full((1, len(her.groups)), left)
    return protected_state(her, share, size, *unknowns(), flow=flow)


def steel_kg(found: ProtectedState) -> float:
    """Kilograms of steel a year."""
    dissolved = found.held.laws.at(found.held.volts).dissolution * found.area
    return float(mass_loss(dissolved[0, :17].sum() * YEAR))


def millivolts(found: ProtectedState) -> Array:
    return np.asarray(1e3 * found.held.volts[0])


@pytest.mark.parametrize(
    ("case", "amps", "years", "midships", "rudder", "kg"),
    [
        ({}, 9.234, 5.90, -808, -802, 0.071),
        ({"bare": 0.2}, 15.823, 3.44, -674, -672, 55.159),
        ({"flow": 3.7}, 16.074, 3.39, -673, -653, 57.449),
    ],
)
def test_twenty_zincs_are_those_of_the_trial(
    case: dict[str, float],
    amps: float,
    years: float,
    midships: float,
    rudder: float,
    kg: float,
) -> None:
    found = state(zincs(), **case)
    drawn = found.amps.sum()
    groups = zincs()
    usable = sum(one.mass * one.used_up(TABLE) for one in groups)
    capacity = TABLE.value("anode_capacity_zinc_ah_kg")
    assert drawn == pytest.approx(amps, rel=1e-3)
    assert usable * capacity * HOUR / drawn / YEAR == pytest.approx(years, rel=5e-3)
    assert millivolts(found)[MIDSHIPS] == pytest.approx(midships, abs=0.6)
    assert millivolts(found)[RUDDER] == pytest.approx(rudder, abs=0.6)
    assert steel_kg(found) == pytest.approx(kg, rel=0.01)


def test_what_leaves_the_anodes_enters_the_hull() -> None:
    found = state(zincs())
    laws, volts = found.held.laws, found.held.volts
    leaving = found.area * laws.at(volts).net + found.paint * (volts - laws.rest)
    assert leaving.sum() == pytest.approx(0.0, abs=1e-6)
    assert leaving[0, ZONES:] == pytest.approx(found.amps[0], rel=1e-6)
    assert (leaving[0, :ZONES] < 0.0).all()
    # her propeller costs the zincs half an ampere, as in the trial
    assert (found.amps - found.without_own).sum() == pytest.approx(0.50, abs=0.01)


def test_small_anodes_give_less_and_spent_ones_nothing() -> None:
    whole, half, gone = (state(zincs(), left=left) for left in (1.0, 0.5, 0.1))
    assert half.amps.sum() < whole.amps.sum()
    assert steel_kg(whole) < steel_kg(half) < steel_kg(gone)
    assert gone.amps.sum() == pytest.approx(0.0, abs=1e-3)
    assert steel_kg(gone) == pytest.approx(steel_kg(state([])), rel=1e-3)


def impressed(amps: float, millivolt: float | None = None) -> AnodeGroup:
    anode = Anode(
        anode="I",
        zone="any",
        metal="impressed",
        amps=amps,
        set_potential=None if millivolt is None else millivolt / 1e3,
        electrode=None if millivolt is None else "Ag/AgCl",
    )
    return AnodeGroup(anode=anode, host=9, size=None)


def test_an_impressed_current_is_as_written() -> None:
    found = state([*zincs(), impressed(5.0)])
    assert found.impressed.item() == 5.0
    relieved = state(zincs()).amps.sum() - found.amps.sum()
    assert 4.0 < relieved < 5.0  # the trial: 4.5 of 5 A, less what overprotects
    assert millivolts(found)[MIDSHIPS] < -880.0


def test_a_set_point_is_held_up_to_the_rating() -> None:
    held = state([impressed(30.0, -850.0)])
    assert millivolts(held)[:17].mean() == pytest.approx(-850.0, abs=0.05)
    assert 5.0 < held.impressed.item() < 30.0
    weak = state([impressed(2.0, -850.0)])
    assert weak.impressed.item() == 2.0
    assert millivolts(weak)[:17].mean() > -800.0
    # where zincs hold her below it already, nothing is given
    idle = state([*zincs(), impressed(30.0, -780.0)])
    assert idle.impressed.item() == 0.0


def test_a_size_that_is_blank_follows_from_the_mass() -> None:
    none = replace(FLUSH, length=None, width=None, thickness=None)
    size = anode_size(none)
    assert size is not None
    assert size.length == pytest.approx(4.0 * size.width)
    assert size.length * size.width * size.thickness * 7140.0 == pytest.approx(36.0)
    written = anode_size(replace(FLUSH, net_mass=None))
    assert written is not None
    assert written.mass == pytest.approx(0.6 * 0.15 * 0.06 * 7140.0)
    assert anode_size(replace(none, net_mass=None)) is None


@pytest.mark.parametrize(
    ("form", "sizes", "ohms"),
    [
        ("flush", (0.6, 0.15, 0.06), 0.3600),  # Lloyd
        ("stand-off", (1.2, 0.13, 0.13012), 0.1096),  # Dwight, r 0.0828 m
        ("bracelet", (0.4, 0.18, 1e-9), 0.3170),  # McCoy, 0.072 m²
        ("flush", (0.3, 0.24, 1e-9), 0.3170),  # too short for Lloyd
    ],
)
def test_each_form_meets_the_water_by_its_own_rule(
    form: str, sizes: tuple[float, float, float], ohms: float
) -> None:
    anode = replace(
        FLUSH,
        form=form,  # type: ignore[arg-type]  # a word of the records
        count=1,
        length=sizes[0],
        width=sizes[1],
        thickness=sizes[2],
    )
    one = AnodeGroup(anode=anode, host=0, size=anode_size(anode))
    assert one.ohms(0.27, np.ones(1), TABLE) == pytest.approx(ohms, abs=1e-4)
    five = replace(one, anode=replace(anode, count=5))
    assert five.ohms(0.27, np.ones(1), TABLE) == pytest.approx(ohms / 5.0, abs=1e-4)
    small = one.ohms(0.27, np.array([0.512]), TABLE)
    assert small == pytest.approx(ohms / 0.8, abs=2e-4)


@pytest.mark.parametrize(("away", "times"), [(None, 1.0), (0.2, 1.3), (0.3, 1.0)])
def test_a_plate_close_by_keeps_water_from_a_stand_off_anode(
    away: float | None, times: float
) -> None:
    """Design codes (from memory): 1.3 times the resistance below 0.30 m."""
    bar = replace(FLUSH, form="stand-off", length=1.2, width=0.13, thickness=0.13012)
    one = replace(bar, count=1, stand_off=away)
    group = AnodeGroup(anode=one, host=0, size=anode_size(one))
    assert group.ohms(0.27, np.ones(1), TABLE) == pytest.approx(
        times * 0.1096, abs=1e-4
    )
