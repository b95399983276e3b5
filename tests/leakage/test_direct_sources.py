"""Direct sources that nobody looked for: by living it, and from the folder to JSON."""

from collections.abc import Mapping
from typing import Any

import numpy as np
import pytest
from records.folders import sound, write_rows
from ships import AC, DC

import corrosion
from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.sampling import Draws
from corrosion.leakage.conditions import SystemEvidence
from corrosion.leakage.direct_sources import looked_at, sample_chance
from corrosion.leakage.inference.evidence import Evidence
from corrosion.leakage.wander import Wander
from corrosion.records.kinds import Current
from corrosion.records.ship import Readings

TABLE = default_assumptions()


def test_whether_anybody_looked() -> None:
    cases: tuple[tuple[float | None, Current, bool | None], ...] = (
        (None, "dc", None),
        (0.4, "ac", None),
        (0.4, "dc", True),
        (0.0, "dc", False),
    )
    for amps, current, looked in cases:
        readings = Evidence.of(Readings(conductor="a", amps=amps, current=current))
        said = SystemEvidence(
            places=[7],
            evidence=[readings],
            moment=[None],
            hours=[[(0.0, readings)]],
            parts=[[]],
            wander=Wander.of(TABLE),
        )
        assert looked_at(AC, said) == {7: looked}
        assert looked_at(DC, said) == {}


@pytest.mark.parametrize(("sources", "noughts"), [(0, 0), (2, 0), (0, 4), (1, 3)])
def test_the_chance_is_that_of_ships_lived_with_the_same_records(
    sources: int, noughts: int
) -> None:
    """Ships whose crews write so many of eight faults; of the rest so many have one."""
    rng = np.random.default_rng(sources * 10 + noughts)
    row, ships = TABLE["direct_source_chance"], 600_000
    z = rng.standard_normal(ships)
    p = np.clip(row.median * row.geometric_sd**z, row.low, row.high)
    r, n = rng.random(ships), rng.random(ships)
    there = rng.random((ships, 8)) < p[:, None]
    written = rng.random((ships, 8)) < np.where(there, r[:, None], n[:, None])
    alike = ((there & written).sum(axis=1) == sources) & (
        (~there & written).sum(axis=1) == noughts
    )
    left = ~written[alike]
    lived = (there[alike] & left).sum() / left.sum()
    looked = [True] * sources + [False] * noughts + [None] * (8 - sources - noughts)
    chance = sample_chance(looked, Draws(4096, 1, TABLE))
    assert alike.sum() > 500
    assert chance.mean() == pytest.approx(lived, rel=0.15)
    assert chance.std() > 0.3 * chance.mean()  # it is learned of eight faults only


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> Mapping[str, Any]:
    """Return the JSON of a folder: an earthed quay, one of eight faults looked at."""
    folder = sound(tmp_path_factory.mktemp("ships") / "ship")
    write_rows(
        folder,
        "faults",
        tuple(
            {"fault": f"F{k}", "system": "service", "source": "ground fault",
             "conductor": "b", "zone": "Z1", "found": f"20{10 + k}-03-03 08:00",
             "cleared": f"20{10 + k}-03-13 08:00", "insulation_ohm": "60",
             **dict.fromkeys(("last_good", "amps", "lamp_a", "lamp_b", "lamp_c"), "")}
            for k in range(8)
        ),
    )  # fmt: skip
    write_rows(
        folder,
        "readings",
        ({"time": "2010-03-04 09:00", "system": "service", "fault": "F0",
          "amps": "0", "current": "dc"},),
    )  # fmt: skip
    result = corrosion.estimate(folder, samples=1024, seed=1, as_of="2020-01-01")
    told: Mapping[str, Any] = result.to_json()
    return told


def test_from_folder_to_json_a_nought_that_was_read_stays_one(
    told: Mapping[str, Any],
) -> None:
    for key in ("charge_ah_dc", "amps_dc"):
        assert set(told["faults"][0][key].values()) == {0.0}


def test_from_folder_to_json_the_ship_may_carry_direct_current_nobody_read(
    told: Mapping[str, Any],
) -> None:
    # Where 254 V drive the alternating current through a fault and the quay, 440 V x
    # 0.35 (mean of 0.3 times or by 2, 0.7 at most) drive a direct one, if it is there.
    direct = told["totals"]["charge_ah_dc"]
    assert direct["p10"] == direct["p50"] == 0.0 < 100.0 < direct["p90"]
    looked = [False] + [None] * 7
    chance = sample_chance(looked, Draws(1024, 1, TABLE)).mean()
    beside = sum(row["charge_ah_ac"]["mean"] for row in told["faults"][1:])
    assert direct["mean"] == pytest.approx(chance * 154.0 / 254.0 * beside, rel=0.3)
    # What nobody read is no kind of current that is told of.
    assert {row["current"] for row in told["faults"]} == {"ac"}
    assert all(row["charge_ah_dc"]["p90"] < 10.0 for row in told["faults"])
