"""Tests of leakage.visibility: by hand, and from a ship's folder to the JSON."""

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from leakage.systems import found_in_first
from records.folders import sound, write_rows
from ships import berth, fault, ship

import corrosion
from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array
from corrosion.leakage.duration_laws import sample_laws
from corrosion.leakage.earthed_stays import DrawnFaults
from corrosion.leakage.lamp_pattern import least_visible_fault
from corrosion.leakage.visibility import (
    chance_hidden,
    dates_said,
    hidden_ohms,
    opens_breaker,
)
from corrosion.leakage.wander import Wander
from corrosion.records.dates import as_written
from corrosion.records.ship import Fault

AS_OF = as_written("2020").earliest
PHASE = 440.0 / np.sqrt(3.0)
QUAY = berth("2003-01", "2004-01", "shore earthed", shore_earth=0.9, earth_cable=0.1)


def test_the_chance_that_one_was_hidden_by_hand() -> None:
    # Even before, and wandered by a factor of e: what was hidden is found at 3 kohm
    # with 1/2, at 1.1 with P(z < -1) = 0.1587, and what was seen there with 1.
    ohms = 3e3 * np.array([1e3, 1.0, np.exp(-1.0), 1e-4])
    chance = chance_hidden(ohms[:, None], np.array([3e3]), 1.0, 0.02)[:, 0]
    assert chance == pytest.approx([0.98, 0.5 / 1.5, 0.1587 / 1.1587, 0.02], rel=1e-3)
    assert (chance_hidden(ohms[:, None], np.zeros(1), 1.0, 0.02) == 1.0).all()


def opened(one: Fault, ohms: float, *, pole: int = 0, **more: Any) -> bool:
    her = ship(faults=(one,), berths=(replace(QUAY, **more),))
    every = np.full((4, 1), ohms)
    most = np.full((4, 1), 10.0)
    poles, found_in = np.full((4, 1), pole), found_in_first(her, 4)
    found_in.part[:] = max(len(found_in.parts[0]) - 1, 0)  # at the quay, if ever
    none = np.zeros(every.shape)
    drawn = DrawnFaults(every, poles, none, most, none)
    found = opens_breaker(her, found_in, drawn)
    assert len(set(found[:, 0].tolist())) == 1
    return bool(found[0, 0])


def test_what_an_earthed_supply_opens_by_hand() -> None:
    # 254 V through the fault, and 0.9 beside 0.1 ohm back: 10 A at 25.3 ohm.
    day = fault("F", "2003-06-10", "2003-06-10")
    assert opened(day, 25.2)
    assert not opened(day, 25.4)
    assert not opened(day, 1.0, supply="own")
    assert not opened(day, 1.0, earthed_at="none")
    assert opened(day, 25.4, earthed_at="a", pole=1)  # 440 V between the lines
    assert not opened(day, 0.1, earthed_at="a", pole=0)


@pytest.mark.parametrize(
    ("one", "may"),
    [
        (fault("F", "2003-06-10", "2003-06-11"), False),  # somebody saw it stand
        (fault("F", "2003", "2003"), True),
        (replace(fault("F", "2003-06-10"), standing=False), True),
        (fault("F", "2003-06-10"), True),  # nobody saw it stand
        (replace(fault("F", "2003-06-10"), standing=True), False),
        (replace(fault("F", "2003-06-10"), source="welding"), False),
    ],
)
def test_a_fault_that_stood_opened_nothing(one: Fault, may: bool) -> None:
    assert opened(one, 1.0) == may


def weight_of(faults: tuple[Fault, ...], hidden: Array) -> Array:
    one, draws = ship(faults=faults), Draws(256, 1, default_assumptions())
    laws = sample_laws(
        one,
        draws,
        shown=1.0 - hidden.mean(axis=0),
        opened=np.zeros(len(faults)),
        as_of=AS_OF,
    )
    said = dates_said(one, laws, hidden)
    return said.weight(hidden, np.zeros(hidden.shape, dtype=np.bool_))


def test_a_gap_of_months_speaks_for_what_the_watch_could_not_see() -> None:
    hidden = np.repeat([[0.02], [0.98]], 128, axis=0)
    months = fault("F", "2003-06-10 00:00", good="2003-01-10 00:00")
    watch = fault("F", "2003-06-10 00:00", good="2003-06-09 20:00")
    blank = fault("F", "2003-06-10")
    ratio = []
    for one in (months, watch, blank):
        weight = weight_of((one,), hidden)[:, 0]
        ratio.append(weight[-1] / weight[0])
    assert ratio[0] > 20.0
    assert ratio[1] < 0.05
    assert ratio[2] == pytest.approx(1.0)


