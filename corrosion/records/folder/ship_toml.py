"""Reading ship.toml: every problem with the line of its key."""

import re
import tomllib
from collections.abc import Mapping, Sized
from typing import Any, Final

from corrosion.foundation.assumptions import Assumptions, default_assumptions
from corrosion.foundation.errors import InputError, LookupFailed, Problem
from corrosion.records.folder.cell_messages import shown, unknown
from corrosion.records.folder.csv_file import decoded
from corrosion.records.folder.mapping import record_of
from corrosion.records.folder.row import (
    UNREADABLE,
    R,
    Spot,
    columns,
    read_row,
    required_columns,
)
from corrosion.records.folder.ship_toml_keys import (
    AssumptionKeys,
    DisplayKeys,
    LampKeys,
    PriceKeys,
    RecorderKeys,
    ShipFile,
    ShipKeys,
    SystemKeys,
    WaterKeys,
)
from corrosion.records.ship import Display, Prices, Recorder

_FILE: Final = "ship.toml"
_TABLES: Final = (
    "ship",
    "water",
    "system",
    "prices",
    "display",
    "monitor",
    "assumption",
)
_MOST_BYTES: Final = 256 << 10
_MOST_TABLES: Final = 200
_LONGEST: Final = 2000
_MOST_DOTS: Final = 60
_DEEPEST: Final = 4  # parts of a dotted key
_HEADING: Final = re.compile(r"\s*(\[\[?)\s*([^\[\]]+?)\s*\]")
_KEY: Final = re.compile(r"\s*([A-Za-z0-9_\-\"'.]+)\s*=")
_PLACE: Final = re.compile(r"(?P<what>.*) \(at (?:line (?P<line>\d+), .*|end .*)\)")


class _Reader:
    """Reads the tables of one ship.toml, and remembers where each key stands."""

    def __init__(self, text: str, problems: list[Problem]) -> None:
        self.lines = _key_lines(text)
        self.inside: dict[tuple[str | int, ...], dict[str, int]] = {}
        for where, line in self.lines.items():
            self.inside.setdefault(where[:-1], {})[str(where[-1])] = line
        self.problems = problems

    def spot(self, *path: str | int) -> Spot:
        inside = self.inside.get(path, {})
        table = ".".join(str(part) for part in path if isinstance(part, str))
        return Spot(file=_FILE, line=self.lines.get(path), table=table, lines=inside)

    def table(self, model: type[R], given: object, *path: str | int) -> R:
        """Read one table; where it is missing or no table, that is one problem."""
        spot = self.spot(*path)
        missing = dict.fromkeys(required_columns(model), UNREADABLE)
        if given is None and missing:
            found, expected = f"no table [{path[0]}]", "one, as `corrosion new` writes"
            self.problems.append(Problem(_FILE, None, "", found, expected))
        elif given is not None and not isinstance(given, dict):
            expected = f"a table with the keys {', '.join(columns(model))}"
            self.problems.append(spot.problem("", shown(given), expected))
        if not isinstance(given, dict):
            return read_row(model, missing, spot, self.problems)
        values = {key: given[key] for key in columns(model) if key in given}
        for key in given:
            if key not in values:
                words = unknown("key", key, columns(model))
                self.problems.append(spot.problem(key, *words))
        return read_row(model, values, spot, self.problems)

    def system(self, given: object, place: int) -> SystemKeys:
        if isinstance(given, dict) and "lamps" in given:
            lamps = self.table(LampKeys, given["lamps"], "system", place, "lamps")
            given = {**given, "lamps": lamps}
        return self.table(SystemKeys, given, "system", place)

    def assumptions(self, given: object) -> Assumptions:
        own = default_assumptions()
        if not isinstance(given, dict):
            spot = self.spot("assumption")
            expected = "a table for each, as [assumption.fault_ohm]"
            self.problems.append(spot.problem("", shown(given), expected))
            return own
        for name, keys in given.items():
            before = len(self.problems)
            row = self.table(AssumptionKeys, keys, "assumption", name)
            try:
                if len(self.problems) == before:
                    own = own.override(name, **row.model_dump())
            except LookupFailed:
                words = unknown("assumption", name, own)
                self.problems.append(row.problem("", *words))
            except InputError as error:
                found = f"{row.median:g} with spread {row.spread:g}"
                self.problems.append(
                    row.problem("median", found, str(error).partition(": ")[2])
                )
        return own


