"""Runs a study: lives ships, writes them down, asks the estimate, sums up scores."""

import time
import warnings
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import ProcessPoolExecutor
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass
from datetime import date
from functools import partial
from multiprocessing import get_context
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

import corrosion
from corrosion.validation.answers import Answer
from corrosion.validation.ask import hunts, plan
from corrosion.validation.compare import compare, gauged_day, left_at
from corrosion.validation.decide import decisions, hunted, planned
from corrosion.validation.folder import write_folder
from corrosion.validation.known_tables import ask_reader
from corrosion.validation.life import Life, live
from corrosion.validation.logbook import Logbook, keep_log
from corrosion.validation.nature import DAY
from corrosion.validation.rows import ROWS, Findings, Item
from corrosion.validation.scenarios import SCENARIOS
from corrosion.validation.scores import (
    Interval,
    Verdict,
    crps_of_interval,
    judge,
    pit_of_interval,
    ratio_by_ship,
)
from corrosion.validation.surveyors import Survey, survey
from corrosion.validation.vessels import KINDS

__all__ = ["AS_OF", "Asked", "Scored", "one_ship", "run_ships", "score"]

AS_OF = date(2025, 12, 31)
"""The day of every estimate: records end with it."""

PLAN_HOURS = 12.0
_SEEDS = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What is asked of a study.

    Attributes
    ----------
    scenario : str
        One of :data:`corrosion.validation.scenarios.SCENARIOS`.
    samples, seed : int
        Of each estimate, and the first ship's.
    quick : bool
        One estimate a ship: no campaign left out, no plan, no hunt, no seeds.
    law : callable
        Context in which the estimate runs; a broken law, in a study of the study.
    """

    scenario: str
    samples: int = 256
    seed: int = 1
    quick: bool = False
    law: Callable[[], AbstractContextManager[None]] = nullcontext


def run_ships(asked: Asked, ships: int, processes: int) -> Iterator[Findings]:
    """Yield what each ship gives, in order."""
    one = partial(one_ship, asked)
    if processes == 1:
        yield from map(one, range(ships))
        return
    with ProcessPoolExecutor(processes, mp_context=get_context("spawn")) as pool:
        yield from pool.map(one, range(ships))


def one_ship(asked: Asked, number: int) -> Findings:
    """Return what one ship of a scenario gives to the rows.

    Parameters
    ----------
    asked : Asked
        The study.
    number : int
        Of the ship, from 0.
    """
    began = time.process_time()
    scenario = SCENARIOS[asked.scenario]
    kinds = scenario.kinds or tuple(KINDS)
    seed = asked.seed * 100_000 + number
    life = live(kinds[number % len(kinds)], seed, scenario.what)
    log, gauged = keep_log(life, scenario.habits), survey(life, scenario.habits)
    known = ask_reader()
    with TemporaryDirectory() as name, asked.law():
        folder = Path(name) / "ship"
        write_folder(folder, life, scenario.habits, log=log, survey=gauged, known=known)
        asker = _Asker(folder, asked)
        answer = asker.estimate(AS_OF)
        found = compare(life, log, gauged, answer)
        found |= decisions(life, log, gauged, answer)
        if not asked.quick:
            found |= _further(life, log, gauged, answer, asker)
    found["cpu_estimate"] = [asker.seconds]
    found["cpu_own"] = [time.process_time() - began - asker.seconds]
    return found


class _Asker:
    """Asks for estimates of one folder, and keeps the time that they take."""

    def __init__(self, folder: Path, asked: Asked) -> None:
        self.folder, self.samples = folder, asked.samples
        self.seconds = 0.0

    def estimate(self, day: date, seed: int = 1) -> Answer:
        began = time.process_time()
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            ship = corrosion.read_ship(self.folder)
            result = corrosion.estimate(
                ship, samples=self.samples, seed=seed, as_of=day
            ).to_json()
        self.seconds += time.process_time() - began
        return Answer(result)


def _further(
    life: Life, log: Logbook, gauged: Survey, answer: Answer, asker: _Asker
) -> Findings:
    """Return what takes further estimates, and other commands."""
    out: Findings = {}
    if len(gauged.rows):
        out |= _campaigns(life, gauged, asker)
    shown = plan(asker.folder, PLAN_HOURS, AS_OF, asker.samples)
    out["plan"] = planned(life, gauged, shown, PLAN_HOURS)
    out["hunt"] = [
        hunted(life, s, hunts(asker.folder, system.name, AS_OF))
        for s, system in enumerate(life.vessel.systems)
        if any(row["system"] == system.name for row in log.rows)
    ]
    first = next(iter(answer.zones))
    chances = [answer.zones[first]["chance_below_limit"]] + [
        asker.estimate(AS_OF, seed).zones[first]["chance_below_limit"]
        for seed in range(2, _SEEDS + 1)
    ]
    out["seeds"] = [float(np.std(chances, ddof=1))]
    return out


def _campaigns(life: Life, gauged: Survey, asker: _Asker) -> Findings:
    """Return rows about the latest campaign: left out, and on its day."""
    last = int(gauged.campaign.max())
    moment = float(gauged.moments[last])
    day = date(1970, 1, 1).fromordinal(719163 + int(moment // DAY))
    out: Findings = {}
    after = date.fromordinal(day.toordinal() + 31)
    out["gauged_day"] = gauged_day(gauged, asker.estimate(after))
    before = set(gauged.plate[gauged.campaign < last].tolist())
    if before:
        eve = date.fromordinal(day.replace(day=1).toordinal() - 1)
        foreseen = asker.estimate(eve).zones
        left, _ = left_at(life, (eve.toordinal() - 719163 + 1) * DAY)
        out["campaign_out"] = []
        for k in sorted(before):
            row = foreseen[life.vessel.plates[k].zone]["left_mm"]
            item = Interval(row["p10"], row["p50"], row["p90"], float(left[k]))
            out["campaign_out"].append(item)
    return out


@dataclass(frozen=True, slots=True, kw_only=True)
class Scored:
    """One row of a scenario, summed up.

    Attributes
    ----------
    value, error : float
        Share or mean, and its standard error by ship.
    ships, items, points, silent : int
        Ships and items counted; answers left out as points; keys not answered.
    crps : float
        Of intervals, in the row's unit; NaN of other rows.
    ranks : tuple of float
        Where truths stand in the answers' laws, 0 to 1.
    verdict : str
        See :func:`corrosion.validation.scores.judge`.
    """

    row: str
    band: tuple[float, float] | None
    value: float
    error: float
    ships: int
    items: int
    points: int
    silent: int
    crps: float
    ranks: tuple[float, ...]
    verdict: Verdict


def score(scenario: str, found: list[Findings]) -> list[Scored]:
    """Return every row of a scenario that any ship gave something to."""
    bands: Mapping[str, tuple[float, float]] = SCENARIOS[scenario].bands
    return [
        _scored(name, bands.get(name, row.band), [ship.get(name, []) for ship in found])
        for name, row in ROWS.items()
        if any(ship.get(name) for ship in found)
    ]


def _scored(
    name: str, band: tuple[float, float] | None, found: list[list[Item | None]]
) -> Scored:
    answered = [[item for item in ship if item is not None] for ship in found]
    silent = sum(map(len, found)) - sum(map(len, answered))
    kept = [
        [x for x in ship if not (isinstance(x, Interval) and x.is_point)]
        for ship in answered
    ]
    points = sum(map(len, answered)) - sum(map(len, kept))
    kept = [ship for ship in kept if ship]
    items = [item for ship in kept for item in ship]
    spans = [item for item in items if isinstance(item, Interval)]
    if ROWS[name].log:
        spans = [span.logged() for span in spans]
    nothing = float("nan")
    value, error = nothing, nothing
    if kept:
        value, error = ratio_by_ship(
            [sum(_worth(item) for item in ship) for ship in kept],
            [float(len(ship)) for ship in kept],
        )
    return Scored(
        row=name,
        band=band,
        value=value,
        error=error,
        ships=len(kept),
        items=len(items),
        points=points,
        silent=silent,
        crps=float(np.mean([crps_of_interval(x) for x in spans])) if spans else nothing,
        ranks=tuple(pit_of_interval(x) for x in spans),
        verdict=judge(value, error, len(kept), band) if kept else "no answer",
    )


def _worth(item: Interval | float) -> float:
    return float(item.holds) if isinstance(item, Interval) else item