def test_coarse_dates_are_those_of_the_hidden_as_far_as_others_were() -> None:
    # Of three others that were hidden two are dated by the year, of three that were
    # seen none; of four more of either kind one and a half: (1 + 2)/(4 + 3) over
    # (0.5 + 0)/(4 + 3), six times as likely.
    names = ("2001", "2002", "2003-05-01", "2004-05-01", "2005-05-01", "2006-05-01")
    faults = tuple(fault(f"F{k}", text) for k, text in enumerate((*names, "2007")))
    hidden = np.tile([1.0, 1.0, 1.0, 0.0, 0.0, 0.0, 0.0], (256, 1))
    hidden[:128, 6] = 1.0
    weight = weight_of(faults, hidden)[:, 6]
    assert weight[0] / weight[-1] == pytest.approx(6.0)


def test_what_hid_lay_above_the_least_that_shows() -> None:
    wander = Wander(daily=0.24, slow=1.5, memory=1e7)
    u = ((np.arange(256) + 0.5) / 256)[:, None]
    waited = np.full(u.shape, 8e6)
    shift, sd = wander.over(0.5 * waited, waited)
    for read in (1.0, 2e3, 1e6):
        ohms = hidden_ohms(np.full(u.shape, read), np.array([3e3]), waited, wander, u)
        assert (ohms >= 3e3 * np.exp(shift) * (1.0 - 1e-9)).all()
    assert np.median(ohms) == pytest.approx(1e6 * np.exp(shift[0, 0]), rel=0.01)
    assert np.log(ohms).std() == pytest.approx(sd[0, 0], rel=0.02)


ROW = {"system": "service", "source": "ground fault", "conductor": "b", "zone": "Z1"}
EVEN = {"lamp_a": "even", "lamp_b": "even", "lamp_c": "even"}


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> Mapping[str, Any]:
    """Return the JSON's faults of a folder: lamps tell nothing on an earthed quay."""
    folder = sound(tmp_path_factory.mktemp("ships") / "ship")
    rows = {
        "year": {"last_good": "2009-06-10", "found": "2010-06-10", **EVEN},
        "watch": {"last_good": "2012-06-10 04:00", "found": "2012-06-10 08:00", **EVEN},
        "sank": {"last_good": "2013-06-10", "found": "2014-06-10 08:00",
                 "insulation_ohm": "300"},
        "opens": {"found": "2016-03-03", "insulation_ohm": "6"},
        "clamped": {"found": "2017-03-03", "amps": "40"},
        "stands": {"found": "2018-03-03", "amps": "0.4"},
    }  # fmt: skip
    blank = dict.fromkeys(("last_good", "cleared", "amps", "insulation_ohm", *EVEN), "")
    faults = tuple(
        {"fault": name, **ROW, **blank, "cleared": row["found"][:10], **row}
        for name, row in rows.items()
    )
    write_rows(folder, "faults", faults)
    result = corrosion.estimate(folder, samples=256, seed=1, as_of="2020-01-01")
    return {each["fault"]: each for each in result.to_json()["faults"]}


def test_from_folder_to_json_a_year_without_a_check_is_a_high_resistance(
    told: Mapping[str, Any], tmp_path: Path
) -> None:
    (system, _) = corrosion.read_ship(sound(tmp_path / "ship")).systems
    least = least_visible_fault(system)
    assert told["year"]["resistance_ohm"]["p50"] > least
    assert told["year"]["hours"]["p50"] > 30.0 * 24.0
    assert told["watch"]["resistance_ohm"]["p50"] < least
    assert told["watch"]["hours"]["p90"] < 5.0 * 24.0
    # Nothing above the least that shows passes more than 254 V drive through that.
    for name in ("year", "sank"):
        most = PHASE / least * told[name]["hours"]["p90"]
        assert told[name]["charge_ah"]["p10"] < 0.3 * most


def test_from_folder_to_json_what_sank_passed_little_while_it_hid(
    told: Mapping[str, Any], tmp_path: Path
) -> None:
    # Tested at 300 ohm on the day, and hidden for days: not 0.85 A for all of them.
    assert told["sank"]["resistance_ohm"]["p90"] < 1500.0
    assert 24.0 < told["sank"]["hours"]["p50"] < 30.0 * 24.0
    whole = PHASE / 300.0 * told["sank"]["hours"]["p50"]
    assert told["sank"]["charge_ah"]["p50"] < 0.15 * whole


def test_from_folder_to_json_what_opens_its_breaker_stands_a_minute(
    told: Mapping[str, Any],
) -> None:
    # 254 V drive 40 A through 6 ohm and a branch that carries 10: a minute times or by
    # three, from beginning to end, and 40 A x 60 s = 0.7 Ah at most in the middle. What
    # a clamp showed did not open it and stands for its hours, as 0.4 A do.
    assert told["opens"]["hours"]["p50"] == pytest.approx(1.0 / 60.0, rel=0.6)
    assert told["opens"]["charge_ah"]["p50"] < 0.7
    assert told["clamped"]["hours"]["p50"] > 0.5
    assert told["stands"]["hours"]["p50"] > 1.0
