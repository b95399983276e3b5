"""When yards looked at plates in vain: dates of paintings beside works on others."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import ArrayLike
from ships import ship

from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.sampling import Draws
from corrosion.records.dates import as_written
from corrosion.records.ship import Berth, Work
from corrosion.wastage.uncertain import ZoneUnknowns, draw_zones
from corrosion.wastage.works import left_by_welds
from corrosion.wastage.yard_looks import (
    first_weld,
    last_sound,
    looks,
    welds_by_place,
)

NOW = as_written("2026-01-01").middle
FIRST = Work(date=as_written("2016-05-20"), zone="AP", work="pits welded", share=0.01)
NEXT = replace(FIRST, zone="FS", date=as_written("2021-06-10"))
PAINT = [
    Work(date=as_written(f"{day}-12"), zone="all", work="painted")
    for day in ("2016-05", "2019-03", "2021-06")
]


def zones(*works: Work) -> ZoneUnknowns:
    return draw_zones(ship(works=works), Draws(8, 1, default_assumptions()), NOW)


def dates(values: ArrayLike) -> list[str]:
    days = (np.asarray(values) / 86400.0).tolist()
    return ["" if np.isnan(d) else str(np.datetime64(int(d), "D"))[:7] for d in days]


def of(name: str) -> int:
    return ship().zone_index(name)


def test_a_painting_beside_a_weld_is_a_look_at_all_but_what_was_welded() -> None:
    drawn = zones(*PAINT, FIRST, NEXT)
    seen = looks(drawn.works, drawn.paint, NOW)
    by_zone = [
        dates(np.sort(row[np.isfinite(row)])) for row in seen[:, [of("FP"), of("AP")]].T
    ]
    assert by_zone == [["2016-05", "2021-06"], ["2021-06"]]  # nobody welded in 2019
    sound = dates(last_sound(drawn.works, drawn.paint, NOW))
    assert (sound[of("FP")], sound[of("AP")], sound[of("FS")]) == (
        "2021-06",
        "",
        "2016-05",
    )
    welds = dates(first_weld(drawn.works, len(sound), NOW))
    assert (welds[of("FP")], welds[of("AP")], welds[of("FS")]) == (
        "",
        "2016-05",
        "2021-06",
    )


def test_a_look_at_a_plate_that_was_welded_is_a_work_on_it() -> None:
    left = [one for one in zones(*PAINT, FIRST, NEXT).works if one.work == "pits left"]
    assert [one.zones.nonzero()[0].tolist() for one in left] == [[of("AP")]]
    assert dates([left[0].moment]) == ["2021-06"]
    assert not left[0].renewed.any()
    assert not left[0].added.any()
    planned = replace(NEXT, date=as_written("2027-06-10"))
    later = replace(PAINT[2], date=as_written("2027-06-12"))
    assert len(zones(FIRST, planned, later).works) == 2


def test_what_was_known_of_a_plate_goes_with_it() -> None:
    renewed = replace(FIRST, work="renewed", share=1.0, date=as_written("2018-01-01"))
    drawn = zones(*PAINT, FIRST, NEXT, renewed)
    assert not any(one.work == "pits left" for one in drawn.works)
    assert dates(first_weld(drawn.works, len(ship().zones), NOW))[of("AP")] == ""
    before, after = (
        left_by_welds(drawn.pit_left, drawn.works, as_written(day).middle)
        for day in ("2017-01-01", "2020-01-01")
    )
    assert before[:, of("AP")] == pytest.approx(drawn.pit_left[:, of("AP")])
    assert after[:, of("AP")] == pytest.approx(np.zeros(8))


def stay(start: str, end: str | None, *, dock: bool) -> Berth:
    return Berth(
        start=as_written(start),
        end=None if end is None else as_written(end),
        berth="invented",
        supply="own",
        lies="dock" if dock else "afloat",
    )


BERTHS = (
    stay("2010-01", "2016-05", dock=False),
    stay("2016-05-10", "2016-06-10", dock=True),
    stay("2016-06", "2021-06", dock=False),
    stay("2021-06-01", "2021-06-30", dock=True),
    stay("2021-06", None, dock=False),
)


def test_pits_that_are_welded_between_dockings_had_leaked() -> None:
    afloat = replace(FIRST, date=as_written("2019-02"))
    works = (FIRST, NEXT, afloat, replace(afloat, zone="all"))
    leaked, docked = welds_by_place(ship(works=works, berths=BERTHS), NOW)
    assert dates(leaked)[of("AP")] == "2019-02"
    assert np.isfinite(leaked).sum() == 1  # all zones at once do not leak
    assert [dates(row)[of("AP")] for row in docked] == ["2016-05", ""]
    assert [dates(row)[of("FS")] for row in docked] == ["", "2021-06"]
    early, _ = welds_by_place(ship(works=works, berths=BERTHS), afloat.date.earliest)
    assert np.isnan(early).all()


@pytest.mark.parametrize(
    ("berths", "day"),
    [
        ((), "2019-02"),  # no berth is written
        (BERTHS[:1], "2019-02"),  # no docking is
        (BERTHS, "2003-02"),  # none of those years
        (BERTHS, "2016-07-20"),  # within two months of one
        (BERTHS, "2016"),  # of no day that lies away from one
    ],
)
def test_a_weld_is_afloat_only_where_dockings_are_on_record(
    berths: tuple[Berth, ...], day: str
) -> None:
    weld = replace(FIRST, date=as_written(day))
    leaked, _ = welds_by_place(ship(works=(weld,), berths=berths), NOW)
    assert np.isnan(leaked).all()


def test_a_leak_of_a_plate_goes_with_it() -> None:
    afloat = replace(FIRST, date=as_written("2018-02"))
    new = replace(FIRST, work="renewed", share=1.0, date=as_written("2021-06"))
    vessel = ship(works=(FIRST, afloat, new), berths=BERTHS)
    leaked, docked = welds_by_place(vessel, NOW)
    assert np.isnan(leaked).all()
    assert docked.shape == (0, len(vessel.zones))


def test_metals_that_thin_less_pit_more() -> None:
    """A twentieth of steel's loss: pits as 20 ** 0.35 = 2.85 times steel's over it."""
    plain = ship()
    metals = tuple(
        replace(z, metal="aluminium 5083" if k == 0 else z.metal)
        for k, z in enumerate(plain.zones)
    )
    draws = Draws(8, 1, default_assumptions())
    ratio = (
        draw_zones(replace(plain, zones=metals), draws, NOW).pitting
        / draw_zones(plain, draws, NOW).pitting
    )
    assert ratio[:, 0] == pytest.approx(np.full(8, 2.853), rel=1e-3)
    assert (ratio[:, 1:] == 1.0).all()
