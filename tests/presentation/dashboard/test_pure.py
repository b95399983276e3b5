from dataclasses import replace
from datetime import date

import pandas as pd
import pytest
from ships import AC, DC, current, ship

from corrosion.foundation.errors import InputError
from corrosion.inspection.cautions import NO_DANGER, OPEN
from corrosion.inspection.fault_finding.probabilities import Seen
from corrosion.presentation.answers.hunt import hunt_result
from corrosion.presentation.answers.isolation import MeasureChoice, chosen_measures
from corrosion.presentation.answers.single_system import fault_state, lamp_sensitivity
from corrosion.presentation.dashboard.editing import merged
from corrosion.presentation.dashboard.entries import cells_of, next_id
from corrosion.presentation.dashboard.huntsheet import hunt_html
from corrosion.presentation.dashboard.markup import escape_markdown
from corrosion.presentation.files import csv_bytes
from corrosion.records.ship import Circuit, LampSet

SHIP = ship()
A, B, C, D = ({"fault": name, "zone": "Z"} for name in "ABCD")


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_text_that_starts_a_formula_is_made_safe(start: str) -> None:
    table = pd.DataFrame({"zone": [f"{start}cmd"], f"{start}head": [-1.5]})
    text = csv_bytes(table).decode("utf-8-sig")
    assert f"'{start}cmd" in text
    assert f"'{start}head" in text
    assert text.rstrip().endswith("-1.5")


def test_cells_are_written_as_the_crew_would() -> None:
    cells = cells_of({"amps": -0.5, "meter_ohm": 1e7, "zone": None, "lamp_a": "out"})
    assert cells == {"amps": "-0.5", "meter_ohm": "10000000", "lamp_a": "out"}


def test_ids_go_on_and_stay_unique() -> None:
    assert next_id(["F9"]) == "F10"
    assert next_id(["F2", "F1"]) == "F3"


def test_changes_of_two_are_both_kept() -> None:
    mine = {0: A | {"zone": "Y"}, 1: B, 3: D}  # C removed, A amended, D new
    theirs = [A, B | {"zone": "X"}, C, {"fault": "E", "zone": "Z"}]
    rows, contested = merged([A, B, C], mine, theirs)
    assert rows == [mine[0], theirs[1], theirs[3], D]
    assert contested == []


def test_a_row_that_both_changed_stays_theirs_and_is_named() -> None:
    rows, contested = merged([A], {0: A | {"zone": "Y"}}, [A | {"zone": "X"}])
    assert rows == [A | {"zone": "X"}]
    assert contested == ["A"]


def test_a_row_emptied_is_removed_and_an_empty_new_one_is_none() -> None:
    blank = {"fault": "", "zone": ""}
    assert merged([A, B], {0: blank, 1: B, 2: blank}, [A, B])[0] == [B]


def test_every_tick_is_a_measure() -> None:
    one = ship(faults=(current("F1", "2020", "2021", 1.0, circuit="deck"),))
    ticked = MeasureChoice(
        transformers=True,
        isolators=True,
        alarm_ohm=1e4,
        circuits=("deck",),
        joint="RUD",
        painted="FP",
        paint_date="2020",
    )
    assert len(chosen_measures(ticked, one)) == 6
    assert chosen_measures(MeasureChoice(), one) == []
    with pytest.raises(InputError, match="date"):
        chosen_measures(MeasureChoice(painted="FP", paint_date="soon"), one)


def test_the_hunt_sheet_prints_what_it_is_given_and_no_markup_of_its_own() -> None:
    one = ship(
        circuits=(
            Circuit(system="power", circuit="<b>deck", permission="cook"),
            Circuit(system="power", circuit="galley"),
        )
    )
    seen = Seen(conductor="a", stayed=("galley",))
    day = date(2026, 11, 25)
    page = hunt_html(hunt_result(one, "power", lies="alongside", seen=seen, as_of=day))
    assert "she lies alongside; the lamps point to conductor a" in page
    assert "the indication stayed with galley" in page
    assert "STILL OPEN: galley" in page
    assert "&lt;b&gt;deck" in page
    assert "ask cook" in page
    caution, opens = page.index(OPEN[:40]), page.index("<th>May be opened</th>")
    assert caution < opens < page.index("ask cook", opens)
    assert NO_DANGER in page
    assert "http" not in page


def test_text_is_no_markdown() -> None:
    assert escape_markdown("a_b $x$ :red[y]") == r"a\_b \$x\$ \:red\[y\]"


def test_a_solid_fault_pulls_its_conductor_to_the_hull() -> None:
    state = fault_state(SHIP, DC, "+", 0.0)
    assert abs(state.hull_volts[0]) < 1e-6
    assert state.hull_volts[1] == pytest.approx(-110.0)
    assert state.amps > 0.0
    assert fault_state(SHIP, DC, "-", 0.0).amps < 0.0
    assert "no detector lamps" in state.words
    assert lamp_sensitivity(SHIP, DC) is None


def test_lamps_lose_sight_at_the_least_visible_fault() -> None:
    lit = replace(AC, lamps=LampSet(volts=254.0, watts=25.0))
    sight = lamp_sensitivity(SHIP, lit)
    assert sight is not None
    hidden = sight.ohms > sight.least
    assert (sight.ratio[hidden] > sight.threshold).all()
    assert (sight.ratio[~hidden] <= sight.threshold).all()
    assert fault_state(SHIP, lit, "a", 1.0).pictures[0] == "out"


def test_a_restated_assumption_reaches_the_lamps_of_a_page() -> None:
    lit = replace(AC, lamps=LampSet(volts=254.0, watts=25.0))
    keen = SHIP.assumptions.override("lamp_light_ratio", median=1.05, why="test")
    seen = [
        lamp_sensitivity(one, lit) for one in (SHIP, replace(SHIP, assumptions=keen))
    ]
    usual, keener = (sight.least for sight in seen if sight is not None)
    assert keener > 2.0 * usual
