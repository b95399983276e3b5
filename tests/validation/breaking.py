"""A study of the study: break one law of the estimate by two, and see a row move.

``python tests/validation/breaking.py --ships 60`` lives the same ships once for the
estimate as it is and once for each broken law, and prints which row's value or score
moved most in its paired standard errors by ship, and which rows went from meeting their
band to missing it. A law is named by module and function (or class and property), and
replaced wherever the package has imported it; an assumption is restated in ship.toml.
"""

import os
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from importlib import import_module
from typing import Any

import click
import numpy as np

from corrosion.validation.rows import ROWS, Findings
from corrosion.validation.scores import Interval, crps_of_interval, ratio_by_ship
from corrosion.validation.study import Asked, run_ships
from corrosion.validation.summary import worth

FACTOR = 2.0


def _twice(function: Callable[..., Any]) -> Callable[..., Any]:
    return lambda *given, **named: FACTOR * function(*given, **named)


def _long(function: Callable[..., Any]) -> Callable[..., Any]:
    def stretched(*given: Any, **named: Any) -> Any:
        spans = function(*given, **named)
        return replace(spans, ended=spans.began + FACTOR * (spans.ended - spans.began))

    return stretched


def _strong(function: Callable[..., Any]) -> Callable[..., Any]:
    def amplified(*given: Any, **named: Any) -> Any:
        return [replace(x, amps=FACTOR * x.amps) for x in function(*given, **named)]

    return amplified


def _resistive(function: Callable[..., Any]) -> Callable[..., Any]:
    def raised(*given: Any, **named: Any) -> Any:
        faults = function(*given, **named)
        return replace(faults, resistance=FACTOR * faults.resistance)

    return raised


def _bare(function: Callable[..., Any]) -> Callable[..., Any]:
    return lambda *given, **named: np.minimum(FACTOR * function(*given, **named), 1.0)


@dataclass(frozen=True)
class Broken:
    """One law, broken; calling it gives a context in which it is."""

    words: str
    where: str = ""
    how: Callable[[Callable[..., Any]], Callable[..., Any]] = _twice
    assume: Mapping[str, tuple[float, float]] = field(default_factory=dict)

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
        os.environ["CORROSION_KEEP"] = "no"  # what is kept obeyed the whole law
        for each in users:
            setattr(each, name, changed)
        try:
            yield
        finally:
            del os.environ["CORROSION_KEEP"]
            for each in users:
                setattr(each, name, whole)

    @contextmanager
    def _of_class(self, module: str, kind: str, name: str) -> Iterator[None]:
        owner = getattr(import_module(module), kind)
        whole = vars(owner)[name]
        os.environ["CORROSION_KEEP"] = "no"
        setattr(owner, name, property(self.how(whole.fget)))
        try:
            yield
        finally:
            del os.environ["CORROSION_KEEP"]
            setattr(owner, name, whole)


