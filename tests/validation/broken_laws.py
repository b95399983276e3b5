"""Laws of the estimate, each broken by a factor of two, and where each should be seen.

A law is named by module and function (or class and property), and replaced wherever the
package has imported it; an assumption is restated in ship.toml. ``TEN`` and the rest of
``LAWS`` were there when the scores were made; ``HELD_BACK`` were chosen afterwards and
no score was changed for them.
"""

import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from importlib import import_module
from typing import Any

import numpy as np

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
        path = replace(path, ohms=FACTOR * path.ohms, knots=knots)
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
    assume: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    scenario: str = "well specified"

    @contextmanager
    def __call__(self) -> Iterator[None]:
        if not self.where:
            yield
            return
        module, _, name = self.where.partition(":")
        if "." in name:
            with self._of_class(module, *name.split(".")):
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


LAWS = (
    Broken(
        "natural loss of bare steel", "corrosion.history.natural_rate:natural_factors"
    ),
    Broken(
        "charge that dissolves a volume (Faraday)",
        "corrosion.wastage.metals:Metal.charge_per_volume",
        scenario="restless",
    ),
    Broken("deepest pit", "corrosion.wastage.pits:deepest_pit"),
    Broken("breakdown of paint", "corrosion.wastage.coating:coating_breakdown", _bare),
    Broken(
        "share of alternating current that dissolves",
        "corrosion.wastage.alternating:dissolving_fraction",
        scenario="restless",
    ),
    Broken(
        "current through a fault",
        "corrosion.leakage.fault_currents:fault_currents",
        _strong,
    ),
    Broken(
        "resistance from readings",
        "corrosion.leakage.fault_unknowns:sample_faults",
        _resistive,
    ),
    Broken(
        "how long a fault stands",
        "corrosion.leakage.standing_times:fault_intervals",
        _long,
    ),
    Broken(
        "resistivity of water",
        "corrosion.hull.water.water_body:resistivity_of",
        scenario="river",
    ),
    Broken(
        "interface of bare steel and water",
        assume={"interface_ohm_m2": (2.0, 2.0)},
        scenario="restless",
    ),
    Broken(
        "loss of the inner face",
        assume={
            "inside_dry_mm": (0.06, 2.0),
            "inside_bilge_mm": (0.2, 2.5),
            "inside_tank_mm": (0.14, 2.5),
            "inside_void_mm": (0.03, 2.5),
        },
    ),
    Broken(
        "couple with the shore's earth",
        assume={
            "earth_copper_v": (0.6, 1.0),
            "earth_concrete_v": (0.8, 1.0),
            "earth_galvanised_v": (0.6, 1.0),
            "earth_protected_v": (0.4, 1.0),
        },
        scenario="restless",
    ),
    Broken("shore earth", assume={"shore_earth_ohm": (2.0, 2.5)}, scenario="restless"),
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
    ),
    Broken(
        "time from beginning to finding",
        "corrosion.leakage.standing_times:fault_intervals",
        _early,
    ),
    Broken(
        "bias of a campaign",
        assume={
            "gauging_bias_as_found_mm": (1.0, 2.0),
            "gauging_bias_through_paint_mm": (1.4, 1.5),
        },
    ),
    Broken(
        "spread of an insulation test",
        assume={"insulation_test_factor": (1.0, 4.0)},
    ),
    Broken("light that tells lamps apart", assume={"lamp_light_ratio": (3.0, 1.0)}),
    Broken("flow on natural loss", assume={"under_way_factor": (7.4, 1.5)}),
    Broken("bare share that the eye sees", assume={"bare_factor": (2.0, 1.4)}),
    Broken(
        "most that a shore's earth passes",
        assume={"earth_limit_a": (2.0, 5.0)},
        scenario="restless",
    ),
    Broken("direct source behind a fault", assume={"direct_source_share": (0.6, 2.0)}),
    Broken(
        "slope of the anodic line",
        assume={"anodic_tafel_v": (0.12, 1.3)},
        scenario="restless",
    ),
)
"""Chosen when the scores stood; no score was changed for them."""
