"""Runs a study: lives ships, writes them down, and asks the estimate about them."""

import signal
import time
import traceback
import warnings
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from contextlib import AbstractContextManager, contextmanager, nullcontext
from dataclasses import dataclass, field, replace
from datetime import date
from functools import partial
from multiprocessing import get_context
from pathlib import Path
from tempfile import TemporaryDirectory
from types import FrameType

import numpy as np

import corrosion
from corrosion.foundation.cache import nothing_large
from corrosion.validation.answers import Answer, hunts, plan
from corrosion.validation.compare import compare, gauged_day, left_at
from corrosion.validation.decide import decisions, hunted, planned
from corrosion.validation.folder import write_folder
from corrosion.validation.kinds import KINDS
from corrosion.validation.life import Life, live
from corrosion.validation.line import years_late
from corrosion.validation.logbook import Habits, Logbook, keep_log
from corrosion.validation.nature import DAY, Nature
from corrosion.validation.scenarios import SCENARIOS
from corrosion.validation.scores import Findings, Interval
from corrosion.validation.surveyors import Survey, survey

AS_OF = date(2025, 12, 31)  # the day of every estimate: records end with it
PLAN_HOURS = 12.0
_SEEDS = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What is asked of a study."""

    scenario: str  # one of :data:`corrosion.validation.scenarios.SCENARIOS`
    # samples, seed: of each estimate, and the first ship's
    samples: int = 256
    seed: int = 1
    # one estimate a ship: no campaign left out, no plan, no hunt, no seeds
    quick: bool = False
    # processor time of one estimate after which a ship is given up; 0: none [s]
    limit: float = 0.0
    # medians and geometric standard deviations that ship.toml states instead of
    # the estimate's assumptions
    assume: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    # of the estimate's own random numbers; each ship has others, so that what the
    # sampler's points err by is not shared
    estimate_seed: int = 1
    # context in which the estimate runs; a broken law, in a study of the study
    law: Callable[[], AbstractContextManager[None]] = nullcontext


class TooLong(Exception):
    """An estimate took more processor time than it was given."""


def _stop(_number: int, _frame: FrameType | None) -> None:
    raise TooLong


@contextmanager
def limited(seconds: float) -> Iterator[None]:
    """Raise TooLong in the block after so many seconds of processor; 0: never.

    A system without such a clock sets no limit.
    """
    if not seconds or not hasattr(signal, "SIGVTALRM"):
        yield
        return
    before = signal.signal(signal.SIGVTALRM, _stop)
    signal.setitimer(signal.ITIMER_VIRTUAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0.0)
        signal.signal(signal.SIGVTALRM, before)


def run_ships(
    asked: Asked, numbers: Sequence[int], processes: int = 1
) -> Iterator[tuple[int, Findings]]:
    """Yield number and rows of each ship, as they are done."""
    one = partial(one_ship, asked)
    if processes == 1:
        yield from zip(numbers, map(one, numbers), strict=True)
        return
    with ProcessPoolExecutor(processes, mp_context=get_context("spawn")) as pool:
        jobs = {pool.submit(one, number): number for number in numbers}
        try:
            for job in as_completed(jobs):
                yield jobs[job], job.result()
        finally:  # a study that is stopped does not wait for ships not begun
            pool.shutdown(cancel_futures=True)


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
    seed = asked.seed * 100_000 + number
    asked = replace(asked, estimate_seed=asked.estimate_seed + 1000 * number)
    with TemporaryDirectory() as name, asked.law():
        asker = _Asker(Path(name) / "ship", asked)
        try:
            if scenario.line is not None:
                ask = partial(asker.estimate, AS_OF, asked.estimate_seed)
                found = years_late(asker.folder, Nature(seed=seed), scenario.line, ask)
            else:
                kinds = scenario.kinds or tuple(KINDS)
                life = live(kinds[number % len(kinds)], seed, scenario.what)
                found = _asked_of(life, scenario.habits, asker)
        except TooLong:
            return {"given_up": [1.0]}
        except Exception:  # noqa: BLE001 - a ship that stops the estimate is a finding
            traceback.print_exc()
            return {"stopped": [1.0]}
    own = time.process_time() - began - asker.seconds
    times: Findings = {"cpu_estimate": [asker.seconds], "cpu_own": [own]}
    return found | {"given_up": [0.0], "stopped": [0.0]} | times


def _asked_of(life: Life, habits: Habits, asker: "_Asker") -> Findings:
    log, gauged = keep_log(life, habits), survey(life, habits)
    write_folder(asker.folder, life, habits, log=log, survey=gauged)
    _restate(asker.folder, asker.asked.assume)
    answer = asker.estimate(AS_OF, asker.asked.estimate_seed)
    found = compare(life, log, gauged, answer)
    found |= decisions(life, log, gauged, answer)
    if not asker.asked.quick:
        found |= _further(life, log, gauged, answer, asker)
    return found


def _restate(folder: Path, assume: Mapping[str, tuple[float, float]]) -> None:
    with (folder / "ship.toml").open("a", encoding="utf-8") as file:
        for name, (median, spread) in assume.items():
            file.write(f"[assumption.{name}]\nmedian = {median}\nspread = {spread}\n")


class _Asker:
    """Asks for estimates of one folder, and keeps the time that they take."""

    def __init__(self, folder: Path, asked: Asked) -> None:
        self.folder, self.asked = folder, asked
        self.seconds = 0.0

    def estimate(self, day: date, seed: int = 1) -> Answer:
        began = time.process_time()
        with limited(self.asked.limit), warnings.catch_warnings(), nothing_large():
            warnings.simplefilter("ignore")
            ship = corrosion.read_ship(self.folder)
            result = corrosion.estimate(
                ship, samples=self.asked.samples, seed=seed, as_of=day
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
    shown = plan(asker.folder, PLAN_HOURS, AS_OF, asker.asked.samples)
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
