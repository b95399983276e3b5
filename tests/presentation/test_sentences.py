"""Tests of presentation.sentences: the headline, totals, cautions."""

from dataclasses import replace
from datetime import date
from typing import Any

from ships import ZONES, berth, current, ship

import corrosion
from corrosion import Estimate, Ship
from corrosion.inspection.cautions import ESTIMATE, OPEN, PROVE, SHORE, TEST
from corrosion.presentation.answers.plan import gauging_plan
from corrosion.presentation.format import interval, number
from corrosion.presentation.sentences import headline, plan_sentence, totals_sentence
from corrosion.records.ship import Prices

TODAY = date(2026, 1, 1)


def run(one: Ship, as_of: date = TODAY) -> Estimate:
    return corrosion.estimate(one, samples=32, seed=1, as_of=as_of)


def worn(limit: float) -> Ship:
    """Return a ship of thick plates; the first may lose what stands over a limit."""
    thick: dict[str, Any] = {"built": 0.290, "pit_limit": 1e-3}
    thin = replace(ZONES[0], limit=limit + 0.280, **thick)
    return ship(
        zones=(
            thin,
            *(replace(z, limit=1e-3, bare=0.01, **thick) for z in ZONES[1:]),
        )
    )


def test_the_answer_is_where_to_look_first_and_why() -> None:
    said = headline(run(worn(0.00999)))
    assert said.startswith("Gauge FP (invented FP, frames 0 to 24) now: ")
    assert "most of its loss is natural corrosion" in said
    assert "Stray currents took nothing from the hull." in said


def test_the_answer_gives_a_day_where_there_is_one() -> None:
    one = worn(0.0091)  # a nuisance: half the chance is tolerated
    zones = tuple(replace(zone, consequence=1) for zone in one.zones)
    result = run(replace(one, zones=zones))
    due = result.zones.iloc[0]["inspect_by"]
    assert due > "2026-01-01"
    assert f"by {due}: " in headline(result)


def test_the_answer_says_where_no_zone_falls_below_its_limit() -> None:
    said = headline(run(worn(-0.029)))
    assert "no zone falls below its limit by 2027-06-01" in said
    assert "nearest to it is" in said


def test_a_plan_leaves_out_what_is_renewed_whatever_is_read() -> None:
    result = run(worn(0.025))  # fifteen millimetres below its limit from the beginning
    plan = gauging_plan(result, hours=1e3, access=("inside", "diver", "dock"))
    assert plan["settled"] == ["FP"]
    assert "FP is left out: likelier below a limit" in plan_sentence(plan)
    sound = gauging_plan(run(worn(0.001)), hours=1e3, access=("inside", "diver"))
    assert sound["settled"] == []
    assert "likelier below" not in plan_sentence(sound)


def test_the_answer_names_the_couple() -> None:
    quay = berth(
        "2001",
        None,
        "shore earthed",
        earth_cable=0.02,
        shore_earth=0.05,
        earth_couple=0.9,
    )
    one = replace(worn(0.0095), berths=(quay,))
    said = headline(run(one))
    assert "most of its loss is the couple with the earthed shore supply" in said
    assert "expect 100 % to come from the couple" in said


def test_totals_stand_beside_their_ceiling() -> None:
    result = run(ship(faults=(current("W", "2020", "2021", 4.0),)))
    said = totals_sentence(result)
    assert said.startswith("Up to 2026-01-01, stray currents took ")
    assert interval(result.totals, "ceiling_kg", "kg") in said
    assert interval(result.totals, "natural_kg", "kg") in said
    assert "worth" not in said
    money = number(3.0 * result.totals["stray_kg"]["mean"])
    priced = replace(result, ship=replace(result.ship, prices=Prices(steel_per_kg=3.0)))
    words = f"worth an expected {money} in the currency of ship.toml."
    assert words in totals_sentence(priced)


def test_cautions_defer_to_those_responsible() -> None:
    together = f"{ESTIMATE} {PROVE} {OPEN} {SHORE} {TEST}"
    for word in (
        "neither a gauging nor the class surveyor",
        "licensed electricians",
        "lock out and tag out",
        "local codes",
        "the yard",
    ):
        assert word in together
