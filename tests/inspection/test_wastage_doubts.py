"""Tests of inspection.doubts: what no standard settles is said."""

from dataclasses import replace
from datetime import date

from ships import AC, DC, ZONES, fault, ship, zone

import corrosion

TODAY = date(2026, 1, 1)
WHOLE = {"bare": 0.001, "built": 0.009, "limit": 0.0089, "consequence": 5}


def warnings_of(one: corrosion.Ship) -> list[str]:
    return list(corrosion.estimate(one, samples=32, as_of=TODAY).warnings)


def test_an_unlisted_inner_face_ranks_no_zone_first_in_silence() -> None:
    thin = zone("FP", (0, 24), "port", **WHOLE)
    result = corrosion.estimate(ship(zones=(thin, *ZONES[1:])), samples=64, as_of=TODAY)
    rows = result.zones[result.zones["leading_cause"] == "inside"]
    assert rows["zone"].iloc[0] == "FP"
    assert rows["rank"].iloc[0] <= 3
    assert any("its inner face" in w and w.startswith("FP") for w in result.warnings)
    listed = replace(thin, inside="dry", inside_bare=0.3)
    told = warnings_of(ship(zones=(listed, *ZONES[1:])))
    assert not any("its inner face" in w for w in told)


def test_low_water_is_named() -> None:
    wet = zone("FP", (0, 24), "port", exposure="tidal")
    told = warnings_of(ship(zones=(wet, *ZONES[1:])))
    assert any("zone FP: tidal steel" in w for w in told)
    assert not any("tidal steel" in w for w in warnings_of(ship()))


def test_slow_alternation_is_doubted() -> None:
    slow = replace(AC, hertz=5.0)
    told = warnings_of(
        ship(systems=(slow, DC), faults=(fault("A", "2019", "2020", amps=1.0),))
    )
    assert any("alternates at 5 Hz" in w and "below 16 Hz" in w for w in told)
