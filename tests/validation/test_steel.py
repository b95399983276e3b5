"""Paint, natural loss and pits of the world: printed values, and its own laws."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from scipy.special import ndtri
from scipy.stats import lognorm

from corrosion.validation.life import Circumstances, Life, live
from corrosion.validation.nature import LAWS, NOW, YEAR, Nature
from corrosion.validation.steel import (
    MM_A_YEAR_PER_AMPERE,
    SITES,
    Plating,
    fails_after,
    lost_after,
    painted,
    weather,
)
from corrosion.validation.vessels import launch
from corrosion.validation.voyages import richness, sail
from corrosion.validation.works import repair


@cache
def life(kind: str = "coaster", seed: int = 3) -> Life:
    return live(kind, seed, Circumstances())


@pytest.mark.published(
    source="ASTM G102 (from memory), and 1 A of iron in a year",
    where="1 A/m² takes 1.16 mm a year of steel; 1 A takes 9.13 kg a year",
    status="from memory",
)
def test_faraday_of_steel() -> None:
    assert MM_A_YEAR_PER_AMPERE["steel"] == pytest.approx(1.16, abs=0.005)
    kg = MM_A_YEAR_PER_AMPERE["steel"] * 1e-3 * 7870.0
    assert kg == pytest.approx(9.13, abs=0.01)


@pytest.mark.published(
    source="EN 1993-5 Table 4-2, sea water, as transcribed in a design code",
    where="permanent immersion 0.25, 0.90, 1.75, 2.60, 3.50 mm",
    status="read in a transcription",
)
def test_natural_loss_follows_the_printed_curve() -> None:
    years = np.array([5.0, 25.0, 50.0, 75.0, 100.0])
    sea = [0.25, 0.90, 1.75, 2.60, 3.50]
    splash = [0.55, 1.90, 3.75, 5.60, 7.50]
    assert lost_after(years, "immersed") == pytest.approx(sea, rel=0.035)
    assert lost_after(years, "splash") == pytest.approx(splash, rel=0.06)


@pytest.mark.published(
    source="Ali & Fulazzaky, Heliyon 2020 (transcribed table)",
    where="0.20 to 0.29 mm a year over 1,750 h",
    status="read in a transcription",
)
def test_the_first_months_are_fast() -> None:
    weeks = np.array([1750.0 / 8766.0])
    assert 0.17 < float(lost_after(weeks, "immersed")[0] / weeks[0]) < 0.29


@pytest.mark.published(
    source="a design guide's table of coating breakdown",
    where="final 10 / 30 / 60 / 90 % at 10 / 20 / 30 / 40 years",
    status="fitted, within 4 points",
)
def test_paint_fails_as_tabulated() -> None:
    age = fails_after(np.linspace(0.0005, 0.9995, 1000), np.ones(1))
    share = [(age < years).mean() for years in (10.0, 20.0, 30.0, 40.0)]
    assert share == pytest.approx([0.1, 0.3, 0.6, 0.9], abs=0.04)
    assert (age <= 0.0).mean() == pytest.approx(0.02, abs=0.002)


@pytest.mark.published(
    source="Shibata, J. Res. NIST 99(3), 1994, 327",
    where="of N pits the deepest is below d as often as one, to the power N",
    status="from memory",
)
def test_the_deepest_pit_scales_with_area() -> None:
    """Sites of a plate, all alike, give the extreme of its whole area."""
    deepest = [_plate(seed).keen.max() for seed in range(400)]
    median = LAWS["pitting"].median
    one = lognorm(0.4, scale=median / lognorm(0.4).ppf(0.5**0.01))  # 100 on 1 m²
    for q in (0.1, 0.5, 0.9):
        found = float(np.quantile(deepest, q))
        assert found == pytest.approx(one.ppf(q ** (1.0 / 100.0 / _AREA)), rel=0.04)


@pytest.mark.published(
    source="Southwell & Alexander 1970, mild steel in the sea at Panama",
    where="pits of some 1 and 2.8 mm where 0.15 (one year) and 1.1 mm (sixteen) went",
    status="from memory, within a third",
)
def test_pits_are_deep_early() -> None:
    """A panel of a quarter of a square metre, both faces of the plate alike."""
    panel = np.exp(0.4 * (ndtri(0.5 ** (1.0 / 25.0)) - ndtri(0.5 ** (1.0 / 100.0))))
    plating = replace(
        _plate(1),
        keen=np.full((1, 1), LAWS["pitting"].median * panel),
        pit_power=LAWS["pit_power"].median,
    )
    early, late = (float(plating.pits(np.array(x))[0, 0]) for x in (0.15, 1.1))
    assert early == pytest.approx(1.0, rel=0.33)
    assert late == pytest.approx(2.8, rel=0.33)
    assert plating.pits(np.array(40.0)) == 40.0  # never less than the even loss


_AREA = 64.0


def _plate(seed: int) -> Plating:
    """Draw one plate's sites with pits at their median."""
    one = life()
    plate = replace(one.vessel.plates[0], area=_AREA)
    vessel = replace(one.vessel, plates=(plate,))
    nature = Nature(seed=seed, widths={"pitting": 0.0})
    built = np.array([[vessel.built]])
    return weather(vessel, one.voyages, built, nature, NOW)


