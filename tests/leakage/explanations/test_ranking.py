"""What readings may mean: by hand, by drawing from the prior, by simulated circuit."""

import re
import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest

from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.errors import InputError, LookupFailed
from corrosion.leakage.explanations.candidates import Ground
from corrosion.leakage.explanations.cases import OpenBranch, read_volts, unloaded_volts
from corrosion.leakage.explanations.ranking import Explained, Explanation, explanations
from corrosion.leakage.filament import LampLaw
from corrosion.leakage.inference.evidence import Evidence
from corrosion.leakage.lamp_load import conductor_volts_with_lamps
from corrosion.leakage.network import solve
from corrosion.records.dates import as_written
from corrosion.records.ship import LampSeen, LampSet, Reading, System

SERVICE = System(
    name="service",
    kind="ac3",
    volts=440.0,
    hertz=60.0,
    capacitance=1.4e-6,
    insulation=4e5,
    lamps=LampSet(volts=127.0, watts=15.0, ratio=2.0),
)
LEGACY = System(name="legacy", kind="dc2", volts=220.0, insulation=1e5)
NOON = as_written("2026-11-25 12:00")
DIGITAL, LOW = 10e6, 3e3
TABLE = default_assumptions()


def volts(
    conductor: str, read: float, meter: float = DIGITAL, to: str | None = None
) -> Reading:
    return Reading(time=NOON, conductor=conductor, to=to, volts=read, meter=meter)


def lamps(*seen: LampSeen | None) -> Reading:
    return Reading(time=NOON, lamps=seen)


def first(found: Explained) -> tuple[str, tuple[str, ...]]:
    return found.ranked[0].kind, found.ranked[0].conductors


def chance(found: Explained, kind: str, *conductors: str) -> float:
    return sum(
        (
            each.chance
            for each in found.ranked
            if each.kind == kind and conductors in ((), each.conductors)
        ),
        0.0,
    )


def best(found: Explained, kind: str) -> Explanation:
    return next(each for each in found.ranked if each.kind == kind)


@pytest.mark.parametrize("true", [30.0, 700.0, 3000.0])
def test_three_volts_find_the_one_fault_that_made_them(true: float) -> None:
    made = np.abs(solve(SERVICE, [("b", true)], meter=DIGITAL, lamps=True).hull_volts)
    found = explanations(
        SERVICE, [volts(n, v) for n, v in zip("abc", made.tolist(), strict=True)]
    )
    assert first(found) == ("one fault", ("b",))
    low, middle, high = found.ranked[0].ohms[0]
    assert low < true < high
    assert middle == pytest.approx(true, rel=0.5)
    assert sum(each.chance for each in found.ranked) == pytest.approx(1.0)


def test_chances_are_those_of_drawing_from_the_prior() -> None:
    """No grid and no rounding: draw capacitance and resistances, weigh, and count."""
    bare = System(
        name="bare",
        kind="ac3",
        volts=440.0,
        hertz=60.0,
        capacitance=1.4e-6,
        insulation=4e5,
    )
    read = {"a": 38.0, "b": 412.0}
    source = np.exp(-2j * np.pi / 3.0 * np.arange(3)) * 440.0 / np.sqrt(3.0)
    rng = np.random.default_rng(7)
    count = 400_000

    def evidence(*poles: int) -> float:
        farads = 1.4e-6 * np.exp(rng.normal(size=count) * np.log(1.3))
        each = 1.0 / 4e5 + 1j * 120.0 * np.pi * farads
        y = np.repeat(each[:, None], 3, axis=1)
        for pole in poles:
            y[:, pole] += 1.0 / (200.0 * np.exp(rng.normal(size=count) * np.log(20.0)))
        weight = np.ones(count)
        for column, value in enumerate(read.values()):
            loaded = y.copy()
            loaded[:, column] += 1.0 / DIGITAL
            star = -(loaded @ source) / loaded.sum(axis=1)
            shown = np.abs(source[column] + star)
            width = np.hypot(shown * np.log(1.02), 0.5)
            near = np.exp(-0.5 * ((value - shown) / width) ** 2) * value / width
            weight *= 0.999 * near + 0.001
        return float(weight.mean())

    prior = {"one": 0.68 / 3.0, "two": 0.1 / 3.0}  # 1 - 0.1 - 0.1 - 0.06 - 0.06
    drawn = np.array(
        [
            prior["one"] * evidence(0),
            prior["two"] * evidence(0, 2),
            prior["two"] * evidence(0, 1),
        ]
    )
    drawn /= drawn.sum()
    found = explanations(bare, [volts(n, v) for n, v in read.items()])
    ours = [
        chance(found, "one fault", "a"),
        chance(found, "two faults", "a", "c"),
        chance(found, "two faults", "a", "b"),
    ]
    assert ours == pytest.approx(drawn.tolist(), abs=0.03)