LAWS = (
    Broken(
        "natural loss of bare steel", "corrosion.history.natural_rate:natural_factors"
    ),
    Broken(
        "charge that dissolves a volume (Faraday)",
        "corrosion.wastage.metals:Metal.charge_per_volume",
    ),
    Broken("deepest pit", "corrosion.wastage.pits:deepest_pit"),
    Broken("breakdown of paint", "corrosion.wastage.coating:coating_breakdown", _bare),
    Broken(
        "share of alternating current that dissolves",
        "corrosion.wastage.alternating:dissolving_fraction",
    ),
    Broken(
        "current through a fault",
        "corrosion.leakage.fault_currents:fault_currents",
        _strong,
    ),
    Broken(
        "resistance from readings",
        "corrosion.leakage.fault_currents:sample_faults",
        _resistive,
    ),
    Broken(
        "how long a fault stands",
        "corrosion.leakage.standing_times:fault_intervals",
        _long,
    ),
    Broken("resistivity of water", "corrosion.hull.water.water_body:resistivity_of"),
    Broken(
        "interface of bare steel and water", assume={"interface_ohm_m2": (2.0, 2.0)}
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
    Broken("couple with the shore's earth", assume={"earth_couple_v": (0.6, 1.5)}),
    Broken("shore earth", assume={"shore_earth_ohm": (2.0, 2.5)}),
    Broken("error of a gauging", assume={"gauging_sd_mm": (0.6, 1.0)}),
)

Parts = dict[str, list[tuple[float, float, float]]]
"""By row, a ship each: sum of values, sum of scores, count."""


def parts(found: list[Findings]) -> Parts:
    """Return what each ship adds to each row."""
    out: Parts = {}
    for name in ROWS:
        if name.startswith("cpu"):
            continue
        for ship in found:
            items = [x for x in ship.get(name, []) if x is not None]
            items = [x for x in items if not isinstance(x, Interval) or not x.is_point]
            spans = [
                x.logged() if ROWS[name].log else x
                for x in items
                if isinstance(x, Interval)
            ]
            values = sum(map(worth, items))
            row = (values, sum(map(crps_of_interval, spans)), float(len(items)))
            out.setdefault(name, []).append(row)
    return {name: rows for name, rows in out.items() if any(n for *_, n in rows)}


def moved(intact: Parts, broken: Parts) -> list[tuple[float, str, str]]:
    """Return how far each row's value and score moved, in paired standard errors.

    Ships that either study gave up are left out of both.
    """
    gave_up = np.array(intact["given_up"])[:, 0] + np.array(broken["given_up"])[:, 0]
    both = gave_up == 0.0
    out = []
    for name in sorted(intact.keys() & broken.keys() - {"given_up"}):
        a, b = np.array(intact[name])[both], np.array(broken[name])[both]
        if not (a[:, 2].any() and b[:, 2].any()):
            continue
        for column, words in ((0, "value"), (1, "score")):
            ratios = [x[:, column].sum() / x[:, 2].sum() for x in (a, b)]
            each = [
                (x[:, column] - r * x[:, 2]) / x[:, 2].sum()
                for x, r in zip((a, b), ratios, strict=True)
            ]
            error = float(np.sqrt(((each[1] - each[0]) ** 2).sum()))
            if error > 0.0:
                out.append(((ratios[1] - ratios[0]) / error, name, words))
    return sorted(out, key=lambda row: -abs(row[0]))


def meets(name: str, rows: list[tuple[float, float, float]]) -> bool | None:
    """Return whether a row's span meets its band, however few the ships."""
    band = ROWS[name].band
    if band is None:
        return None
    value, error = ratio_by_ship([r[0] for r in rows], [r[2] for r in rows])
    return band[0] <= value + 2.0 * error and value - 2.0 * error <= band[1]


@click.command()
@click.option("--ships", default=36, show_default=True)
@click.option("--samples", default=128, show_default=True)
@click.option("--scenario", default="well specified", show_default=True)
@click.option("--processes", default=1, show_default=True)
@click.option("--limit", default=10.0, show_default=True)
@click.option("--only", default="", help="Laws whose words contain this.")
def main(
    ships: int, samples: int, scenario: str, processes: int, limit: float, only: str
) -> None:
    """Break each law in turn."""
    plain = Asked(scenario=scenario, samples=samples, quick=True, limit=limit)
    intact = parts(list(run_ships(plain, ships, processes)))
    click.echo(f"{scenario}, {ships} ships, {samples} samples; rows that meet: ")
    click.echo("  " + ", ".join(n for n, rows in intact.items() if meets(n, rows)))
    for law in (law for law in LAWS if only in law.words):
        asked = replace(plain, law=law, assume=law.assume)
        broken = parts(list(run_ships(asked, ships, processes)))
        far = moved(intact, broken)[:3]
        told = "; ".join(f"{n} ({w}) {z:+.1f}" for z, n, w in far)
        red = [
            name
            for name, rows in broken.items()
            if name in intact
            and meets(name, intact[name])
            and meets(name, rows) is False
        ]
        click.echo(f"{law.words:44} {told:80} red: {', '.join(red) or '-'}")


if __name__ == "__main__":
    main()
