"""The scenarios of a study: what differs from a world as the estimate expects it."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from corrosion.foundation.data_files import toml_tables
from corrosion.validation.life import Circumstances
from corrosion.validation.logbook import Habits

Band = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Scenario:
    """One scenario."""

    words: str  # what differs
    what: Circumstances  # of the world
    habits: Habits  # of people
    bands: Mapping[str, Band]  # goals of rows that differ here
    kinds: tuple[str, ...]  # kinds of ship; empty: all in turn
    # no life at all but plates on a line, on such a surface; empty: nobody wrote
    # it. See `corrosion.validation.line`
    line: str | None


def _read() -> Iterator[tuple[str, Scenario]]:
    told = toml_tables(__file__, "scenarios.toml")
    goals: dict[str, dict[str, Band]] = {
        name: {row: (low, high) for row, (low, high) in rows.items()}
        for name, rows in told["bands"].items()
    }
    for name, one in told["scenario"].items():
        what, habits = one.get("what", {}), Habits(**one.get("habits", {}))
        if what.get("shifts") == "all":
            what["shifts"] = told["all"]
        bands, kinds = goals.get(one.get("bands"), {}), tuple(one.get("kinds", ()))
        world = Circumstances(**what)
        yield name, Scenario(one["words"], world, habits, bands, kinds, one.get("line"))
    for law, factor in told["all"].items():
        alone = Circumstances(shifts={law: factor})
        words = f"{law} x {factor:g}, alone"
        name = f"shifted {law.replace('_', ' ')}"
        yield name, Scenario(words, alone, Habits(), goals["shifted"], (), None)


SCENARIOS: Final[Mapping[str, Scenario]] = MappingProxyType(dict(_read()))
"""Every scenario of scenarios.toml, by name, and its shifts each alone."""