def test_mean_bare_and_deepest_come_off_the_same_sites() -> None:
    one = life()
    moments = np.linspace(one.vessel.built, NOW, 12)
    mean, deepest = one.lost(moments)
    assert (deepest >= mean - 1e-9).all()
    bare = one.plating.bare(moments)
    assert ((bare >= 0.0) & (bare <= 1.0)).all()
    assert one.plating.even(moments).shape == (12, len(one.vessel.plates), SITES)


def test_paint_heals_no_pit_and_stops_it() -> None:
    """Where nobody welds, no pit gets shallower, through every painting."""
    one = life("museum", 8)
    moments = np.linspace(one.vessel.built, NOW, 60)
    pits = one.plating.pits(one.plating.even(moments)).max(axis=2)
    assert (np.diff(pits, axis=0) >= -1e-9).all()
    painting = one.paintings[0, 1]
    sites = one.plating.even(np.array([painting, painting + 0.2 * YEAR]))[:, 0]
    still = (np.diff(sites, axis=0) == 0.0).mean()
    assert still > 0.9


def test_repairs_make_good_what_was_lost() -> None:
    one = life("museum", 8)
    kinds = {work.work for work in one.works.done}
    assert kinds == {"renewed", "pits welded"}
    left, _ = one.lost(one.voyages.dockings + 1.0)
    limit = np.array([p.built_mm - p.limit_mm for p in one.vessel.plates])
    assert (left < limit + 0.05 * 14.0).all()
    again = repair(
        one.vessel, one.plating, one.strays.added, one.voyages.dockings, one.nature
    )
    assert again.done == one.works.done


def test_a_yard_paints_the_plate_that_it_lets_in() -> None:
    """A month after, new plate is as bare as new paint; bilges are not docked for."""
    found = 0
    for seed in range(8, 12):
        one = live("museum", seed, Circumstances())
        for work in one.works.done:
            if work.work == "renewed" and work.moment < NOW:
                after = np.array([work.moment + YEAR / 12.0])
                assert one.plating.bare(after)[0, work.plate] < 0.06
                painted = np.abs(one.paintings[work.plate] - work.moment)
                found += painted.min() > YEAR  # no painting of a docking
    assert found > 0


def test_a_hole_is_seldom_left() -> None:
    """Of plates that were ever through, most are mended within the year."""
    found = []
    for seed in range(6):
        one = live("coaster", seed, Circumstances(shifts={"pitting": 2.0}))
        years = np.arange(one.vessel.built + YEAR, NOW, YEAR)
        _, deepest = one.lost(years + 2.0)
        steel = ["bronze" not in plate.metal for plate in one.vessel.plates]
        found.append((deepest > one.plating.rolled)[:, steel])
        holes = set(one.works.moments[1:]) - set(one.voyages.dockings)
        assert all(moment < NOW for moment in holes)
    assert 0.0 < np.concatenate(found).mean() < 0.01


@pytest.mark.published(
    source="IACS Common Structural Rules, corrosion additions for one side",
    where="dry spaces 0.5 mm in 25 years, 19 in 20 less",
    status="from memory",
)
def test_inner_faces_lose_what_a_class_rule_adds() -> None:
    dry = []
    for seed in range(150):
        nature = Nature(seed=seed)
        vessel = launch("boat", nature)
        voyages = sail(vessel, nature)
        paintings = painted(vessel, voyages.dockings, nature)
        plating = weather(vessel, voyages, paintings, nature, NOW)
        lost = plating.worn_inside(np.array([vessel.built + 25.0 * YEAR]))[0]
        at = [p.inside == "dry" and p.wet for p in vessel.plates]
        dry.append(lost[at])
    assert np.quantile(np.concatenate(dry), 0.95) == pytest.approx(0.5, rel=0.3)