def test_zero_volts_is_not_dead() -> None:
    """Not energised is named only once a reading between conductors was taken."""
    alone = explanations(SERVICE, [volts("a", 0.4)])
    assert first(alone) == ("one fault", ("a",))
    assert chance(alone, "not energised") == 0.0
    assert chance(alone, "ghost") == 0.0  # it shows nothing that could be one
    live = explanations(SERVICE, [volts("a", 0.4), volts("a", 440.0, to="b")])
    assert first(live) == ("one fault", ("a",))
    assert chance(live, "not energised", "a") < 0.01
    # b stands 254 V above a healthy hull, and so above a conductor that lies there
    dead = explanations(SERVICE, [volts("a", 0.4), volts("a", 253.0, to="b")])
    assert first(dead) == ("not energised", ("a",))
    assert chance(dead, "not energised", "a") > 0.9


def test_a_low_impedance_meter_takes_the_ghost_away() -> None:
    ghost = explanations(SERVICE, [volts("a", 95.0), volts("a", 2.0, LOW)])
    assert first(ghost) == ("ghost", ("a",))
    # a fault gives both meters about as much: the hull's capacitance is 630 ohms
    real = np.abs(solve(SERVICE, [("a", 300.0)], meter=DIGITAL, lamps=True).hull_volts)
    low = np.abs(solve(SERVICE, [("a", 300.0)], meter=LOW, lamps=True).hull_volts)
    fault = explanations(
        SERVICE, [volts("a", float(real[0])), volts("a", float(low[0]), LOW)]
    )
    assert first(fault) == ("one fault", ("a",))
    assert chance(fault, "ghost", "a") < 0.05


def test_a_lamp_that_is_out_over_healthy_volts_has_failed() -> None:
    ground = Ground(SERVICE, Evidence(readings=()), TABLE)
    dark = ground.cases(np.array([[1.4e-6]]), 1, dark=0)
    made = np.abs(unloaded_volts(dark, LampLaw.of(TABLE)))[0].tolist()
    found = explanations(
        SERVICE,
        [volts(n, v) for n, v in zip("abc", made, strict=True)]
        + [lamps("out", "bright", "bright")],
    )
    assert first(found) == ("failed lamp", ("a",))
    picture = explanations(SERVICE, [lamps("out", "bright", "bright")])
    assert first(picture) == ("one fault", ("a",))
    assert 0.0 < chance(picture, "failed lamp", "a") < 0.2
    tried = explanations(SERVICE, [volts("a", 254.0), lamps("failed", "even", "even")])
    assert chance(tried, "failed lamp") == 0.0  # it is known: the set says nothing


def test_a_lamp_that_is_out_beside_a_fault_elsewhere_has_failed() -> None:
    """Volts say a fault on a; lamp b, which should be bright, is out."""
    ground = Ground(SERVICE, Evidence(readings=()), TABLE)
    case = ground.cases(np.array([[1.4e-6, 300.0]]), 1, poles=(0,), dark=1)
    made = np.abs(unloaded_volts(case, LampLaw.of(TABLE)))[0].tolist()
    read = [volts(n, v) for n, v in zip("abc", made, strict=True)]
    found = explanations(SERVICE, [*read, lamps("dim", "out", "bright")])
    assert first(found) == ("fault and failed lamp", ("a", "b"))
    (low, middle, high) = found.ranked[0].ohms[0]
    assert low < 300.0 < high
    assert middle == pytest.approx(300.0, rel=0.3)
    sound = explanations(SERVICE, [*read[:1], lamps("dim", "bright", "bright")])
    # before anything was read: one fault 0.63, times a twentieth for a lamp of three
    assert 0.0 < chance(sound, "fault and failed lamp") < 0.05
    assert sum(each.chance for each in sound.ranked) == pytest.approx(1.0)


def test_lamps_burn_as_the_network_has_them_where_none_is_dark() -> None:
    """The fixed point that leaves a lamp out is the network's where none is out."""
    ground = Ground(SERVICE, Evidence(readings=()), TABLE)
    law = LampLaw.of(TABLE)
    values = np.array([[1.4e-6, 300.0], [1.1e-6, 4000.0]])
    lit = ground.cases(values, 1, poles=(1,))
    newton, _ = conductor_volts_with_lamps(
        SERVICE.star_volts, lit.admittance, SERVICE.lamps, law=law
    )
    beyond = ground.cases(values, 1, poles=(1,), dark=7)  # no lamp of the set
    assert unloaded_volts(beyond, law) == pytest.approx(newton, rel=1e-9)


def test_two_wires_by_hand() -> None:
    """220 V on two healthy legs of 100 kΩ and a fault of 25 kΩ on +: 36.7 V on it."""
    plus = 1.0 / (1.0 / 1e5 + 1.0 / 25e3)
    read = 220.0 * plus / (plus + 1e5)
    assert read == pytest.approx(36.67, abs=0.01)
    found = explanations(LEGACY, [volts("+", read), volts("-", 220.0 - read)])
    assert first(found) == ("one fault", ("+",))
    low, _, high = found.ranked[0].ohms[0]
    assert low < 25e3 < high
    fuse = explanations(LEGACY, [volts("+", 0.2), volts("+", 0.0, to="-")])
    assert first(fuse) == ("not energised", ("+", "-"))
    assert "ghost" not in {each.kind for each in found.ranked}


