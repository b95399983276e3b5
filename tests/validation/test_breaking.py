"""A study can fail: broken laws reach the estimate, and scores that moved say so."""

from dataclasses import replace
from importlib import import_module

import pytest
from validation.breaking import Parts, moved, parts, spans, turned_red
from validation.broken_laws import LAWS, Broken
from validation.test_study import ASKED, perfect

from corrosion.foundation.assumptions import default_assumptions
from corrosion.validation.scenarios import SCENARIOS
from corrosion.validation.scores import ROWS, Interval, Item
from corrosion.validation.study import one_ship


def test_a_broken_law_is_broken_and_mended() -> None:
    """The break reaches the estimate, and is gone after.

    No gauging pulls it back, nor a plate that was renewed: so a ship is taken in which
    there was none.
    """
    law: Broken = LAWS[0]
    asked = replace(ASKED, scenario="never gauged")
    (plain,), (broken,), (after,) = (
        one_ship(each, 2)["natural_kg"]
        for each in (asked, replace(asked, law=law), asked)
    )
    assert isinstance(plain, Interval)
    assert isinstance(broken, Interval)
    assert broken.p50 < 0.9 * plain.p50  # it reaches the estimate; inside stays
    assert broken.truth == plain.truth
    assert after == plain


def test_answers_a_tenth_off_move_by_many_paired_errors() -> None:
    both = [perfect(seed) for seed in range(5, 17)]
    right, wrong = (
        parts([ship | {"given_up": [0.0]} for ship in side])
        for side in zip(*both, strict=True)
    )
    far = {(move.row, move.kind): move.z for move in moved(right, wrong)}
    assert far["left_gauged", "score"] > 3.0
    assert far["hours", "score"] > 3.0
    assert far["hours", "rank"] < -3.0  # truths stand lower in answers too high
    assert moved(right, right) == []


def test_a_row_turns_red_when_its_span_leaves_the_band() -> None:
    held = Interval(0.0, 1.0, 2.0, 1.0)
    missed = Interval(0.0, 1.0, 2.0, 9.0)

    def rows(share: int) -> Parts:
        items: list[Item | None] = [*[held] * share, *[missed] * (10 - share)]
        return parts([{"left_gauged": items, "given_up": [0.0]}] * 12)

    green = {words for words, span in spans(rows(8)).items() if span.green}
    assert green == {"left_gauged", "left_gauged (rank)", "given_up"}
    assert set(turned_red(rows(8), rows(2))) == {"left_gauged", "left_gauged (rank)"}
    assert turned_red(rows(8), rows(8)) == {}
    assert spans({"worst_ours": [(3.0, 0.0, 0.0, 1.0)] * 12}) == {}  # told, not judged


@pytest.mark.parametrize("law", LAWS, ids=lambda law: law.words)
def test_every_broken_law_is_there_to_be_broken(law: Broken) -> None:
    """A function that moved, or an assumption that is gone, would break nothing."""
    assert law.scenario in SCENARIOS
    assert set(law.rows) <= set(ROWS)
    assert bool(law.where) != bool(law.assume)
    table = default_assumptions()
    for name, (median, spread) in law.assume.items():
        assert (median, spread) != (table[name].median, table[name].geometric_sd)
    if law.where:
        module, _, name = law.where.partition(":")
        owner = import_module(module)
        if "." in name:
            kind, name = name.split(".")
            owner = getattr(owner, kind)
        whole = vars(owner)[name]
        with law():
            assert vars(owner)[name] is not whole
        assert vars(owner)[name] is whole
