"""Laws of the estimate, each broken by a factor of two, and where each should be seen.

A law is named by module and function (or class and property), and replaced wherever the
package has imported it; an assumption is restated in ship.toml. Each names the rows
that it governs: on these it is judged, for of some hundred figures the largest move of
nothing at all is three standard errors. Halved are laws whose truths stand above the
answers to begin with, so that a doubled one would bring the answers right.
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

Law = Callable[..., Any]


def _times(function: Law, factor: float) -> Law:
    return lambda *given, **named: factor * function(*given, **named)


def _long(function: Law, factor: float) -> Law:
    def stretched(*given: Any, **named: Any) -> Any:
        spans = function(*given, **named)
        return replace(spans, ended=spans.began + factor * (spans.ended - spans.began))

    return stretched


def _early(function: Law, factor: float) -> Law:
    def stretched(*given: Any, **named: Any) -> Any:
        spans = function(*given, **named)
        return replace(spans, began=spans.found - factor * (spans.found - spans.began))

    return stretched


def _strong(function: Law, factor: float) -> Law:
    def amplified(*given: Any, **named: Any) -> Any:
        return [replace(x, amps=factor * x.amps) for x in function(*given, **named)]

    return amplified


def _resistive(function: Law, factor: float) -> Law:
    def raised(*given: Any, **named: Any) -> Any:
        faults = function(*given, **named)
        path = faults.path
        knots = {
            fault: replace(each, log_ohms=each.log_ohms + np.log(factor))
            for fault, each in path.knots.items()
        }
        hidden = factor * path.hidden
        path = replace(path, ohms=factor * path.ohms, hidden=hidden, knots=knots)
        return replace(faults, path=path)

    return raised


def _field(name: str) -> Callable[[Law, float], Law]:
    def change(function: Law, factor: float) -> Law:
        def changed(*given: Any, **named: Any) -> Any:
            whole = function(*given, **named)
            return replace(whole, **{name: factor * getattr(whole, name)})

        return changed

    return change


def _bare(function: Law, factor: float) -> Law:
    def painted(*given: Any, **named: Any) -> Any:
        state = function(*given, **named)
        return replace(state, bare=np.minimum(factor * state.bare, 1.0))

    return painted


@dataclass(frozen=True)
class Broken:
    """One law, broken; calling it gives a context in which it is."""

    words: str
    rows: tuple[str, ...]  # that it governs
    where: str = ""
    how: Callable[[Law, float], Law] = _times
    scale: tuple[str, ...] = ()  # medians of assumptions
    widen: tuple[str, ...] = ()  # logarithms of their spreads
    scenario: str = "never gauged"
    factor: float = 2.0

    @property
    def assume(self) -> Mapping[str, tuple[float, float]]:
        """What ship.toml restates: median and geometric standard deviation."""
        table = default_assumptions()
        moved = {
            n: (self.factor * table[n].median, table[n].geometric_sd)
            for n in self.scale
        }
        wide = {
            n: (table[n].median, table[n].geometric_sd ** self.factor)
            for n in self.widen
        }
        return moved | wide

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
        changed = self.how(whole, self.factor)
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
        setattr(owner, name, property(self.how(whole.fget, self.factor)))
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


_PLATE = ("zone_natural_kg", "natural_kg", "lost_kg", "left_never")
_COUPLE = ("couple_kg", "stray_kg", "zone_stray_kg")
_HOURS = ("hours", "hours_blank", "fault_ah_ac", "charge_ah", "charge_ah_ac")
_AMPERES = ("fault_ah_ac", "fault_ah_dc", "fault_ah_clamped", "charge_ah")
_EARTHS = tuple(
    f"earth_{kind}_v" for kind in ("copper", "concrete", "galvanised", "protected")
)
_INNER = tuple(f"inside_{space}_mm" for space in ("dry", "bilge", "tank", "void"))

LAWS = (
    Broken(
        "natural loss of bare steel, halved",
        (*_PLATE, "deepest"),
        "corrosion.history.natural_rate:natural_factors",
        factor=0.5,
    ),
    Broken(
        "deepest pit, halved",
        ("deepest",),
        "corrosion.wastage.pits:deepest_pit",
        factor=0.5,
    ),
    Broken(
        "breakdown of paint",
        (*_PLATE, "deepest"),
        "corrosion.wastage.coating:coating_breakdown",
        _bare,
    ),
    Broken(
        "bare share that the eye sees, halved",
        (*_PLATE, "deepest"),
        scale=("bare_factor",),
        factor=0.5,
    ),
    Broken(
        "loss of the inner face, halved",
        (*_PLATE, "deepest"),
        scale=_INNER,
        factor=0.5,
    ),
    Broken(
        "error of a gauging, halved",
        ("left_gauged", "blamed_sound", "bias", "deepest"),
        "corrosion.inspection.calibration.measurements:measured",
        _field("sd"),
        scenario="well specified",
        factor=0.5,
    ),
    Broken(
        "bias of a campaign",
        ("bias", "left_gauged", "blamed_sound"),
        scale=("gauging_bias_as_found_mm", "gauging_bias_through_paint_mm"),
        scenario="well specified",
    ),
    Broken(
        "current through a fault",
        _AMPERES,
        "corrosion.leakage.fault_currents:fault_currents",
        _strong,
    ),
    Broken(
        "resistance from readings",
        ("resistance", *_AMPERES),
        "corrosion.leakage.fault_unknowns:sample_faults",
        _resistive,
    ),
    Broken(
        "how long a fault stands",
        _HOURS,
        "corrosion.leakage.standing_times:fault_intervals",
        _long,
    ),
    Broken(
        "time from beginning to finding",
        _HOURS,
        "corrosion.leakage.standing_times:fault_intervals",
        _early,
    ),
    Broken(
        "charge that dissolves a volume (Faraday)",
        ("couple_kg", "stray_kg", "zone_stray_kg", "own_metals_kg"),
        "corrosion.wastage.metals:Metal.charge_per_volume",
        scenario="quays",
    ),
    Broken("couple with the shore's earth", _COUPLE, scale=_EARTHS, scenario="quays"),
    Broken(
        "shore earth", _COUPLE, scale=("shore_earth_ohm",), scenario="quays", factor=0.5
    ),
    Broken(
        "most that a shore's earth passes",
        _COUPLE,
        scale=("earth_limit_a",),
        scenario="quays",
        factor=0.5,
    ),
    Broken(
        "interface of bare steel and water",
        _COUPLE,
        scale=("interface_ohm_m2",),
        scenario="quays",
    ),
    Broken(
        "slope of the anodic line",
        ("own_metals_kg", *_COUPLE),
        scale=("anodic_tafel_v",),
        scenario="quays",
    ),
    Broken(
        "what own metals do",
        ("own_metals_kg", "lost_kg"),
        "corrosion.hull.own_metals:own_metals",
        _field("density"),
    ),
    Broken(
        "flow on natural loss",
        (*_PLATE, "own_metals_kg", "deepest"),
        scale=("under_way_factor",),
    ),
    Broken(
        "spread of an insulation test, halved",
        ("resistance", "fault_ah_ac", "fault_ah_clamped"),
        widen=("insulation_test_factor",),
        factor=0.5,
    ),
    Broken(
        "light that tells lamps apart",
        ("resistance", "fault_ah_ac", "hours_blank"),
        scale=("lamp_light_ratio",),
    ),
    Broken(
        "direct source behind a fault",
        ("fault_ah_dc", "charge_ah_dc"),
        scale=("direct_source_share",),
    ),
    Broken(
        "share of alternating current that dissolves",
        ("faults_kg", "zone_faults_kg"),
        scale=("ac_dissolving_fraction", "ac_fraction_aluminium"),
        scenario="restless",
    ),
    Broken(
        "resistivity of water",
        ("zone_stray_kg", "stray_kg", "own_metals_kg"),
        "corrosion.hull.water.water_body:resistivity_of",
        scenario="river",
    ),
)
"""In the order in which they are broken, scenario by scenario."""