def test_an_insulation_test_and_a_clamp_speak_too() -> None:
    tested = Reading(time=NOON, conductor="c", insulation=450.0)
    found = explanations(SERVICE, [tested])
    assert chance(found, "one fault", "c") > 0.6
    assert best(found, "one fault").ohms[0][1] == pytest.approx(450.0, rel=0.3)
    amps = float(np.abs(solve(SERVICE, [("a", 50.0)], lamps=True).fault_amps[0]))
    clamped = Reading(time=NOON, conductor="a", amps=amps)
    heard = explanations(SERVICE, [clamped, volts("a", 20.0)])
    assert first(heard) == ("one fault", ("a",))
    monitor = Reading(time=NOON, monitor=4e5 / 3.0)
    assert first(explanations(SERVICE, [monitor]))[0] == "healthy"


def test_the_next_reading_tells_what_is_asked() -> None:
    """One digital meter on a alone: a fault, or a ghost? The other meter tells."""
    found = explanations(
        SERVICE, [volts("a", 100.0), volts("b", 254.0), volts("c", 254.0)]
    )
    again = explanations(SERVICE, [volts("a", 0.4)])
    assert again.then is not None
    assert again.then.act == "volts"
    assert again.then.bits > 0.02
    # zero volts to the hull is not dead: what is asked for lies between conductors
    assert again.then.to is not None
    assert len(again.then.expects) == 2
    one, two = again.then.expects
    assert one.kind == "one fault"
    assert two.kind == "not energised"
    assert abs(one.volts[1] - two.volts[1]) > 20.0
    assert found.ranked[0].chance > 0.95
    assert found.then is None or found.then.bits < 0.3


def test_nothing_read_is_nothing_said() -> None:
    with pytest.raises(InputError, match="nothing was read on 'service'"):
        explanations(SERVICE, [])
    with pytest.raises(LookupFailed, match="conductor"):
        explanations(SERVICE, [volts("a", 10.0)], named="d")
    told = explanations(SERVICE, [volts("a", 10.0)], named="a")
    assert chance(told, "one fault", "b") == 0.0


SPICE = pytest.mark.skipif(
    shutil.which("ngspice") is None,
    reason="ngspice, the independent circuit simulator, is not installed here",
)


@SPICE
@pytest.mark.parametrize("meter", [DIGITAL, LOW])
@pytest.mark.parametrize("to", [None, "b"])
def test_an_open_conductor_against_a_circuit_simulator(
    tmp_path: Path, meter: float, to: str | None
) -> None:
    """Conductor a is open: 10 nF to hull, 7 nF to each neighbour, 20 MΩ."""
    bare = System(
        name="bare",
        kind="ac3",
        volts=440.0,
        hertz=60.0,
        capacitance=1.4e-6,
        insulation=4e5,
    )
    ground = Ground(bare, Evidence(readings=()), TABLE)
    omega = 120.0 * np.pi
    branch = OpenBranch(
        conductor=0,
        coupling=np.array([1j * omega * 7e-9]),
        to_hull=np.array([1j * omega * 10e-9 + 1.0 / 20e6]),
    )
    cases = ground.cases(np.array([[1.4e-6]]), 1, branch=branch)
    ours = read_volts(cases, 0, None if to is None else 1, meter, LampLaw.of(TABLE))
    phase = {"a": 0.0, "b": -120.0, "c": 120.0}
    deck = ["* open conductor"]
    for name in "abc":
        deck += [
            f"v{name} {name} n dc 0 ac {440.0 / np.sqrt(3.0):.15g} {phase[name]}",
            f"c{name} {name} 0 1.4u",
            f"ri{name} {name} 0 400k",
        ]
    deck += ["cxh x 0 10n", "rx x 0 20meg", "cxb x b 7n", "cxc x c 7n"]
    deck += [f"rm x {0 if to is None else 'b'} {meter:.15g}"]
    asked = "v(x)" if to is None else "v(x)-v(b)"
    deck += [".ac lin 1 60 60", ".control", "run", f"print mag({asked})", ".endc"]
    path = tmp_path / "deck.cir"
    path.write_text("\n".join([*deck, ".end", ""]), encoding="ascii")
    run = subprocess.run(
        ["ngspice", "-b", str(path)], capture_output=True, text=True, check=False
    )
    shown = re.search(r"^mag\(.*\) = (\S+)", run.stdout, re.MULTILINE)
    assert shown, run.stdout + run.stderr
    # the branch is taken to be small beside the system, which it shifts by 0.4 %
    assert ours[0] == pytest.approx(float(shown[1]), rel=0.02)