def read_ship_file(data: bytes | None, problems: list[Problem]) -> ShipFile:
    """Read ship.toml; every problem is added to the list.

    ``data``: the whole file; None where it is missing, which was reported already.
    The return is only to be used beyond checks where no problem was added.
    """
    if data is not None and len(data) > _MOST_BYTES:
        found = f"{len(data) / 1e3:.0f} kB"
        expected = f"at most {_MOST_BYTES / 1e3:.0f} kB: one ship, her systems, prices"
        problems.append(Problem(_FILE, None, "", found, expected))
        data = None
    text = None if data is None else decoded(_FILE, data, problems)
    given = None if text is None else _parsed(text, problems)
    if text is None or given is None:
        return _ship_file(_Reader("", []), {}, None)
    reader = _Reader(text, problems)
    for name in given:
        if name not in _TABLES:
            words = unknown("table or key", name, _TABLES)
            problems.append(reader.spot().problem(name, *words))
    systems = given.get("system", [])
    if not isinstance(systems, list):
        advice = "[[system]] with two brackets, for there may be several"
        problems.append(reader.spot("system").problem("", "[system]", advice))
        systems = None
    many = {"system": systems or (), "assumption": given.get("assumption") or ()}
    for name, some in many.items():
        if isinstance(some, Sized) and len(some) > _MOST_TABLES:
            found = f"{len(some)} tables"
            expected = f"at most {_MOST_TABLES}"
            problems.append(reader.spot(name).problem("", found, expected))
            return _ship_file(_Reader("", []), {}, None)
    return _ship_file(reader, given, systems)


def _ship_file(
    reader: _Reader, given: Mapping[str, Any], systems: list[object] | None
) -> ShipFile:
    rows = systems or []
    read = tuple(reader.system(row, n) for n, row in enumerate(rows))
    prices = reader.table(PriceKeys, given.get("prices"), "prices")
    display = reader.table(DisplayKeys, given.get("display"), "display")
    recorder = reader.table(RecorderKeys, given.get("monitor"), "monitor")
    return ShipFile(
        ship=reader.table(ShipKeys, given.get("ship"), "ship"),
        water=reader.table(WaterKeys, given.get("water"), "water"),
        systems=None if systems is None else read,
        prices=record_of(prices, Prices),
        display=record_of(display, Display),
        recorder=record_of(recorder, Recorder),
        assumptions=reader.assumptions(given.get("assumption", {})),
    )


def _parsed(text: str, problems: list[Problem]) -> dict[str, Any] | None:
    for number, row in enumerate(text.splitlines(), start=1):
        if len(row) > _LONGEST or row.count(".") > _MOST_DOTS:
            found = f"a line of {len(row)} characters, {row.count('.')} points in it"
            expected = f"at most {_LONGEST} and {_MOST_DOTS}; reading it takes too long"
            spot = Spot(file=_FILE, line=number)
            problems.append(spot.problem("", found, expected))
            return None
    try:
        return tomllib.loads(text)
    except RecursionError:
        what, line = "brackets nested too deeply", None
    except tomllib.TOMLDecodeError as error:
        place = _PLACE.fullmatch(str(error))
        what = place["what"] if place else str(error)
        line = int(place["line"] or text.count("\n") + 1) if place else None
    except ValueError:
        what, line = "a number with too many digits", None
    advice = (
        'a line as `length_m = 96.0`; words, and dates as "1994-06", in quotation marks'
    )
    problems.append(Spot(file=_FILE, line=line).problem("", what, advice))
    return None


def _key_lines(text: str) -> dict[tuple[str | int, ...], int]:
    """Return the line of each heading and key; a heading in [[ ]] counts from 0."""
    lines: dict[tuple[str | int, ...], int] = {}
    counts: dict[str, int] = {}
    path: tuple[str | int, ...] = ()
    for number, line in enumerate(text.splitlines(), start=1):
        if heading := _HEADING.match(line):
            head, *rest = _parts(heading[2])
            if heading[1] == "[[":
                counts[head] = counts.get(head, -1) + 1
            path = (head, counts[head], *rest) if head in counts else (head, *rest)
            lines.setdefault(path, number)
            lines.setdefault((head,), number)
        elif key := _KEY.match(line):
            for end, _ in enumerate(parts := _parts(key[1])[:_DEEPEST], start=1):
                lines.setdefault((*path, *parts[:end]), number)
    return lines


def _parts(dotted: str) -> list[str]:
    return [part.strip(" \"'") for part in dotted.split(".")]
