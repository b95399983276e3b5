"""Laws of the estimate, each broken by a factor of two, and where each should be seen.

A law is named by module and function (or class and property), and replaced wherever the
package has imported it; an assumption is restated in ship.toml. ``TEN`` and the rest of
``LAWS`` were there when the scores were made; ``HELD_BACK`` were chosen afterwards and
no score was changed for them.
"""

import os
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from importlib import import_module
from typing import Any

import numpy as np

from corrosion.foundation.assumptions import default_assumptions

__all__ = ["HELD_BACK", "LAWS", "Broken"]

FACTOR = 2.0
Law = Callable[..., Any]


def _twice(function: Law) -> Law:
    return lambda *given, **named: FACTOR * function(*given, **named)


def _long(function: Law) -> Law:
    def stretched(*given: Any, **named: Any) -> Any:
        spans = function(*given, **named)
        return replace(spans, ended=spans.began + FACTOR * (spans.ended - spans.began))

    return stretched


def _early(function: Law) -> Law:
    def stretched(*given: Any, **named: Any) -> Any:
        spans = function(*given, **named)
        return replace(spans, began=spans.found - FACTOR * (spans.found - spans.began))

    return stretched


def _strong(function: Law) -> Law:
    def amplified(*given: Any, **named: Any) -> Any:
        return [replace(x, amps=FACTOR * x.amps) for x in function(*given, **named)]

    return amplified


def _resistive(function: Law) -> Law:
    def raised(*given: Any, **named: Any) -> Any:
        faults = function(*given, **named)
        path = faults.path
        knots = {
            fault: replace(each, log_ohms=each.log_ohms + np.log(FACTOR))
            for fault, each in path.knots.items()
        }
        hidden = FACTOR * path.hidden
        path = replace(path, ohms=FACTOR * path.ohms, hidden=hidden, knots=knots)
        return replace(faults, path=path)

    return raised


def _field(name: str) -> Callable[[Law], Law]:
    def change(function: Law) -> Law:
        def changed(*given: Any, **named: Any) -> Any:
            whole = function(*given, **named)
            return replace(whole, **{name: FACTOR * getattr(whole, name)})

        return changed

    return change


def _bare(function: Law) -> Law:
    def painted(*given: Any, **named: Any) -> Any:
        state = function(*given, **named)
        return replace(state, bare=np.minimum(FACTOR * state.bare, 1.0))

    return painted


@dataclass(frozen=True)
class Broken:
    """One law, broken; calling it gives a context in which it is."""

    words: str
    where: str = ""
    how: Callable[[Law], Law] = _twice
    double: tuple[str, ...] = ()  # medians of assumptions
    widen: tuple[str, ...] = ()  # logarithms of their spreads
    scenario: str = "well specified"

    @property
    def assume(self) -> Mapping[str, tuple[float, float]]:
        """What ship.toml restates: median and geometric standard deviation."""
        table = default_assumptions()
        twice = {
            n: (FACTOR * table[n].median, table[n].geometric_sd) for n in self.double
        }
        wide = {
            n: (table[n].median, table[n].geometric_sd ** FACTOR) for n in self.widen
        }
        return twice | wide

    @contextmanager
    def __call__(self) -> Iterator[None]:
        if not self.where:
            yield
            return
        module, _, name = self.where.partition(":")
        if "." in name:
            with self._of_class(module, *name.split(".")), _nothing_kept():
                yield
            return
        whole = getattr(import_module(module), name)
        changed = self.how(whole)
        users = [
            each
            for key, each in list(sys.modules.items())
            if key.startswith("corrosion.") and vars(each).get(name) is whole
        ]
        for each in users:
            setattr(each, name, changed)
        try:
            with _nothing_kept():
                yield
        finally:
            for each in users:
                setattr(each, name, whole)

    @contextmanager
    def _of_class(self, module: str, kind: str, name: str) -> Iterator[None]:
        owner = getattr(import_module(module), kind)
        whole = vars(owner)[name]
        setattr(owner, name, property(self.how(whole.fget)))
        try:
            yield
        finally:
            setattr(owner, name, whole)