def test_natural_amperes_integrate_to_natural_loss() -> None:
    """A year of the rate that the electrodes are given is a year of loss."""
    one = life("coaster", 5)
    moments = NOW - 6.0 * YEAR + np.linspace(0.0, 1.0, 201) * YEAR
    years = (one.plating.ticks - one.plating.ticks[0]) / YEAR
    even = np.broadcast_to(years, one.plating.worked.shape)  # no berth differs
    plating = replace(one.plating, worked=even)
    bare, amps = plating.bare(moments), plating.natural_amps(moments)
    steel = MM_A_YEAR_PER_AMPERE["steel"]
    grown = np.asarray(np.trapezoid(bare * amps * steel, moments / YEAR, axis=0))
    truth = np.diff(plating.even(moments[[0, -1]]).mean(axis=2), axis=0)[0]
    plain = one.plating.inside > 0.0
    assert grown[plain] == pytest.approx(truth[plain], rel=0.12)


def test_nothing_is_taken_where_nothing_flows() -> None:
    """No fault and no connected earth: own metals act, and are no stray current."""
    quiet = 0
    for seed in range(12):
        one = live("ferry", seed, Circumstances(shifts={"faults_a_year": 1e-9}))
        tied = [stay for stay in one.voyages.stays if stay.cable is not None]
        if not any(stay.start < NOW for stay in tied):
            quiet += 1
            assert one.strays.taken_kg.sum() == 0.0
            assert one.strays.added[-1, 1:].max() > 0.0
    assert quiet > 0


def test_a_brackish_berth_is_no_couple() -> None:
    """Tied through a conductor that conducts nothing, in water with less salt."""
    none = Circumstances(shifts={"cable_ohm": 1e9, "faults_a_year": 1e-9})
    one = live("museum", 15, none)
    there = {stay.salinity for stay in one.voyages.stays if stay.cable is not None}
    assert there - {one.vessel.salinity}
    assert one.strays.taken_kg.sum() < 1e-4
    assert one.strays.couple_kg.sum() < 1e-4


def test_anodes_keep_metal() -> None:
    bare, kept = (live("boat", 4, Circumstances(protected=on)) for on in (False, True))
    wet = np.array([plate.wet for plate in bare.vessel.plates])
    lost = [one.lost(np.array([NOW]))[0][0] for one in (bare, kept)]
    assert lost[1][~wet] == pytest.approx(lost[0][~wet])
    assert (lost[1][wet] < lost[0][wet]).all()


@pytest.mark.published(
    source="Melchers, Corrosion 77(1), 2021 (as read in an abstract)",
    where="0.06 mm a year in the long run, clean water of 20 degrees",
    status="read in an abstract",
)
def test_natural_loss_by_water() -> None:
    """The line of the curve in clean, warm water; rich harbours are well above."""
    line = float(np.diff(lost_after(np.array([60.0, 61.0]), "immersed"))[0])
    warm = LAWS["natural_rate"].median * line * richness(20.0, "clean")
    assert warm == pytest.approx(0.06, rel=0.1)
    assert richness(20.0, "high") > 2.0 * richness(20.0, "clean")


def test_the_water_of_each_berth_counts() -> None:
    """A year under way counts more, a month in dock nothing, by hand."""
    one = life().voyages
    stays = (
        replace(one.stays[0], start=0.0, way=0.5, celsius=0.0, nutrients="clean"),
        replace(one.stays[0], start=YEAR, way=0.0, celsius=0.0, nutrients="moderate"),
        replace(one.stays[0], start=2.0 * YEAR, afloat=False),
    )
    short = replace(one, stays=stays)
    _, wet = short.clock(1.0, 3.0)
    _, dry = short.clock(0.0, 1.0)
    assert wet[1:] == pytest.approx([2.0, 3.45, 3.45])
    assert dry[:3] == pytest.approx([0.0, 1.0, 2.45])
    assert short.under_way(np.array([0.5 * YEAR])) == pytest.approx([0.5])


def test_a_shift_moves_its_law_and_nothing_else() -> None:
    plain, fast = (
        live("ferry", 2, Circumstances()),
        live("ferry", 2, Circumstances(shifts={"natural_rate": 1.5})),
    )
    sea = [plate.exposure != "bilge" for plate in plain.vessel.plates]
    assert fast.plating.rate[sea] == pytest.approx(1.5 * plain.plating.rate[sea])
    assert fast.plating.bared == pytest.approx(plain.plating.bared)
    assert fast.faults.began == pytest.approx(plain.faults.began)
    wide = Nature(seed=2, widths={"natural_rate": 2.0}).one("natural_rate")
    narrow = Nature(seed=2).one("natural_rate")
    median = LAWS["natural_rate"].median
    assert wide / median == pytest.approx((narrow / median) ** 2)
