"""Holds decisions against the truth: ranks, chances, dates, plans and hunts."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from typing import Any

import numpy as np
from scipy.special import ndtr

from corrosion.foundation.types import Array, BoolArray
from corrosion.validation.answers import Answer, interval
from corrosion.validation.compare import left_at
from corrosion.validation.life import Life
from corrosion.validation.logbook import Logbook
from corrosion.validation.nature import DAY, HOUR, NOW, YEAR
from corrosion.validation.scores import Findings, Interval, Item, crps_of_interval
from corrosion.validation.surveyors import Survey
from corrosion.validation.voyages import AHEAD

WORST, FIRST = 5, 8
_BINS = (
    ("chance_low", 0.1),
    ("chance_some", 0.3),
    ("chance_even", 0.7),
    ("chance_high", 1.01),
)
_LINE_MM = 0.5  # standard deviation that a simple rule gives its straight line, judged
_STEPS = 40  # moments of the ten years ahead at which the truth is looked at


def _margin(life: Life, moment: float) -> Array:
    left, under = left_at(life, moment)
    plates = life.vessel.plates
    limit = np.array([plate.limit_mm for plate in plates])
    pit = np.array([plate.pit_limit_mm for plate in plates])
    bronze = np.array([plate.bronze for plate in plates])
    return np.where(bronze, np.inf, np.minimum(left - limit, under - pit))


def worst_five(life: Life) -> set[str]:
    """Return the zones that are truly nearest to their limits at the next docking."""
    margin = _margin(life, life.voyages.next_docking - DAY)
    return {life.vessel.plates[k].zone for k in np.argsort(margin)[:WORST]}


def decisions(life: Life, log: Logbook, survey: Survey, answer: Answer) -> Findings:
    """Return what ranks, chances and dates of one estimate give to the rows."""
    worst, order = worst_five(life), list(answer.zones)
    below = _margin(life, life.voyages.next_docking - DAY) < 0.0
    thin = {
        p.zone for p, is_thin in zip(life.vessel.plates, below, strict=True) if is_thin
    }
    painted = np.where(life.paintings < NOW, life.paintings, -np.inf)
    rules = {
        "worst_line": by_line(life, survey),
        "worst_wasted": _by_wasted(life, survey),
        "worst_amps": _by_amps(life, log),
        "worst_oldest": _ordered(life, painted.max(axis=1)),
        "worst_ours": order,
    }
    hits = {name: float(len(worst & set(z[:FIRST]))) for name, z in rules.items()}
    found: Findings = {name: [hit] for name, hit in hits.items()}
    found["worst_five"] = [hits["worst_ours"] - hits["worst_line"]]
    if thin:
        mine, theirs = (
            len(thin & set(z[:FIRST])) for z in (order, rules["worst_line"])
        )
        found["below_found"] = [float(mine - theirs)]
    for name, item in _zone_scores(life, survey, answer, below):
        found.setdefault(name, []).append(item)
    found["inspect_by"] = _dates(life, answer)
    return found


def _zone_scores(
    life: Life, survey: Survey, answer: Answer, below: BoolArray
) -> Iterator[tuple[str, Item]]:
    """Yield what chances come to, and scores beside those of a straight line."""
    left, _ = left_at(life, NOW)
    now, ahead = (on_line(life, survey, t) for t in (NOW, life.voyages.next_docking))
    wide = 1.2816 * _LINE_MM
    for k, plate in enumerate(life.vessel.plates):
        if plate.bronze:
            continue
        row, thin = answer.zones[plate.zone], float(below[k])
        chance = float(row["chance_below_limit"])
        yield next(name for name, most in _BINS if chance < most), thin
        drawn = float(ndtr((plate.limit_mm - ahead[k]) / _LINE_MM))
        yield "brier", (chance - thin) ** 2
        yield "brier_gain", (chance - thin) ** 2 - (drawn - thin) ** 2
        told = interval(row, left[k], "left_mm")
        line = Interval(now[k] - wide, now[k], now[k] + wide, float(left[k]))
        if told:
            yield "left_gain", crps_of_interval(told) - crps_of_interval(line)


def _dates(life: Life, answer: Answer) -> list[Item | None]:
    """Return whether each plate is truly below a limit before it is to be inspected."""
    moments = np.linspace(NOW, AHEAD, _STEPS)
    margins = np.array([_margin(life, moment) for moment in moments[::4]])
    ever = np.logical_or.accumulate(margins < 0.0, axis=0)
    out: list[Item | None] = []
    for k, plate in enumerate(life.vessel.plates):
        told = answer.zones[plate.zone]["inspect_by"]
        if told is None or plate.bronze:
            continue
        moment = (date.fromisoformat(told) - date(1970, 1, 1)).days * DAY
        if NOW + 60.0 * DAY < moment < AHEAD:
            at = int(np.searchsorted(moments[::4], moment, side="right")) - 1
            out.append(float(ever[at, k]))
    return out


def by_line(life: Life, survey: Survey) -> list[str]:
    """Return zones by a straight line, the least margin at the next docking first."""
    limit = np.array([plate.limit_mm for plate in life.vessel.plates])
    return _ordered(life, on_line(life, survey, life.voyages.next_docking) - limit)


def on_line(life: Life, survey: Survey, moment: float) -> Array:
    """Return thickness by a straight line through as-built thickness and gaugings [mm].

    Ungauged zones wear as the mean of the gauged ones.
    """
    plates = life.vessel.plates
    age = (moment - life.vessel.built) / YEAR
    slopes = np.full(len(plates), np.nan)
    line = np.array([plate.built_mm for plate in plates])
    for k in np.unique(survey.plate):
        mine = np.flatnonzero(survey.plate == k)
        moments = survey.moments[survey.campaign[mine]]
        years = np.append((moments - life.vessel.built) / YEAR, 0.0)
        thick = np.append(survey.read_mm[mine], line[k])
        slopes[k] = min(np.polyfit(years, thick, 1)[0], 0.0)  # level where it rises
        line[k] = thick.mean() + slopes[k] * (age - years.mean())
    blank = np.isnan(slopes)
    mean = 0.0 if blank.all() else float(np.nanmean(slopes))
    return np.where(blank, line + mean * age, line)


def _ordered(life: Life, least_first: Array) -> list[str]:
    bronze = np.array([plate.bronze for plate in life.vessel.plates])
    order = np.argsort(np.where(bronze, np.inf, least_first), kind="stable")
    return [life.vessel.plates[k].zone for k in order]


def _by_wasted(life: Life, survey: Survey) -> list[str]:
    wasted = np.zeros(len(life.vessel.plates))
    for k, read in zip(survey.plate, survey.read_mm, strict=True):  # the latest stays
        built = life.vessel.plates[k].built_mm
        wasted[k] = (built - read) / built
    return _ordered(life, -wasted)


def _by_amps(life: Life, log: Logbook) -> list[str]:
    """Return zones by clamped amperes times hours, one ampere where none was read."""
    sums = np.zeros(len(life.vessel.plates))
    zones = [plate.zone for plate in life.vessel.plates]
    for k, row in enumerate(log.rows):
        if "zone" in row:
            f = log.which[k]
            hours = (min(life.faults.end[f], NOW) - life.faults.began[f]) / HOUR
            amps = abs(float(str(row.get("amps", 1.0))))
            sums[zones.index(str(row["zone"]))] += hours * amps
    return _ordered(life, -sums)


def planned(
    life: Life, survey: Survey, plan: Mapping[str, Any], hours: float
) -> list[Item | None]:
    """Return how many of the worst five a plan finds beyond a straight line's."""
    worst = worst_five(life)
    need = {plate.zone: plate.gauge_hours for plate in life.vessel.plates}
    line: list[str] = []
    left = hours
    for zone in by_line(life, survey):
        if need[zone] <= left:
            line.append(zone)
            left -= need[zone]
    return [float(len(worst & set(plan["zones"])) - len(worst & set(line)))]


def hunted(life: Life, system: int, order: Sequence[Mapping[str, Any]]) -> float:
    """Return expected minutes of a hunt in an order, over those by the list.

    The next fault is on a circuit as often as that is truly prone to it.
    """
    mine = [c for c in life.vessel.circuits if c.system == system]
    prone = {c.name: c.prone / sum(x.prone for x in mine) for c in mine}
    minutes = {c.name: c.minutes_open + c.minutes_test for c in mine}

    def expected(names: Sequence[str]) -> float:
        spent, out = 0.0, 0.0
        for name in names:
            spent += minutes[name]
            out += prone[name] * spent
        return out

    named = dict.fromkeys(str(row["circuit"]) for row in order)
    ours = [name for name in named if name in minutes]
    ours += [name for name in minutes if name not in ours]
    return expected(ours) / expected(list(minutes))
