"""Tests of leakage.lamp_text."""

from dataclasses import replace

import pytest
from leakage.systems import POWER

from corrosion.foundation.errors import InputError
from corrosion.leakage.lamp_pattern import picture, visibility_curve
from corrosion.leakage.lamp_text import describe_lamps
from corrosion.leakage.network import solve
from corrosion.records.ship import Picture


def test_two_dim_lamps_point_to_the_conductor_that_is_at_fault() -> None:
    for conductor in POWER.conductors:
        volts = solve(POWER, [(conductor, 4e3)], lamps=True).lamp_volts
        assert volts is not None
        words = picture(volts, rated_volts=127.0).tolist()
        assert sorted(words) == ["bright", "dim", "dim"]
        assert describe_lamps(POWER, words).endswith(f"a-b-c, on {conductor}.")


@pytest.mark.parametrize(
    ("pictures", "expected"),
    [
        (
            ("bright", "out", "bright"),
            "Lamp b out, a and c bright: b lies on the hull or nearly so and is still",
        ),
        (
            ("dim", "even", "bright"),
            "Lamp a dim, b even, c bright: a fault of some res",
        ),
        (("out", "bright", "out"), "a and c all lie on the hull, or their lamps have"),
        (("out", "out", "out"), "All lamps out: the set is disconnected, its lamps"),
        (("dim", "dim", "dim"), "All lamps alike: no fault that they could show. One"),
    ],
)
def test_sentences(pictures: tuple[Picture, ...], expected: str) -> None:
    assert expected in describe_lamps(POWER, pictures)


def test_hidden_fault_is_the_one_of_the_curve() -> None:
    text = describe_lamps(POWER, ["even", "even", "even"])
    hidden = 1e3 * float(text.split("above about ")[1].split(" kΩ")[0])
    ratio, _ = visibility_curve(POWER, hidden)
    assert ratio == pytest.approx(1.5, rel=0.05)


def test_refuses_other_pictures() -> None:
    with pytest.raises(InputError, match=r"pictures must be 3 of out, dim.*got out"):
        describe_lamps(POWER, ["out"])
    with pytest.raises(InputError, match=r"pictures must be 3 of .*got glow, out, out"):
        describe_lamps(POWER, ["glow", "out", "out"])  # type: ignore[list-item] # on purpose
    with pytest.raises(InputError, match="has no detector lamps"):
        describe_lamps(replace(POWER, lamps=None), ["even", "even", "even"])