@contextmanager
def _nothing_kept() -> Iterator[None]:
    """Let nothing be taken from the cache, which obeyed the whole law."""
    os.environ["CORROSION_KEEP"] = "no"
    try:
        yield
    finally:
        del os.environ["CORROSION_KEEP"]


LAWS = (
    Broken(
        "natural loss of bare steel",
        "corrosion.history.natural_rate:natural_factors",
        scenario="never gauged",
    ),
    Broken(
        "charge that dissolves a volume (Faraday)",
        "corrosion.wastage.metals:Metal.charge_per_volume",
        scenario="quays",
    ),
    Broken(
        "deepest pit", "corrosion.wastage.pits:deepest_pit", scenario="never gauged"
    ),
    Broken(
        "breakdown of paint",
        "corrosion.wastage.coating:coating_breakdown",
        _bare,
        scenario="never gauged",
    ),
    Broken(
        "share of alternating current that dissolves",
        "corrosion.wastage.alternating:dissolving_fraction",
        scenario="never gauged",
    ),
    Broken(
        "current through a fault",
        "corrosion.leakage.fault_currents:fault_currents",
        _strong,
        scenario="never gauged",
    ),
    Broken(
        "resistance from readings",
        "corrosion.leakage.fault_unknowns:sample_faults",
        _resistive,
        scenario="never gauged",
    ),
    Broken(
        "how long a fault stands",
        "corrosion.leakage.standing_times:fault_intervals",
        _long,
        scenario="never gauged",
    ),
    Broken(
        "resistivity of water",
        "corrosion.hull.water.water_body:resistivity_of",
        scenario="river",
    ),
    Broken(
        "interface of bare steel and water",
        double=("interface_ohm_m2",),
        scenario="quays",
    ),
    Broken(
        "loss of the inner face",
        double=(
            "inside_dry_mm",
            "inside_bilge_mm",
            "inside_tank_mm",
            "inside_void_mm",
        ),
        scenario="never gauged",
    ),
    Broken(
        "couple with the shore's earth",
        double=(
            "earth_copper_v",
            "earth_concrete_v",
            "earth_galvanised_v",
            "earth_protected_v",
        ),
        scenario="quays",
    ),
    Broken("shore earth", double=("shore_earth_ohm",), scenario="quays"),
    Broken(
        "error of a gauging",
        "corrosion.inspection.calibration.measurements:measured",
        _field("sd"),
    ),
)
"""The first ten and what was added to them while the scores were made."""

HELD_BACK = (
    Broken(
        "what own metals do",
        "corrosion.hull.own_metals:own_metals",
        _field("density"),
        scenario="never gauged",
    ),
    Broken(
        "time from beginning to finding",
        "corrosion.leakage.standing_times:fault_intervals",
        _early,
        scenario="never gauged",
    ),
    Broken(
        "bias of a campaign",
        double=(
            "gauging_bias_as_found_mm",
            "gauging_bias_through_paint_mm",
        ),
    ),
    Broken(
        "spread of an insulation test",
        widen=("insulation_test_factor",),
        scenario="never gauged",
    ),
    Broken(
        "light that tells lamps apart",
        double=("lamp_light_ratio",),
        scenario="never gauged",
    ),
    Broken(
        "flow on natural loss", double=("under_way_factor",), scenario="never gauged"
    ),
    Broken(
        "bare share that the eye sees", double=("bare_factor",), scenario="never gauged"
    ),
    Broken(
        "most that a shore's earth passes",
        double=("earth_limit_a",),
        scenario="quays",
    ),
    Broken(
        "direct source behind a fault",
        double=("direct_source_share",),
        scenario="never gauged",
    ),
    Broken(
        "slope of the anodic line",
        double=("anodic_tafel_v",),
        scenario="quays",
    ),
)
"""Chosen when the scores stood; no score was changed for them."""
