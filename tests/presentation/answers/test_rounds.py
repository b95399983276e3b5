"""Tests of rounds and hook-ups: what may be saved, and as which rows."""

from dataclasses import replace
from math import inf

import pytest
from ships import ship

from corrosion.foundation.assumptions import default_assumptions
from corrosion.presentation.answers.rounds import (
    HookUp,
    RoundOfSystem,
    earth_lead_rows,
    hook_up_problems,
    hook_up_row,
    round_problem,
    round_row,
)

TABLE = default_assumptions()
SYSTEM = ship().systems[0]


def test_a_healthy_round_is_a_reading_without_a_fault() -> None:
    one = RoundOfSystem(system=SYSTEM, lamps=("even", "even", ""), monitor_ohm=120e3)
    assert round_problem(one, TABLE) == ""
    assert round_row(one, {"time": "2026-11-26", "by": ""}) == {
        "time": "2026-11-26",
        "system": SYSTEM.name,
        "lamp_a": "even",
        "lamp_b": "even",
        "monitor_ohm": "120000",
    }


@pytest.mark.parametrize(
    ("lamps", "monitor", "word"),
    [
        (("dim", "bright", "bright"), None, "a lamp is dim"),
        (("even", "failed", "even"), None, "has failed"),
        ((), 4e3, "below its alarm (44.0 kΩ)"),
    ],
)
def test_what_shows_a_fault_is_no_healthy_round(
    lamps: tuple[str, ...], monitor: float | None, word: str
) -> None:
    one = RoundOfSystem(system=SYSTEM, lamps=lamps, monitor_ohm=monitor)
    assert word in round_problem(one, TABLE)


def test_the_earth_lead_is_of_no_system() -> None:
    rows = earth_lead_rows({"dc": -0.026, "ac": None}, {"time": "2026", "by": ""})
    assert rows == [
        {
            "time": "2026",
            "circuit": "shore cable",
            "clamped": "earth lead",
            "amps": "-0.026",
            "current": "dc",
        }
    ]


CARD = HookUp(time="2026-11-26", berth="Quay", supply="shore earthed")


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"ac_v": 40.0}, "Do not connect; keep people off"),
        ({"phases": "wrong"}, "Phase order wrong"),
        ({"earth_ohm": inf}, "Protective conductor none"),
        ({"earth_ohm": 3.0}, "Protective conductor 3 Ω, more than 1 Ω"),
        ({"time": " "}, "Write when"),
    ],
)
def test_what_may_make_the_hull_live_is_not_connected(
    change: dict[str, object], word: str
) -> None:
    (problem,) = hook_up_problems(replace(CARD, **change), TABLE)  # type: ignore[arg-type]
    assert word in problem


def test_a_hook_up_is_a_berth_with_its_couple_and_conductor() -> None:
    card = replace(CARD, couple_v=0.3, earth_ohm=0.15, more={"shore_side": "port"})
    assert hook_up_problems(card, TABLE) == []
    assert hook_up_row(card) == {
        "from": "2026-11-26",
        "berth": "Quay",
        "supply": "shore earthed",
        "earth_cable_ohm": "0.15",
        "earth_couple_v": "0.3",
        "shore_side": "port",
    }
    through = replace(CARD, supply="shore isolated", earth_ohm=inf)
    assert hook_up_problems(through, TABLE) == []
    assert hook_up_row(through)["earth_cable_ohm"] == "none"
