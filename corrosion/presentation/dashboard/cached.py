"""What pages share, computed once: keyed by the folder's content and the inputs.

Objects are shared between pages and sessions and are never changed. Few estimates are
kept, since each holds every sample, and their samples lie in files until they are read.
"""

from collections.abc import Callable, Sequence
from datetime import date
from functools import partial
from typing import Any, TypeVar

import pandas as pd
import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from corrosion.estimate import estimate as run
from corrosion.foundation.beside import beside
from corrosion.foundation.errors import InputError
from corrosion.foundation.memory import set_aside
from corrosion.presentation.answers import history
from corrosion.presentation.answers.dangers import dangers_on, touched_on
from corrosion.presentation.answers.hull import hull_result
from corrosion.presentation.answers.isolation import (
    MeasureChoice,
    choice_savings,
    chosen_measures,
    isolation_result,
)
from corrosion.presentation.answers.leakage import leakage_of_estimate
from corrosion.presentation.answers.plan import Gaugeable
from corrosion.presentation.answers.plan_choice import PlanRow, weighed
from corrosion.presentation.dashboard.reckoning import Tell, shown
from corrosion.presentation.dashboard.result_cache import ResultCache
from corrosion.presentation.report import whole_report
from corrosion.presentation.units import UnitSystem
from corrosion.records.folder.files import folder_digest
from corrosion.records.folder.read import read_ship
from corrosion.records.ship import Ship, ShipLies
from corrosion.results import Estimate

T = TypeVar("T")
Key = tuple[Any, ...]
Sampled = tuple[str, date, int, int]


@st.cache_resource(show_spinner=False)
def _estimates() -> ResultCache:
    return ResultCache(3)


@st.cache_resource(show_spinner=False)
def _answers() -> ResultCache:
    return ResultCache(24)


@st.cache_resource(max_entries=8, show_spinner=False)
def ship(folder: str, digest: str) -> Ship:
    """Return the ship of a folder whose content has a digest.

    Raises RecordError if the folder has problems. Raises InputError if it was changed
    while it was read: nothing is kept under a wrong digest.
    """
    one = read_ship(folder)
    if folder_digest(folder) != digest:
        msg = "Somebody saved her records while they were read. Reload this page."
        raise InputError(msg)
    return one


def _sampling(key: Sampled) -> dict[str, Any]:
    _, as_of, samples, seed = key
    return {"as_of": as_of, "samples": samples, "seed": seed}


def estimate(key: Sampled, one: Ship) -> Estimate:
    """Return the estimate of a ship.

    ``key``: digest of the folder, date of the estimate, samples, seed. ``one``: the
    ship whose folder has that digest.
    """
    words = "Walking through her records, sample by sample …"
    work = partial(run, one, **_sampling(key))
    return _estimates().get(
        key, lambda: shown(words, lambda tell: set_aside(beside(work, tell)))
    )


def known_estimate(key: Sampled) -> Estimate | None:
    """Return an estimate that is kept, or None; nothing is computed."""
    found: Estimate | None = _estimates().known(key)
    return found


def leakage(key: Key, result: Estimate) -> dict[str, Any]:
    """Return what leaks; the key is the estimate's."""
    return once(("leakage", *key), partial(leakage_of_estimate, result))


def _told(key: Key, words: str, work: Callable[[Tell], T]) -> T:
    """Return what was made under a key, or make it while the page shows how far."""
    return once(key, lambda: shown(words, work))


def hull(key: Sampled, one: Ship) -> dict[str, Any]:
    """Return what crosses the water at each berth; the key is the estimate's."""
    words = "Solving the water at each of her berths …"
    work = partial(hull_result, one, **_sampling(key))
    return once(
        ("hull", *key), lambda: shown(words, lambda _: beside(work), at=st.container())
    )


def dangers(key: Sampled, one: Ship) -> list[dict[str, Any]]:
    """Return the dangers that stand above everything; the key is the estimate's."""
    words = "Reading what stands in her log …"
    work = partial(dangers_on, one, **_sampling(key))
    return _told(("dangers", *key), words, lambda _: beside(work))


def touched(key: Sampled, one: Ship) -> dict[str, dict[str, Any]]:
    """Return what a body would carry, by system; the key is the estimate's."""
    return once(("touched", *key), partial(touched_on, one, **_sampling(key)))


def once(key: Key, make: Callable[[], T]) -> T:
    """Return what was made under a key, or make it; the key names all it rests on."""
    return _answers().get(key, make)


def plan_rows(key: Key, result: Estimate) -> tuple[Gaugeable, list[PlanRow]]:
    """Return the zones that can be gauged, and their rows; the key: the estimate's."""
    return once(("plan", *key), partial(beside, partial(weighed, result)))


def loss_by_year(key: Key, result: Estimate) -> pd.DataFrame:
    """Return the steel lost in each year, by cause; the key is the estimate's."""
    return _told(
        ("by year", *key),
        "Reckoning her years without faults …",
        partial(beside, partial(history.loss_by_year, result)),
    )


def savings(key: Key, result: Estimate, ticked: MeasureChoice) -> list[dict[str, Any]]:
    """Return what each measure would have kept; the key names the estimate."""
    return _told(
        ("savings", *key, ticked),
        "Reckoning each measure …",
        partial(beside, partial(choice_savings, result, ticked)),
    )


def savings_of_each(
    key: Key, result: Estimate, ticked: MeasureChoice, *, at: DeltaGenerator
) -> list[dict[str, Any]]:
    """Return the same, each measure kept by itself; ``at`` shows how far it has come.

    What is not kept yet is integrated together, so that it shares what none changes.
    """
    measures = chosen_measures(ticked, result.ship)
    names = {one.words: ("saving", *key, one.words) for one in measures}
    known = {words: _answers().known(name) for words, name in names.items()}
    rows: dict[str, dict[str, Any]] = {w: row for w, row in known.items() if row}
    # Together and not one by one: histories share the states that no measure changes.
    new = [words for words in names if words not in rows]
    if new:
        found = shown(
            f"Reckoning {' and '.join(new)} …",
            partial(beside, partial(choice_savings, result, ticked, new)),
            at=at,
        )
        for words, row in zip(new, found, strict=True):
            rows[words] = once(names[words], partial(dict, row))
    return [rows[words] for words in names]


def report(  # noqa: PLR0913 - all that it depends on
    key: Key,
    result: Estimate,
    hours: float,
    access: tuple[str, ...],
    access_hours: tuple[tuple[str, float], ...],
    units: UnitSystem,
    lies: ShipLies | None,
) -> bytes:
    """Return the report as one HTML file; the key is the estimate's."""
    most = dict(access_hours)
    asked = {"hours": hours, "access": access, "access_hours": most, "lies": lies}
    work = partial(whole_report, result, units, **asked)
    told = ("report", *key, hours, access, access_hours, units.name, lies)
    return once(told, partial(beside, work))


def isolation(key: Key, result: Estimate, hours: Sequence[float]) -> dict[str, Any]:
    """Return what each limit would have kept; the key names them."""
    return _told(
        ("isolation", *key),
        "Reckoning each limit …",
        partial(beside, partial(isolation_result, result, hours)),
    )
