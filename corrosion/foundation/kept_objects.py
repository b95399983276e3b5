"""Results of dataclasses and arrays, kept as :mod:`corrosion.foundation.cache` keeps.

What is not an array is written as JSON beside the arrays, which names the dataclasses
of this program and no other thing: reading it runs no code but theirs.
"""

import json
import warnings
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import Field, fields, is_dataclass
from datetime import date
from importlib import import_module
from pathlib import Path
from typing import Any, Final, TypeVar

import numpy as np

from corrosion.foundation.cache import remembered
from corrosion.foundation.errors import ValidityWarning
from corrosion.foundation.types import Array

T = TypeVar("T")

_ARRAYS: Final = frozenset({"array", "number", "objects"})
_WORDS: Final[Mapping[str, Callable[[str], object]]] = {
    "date": date.fromisoformat,
    "path": Path,
}
_TOLD: Final = "told"  # the array that is JSON
_ROOT: Final = __name__.split(".", maxsplit=1)[0]


def kept(
    key: object,
    compute: Callable[[], T],
    *,
    known: Sequence[object] = (),
    large: bool = False,
    lines: bool = False,
) -> T:
    """Return what belongs to a key, computed only if not yet kept.

    Equal to the bit, kept or fresh, and what is doubted is doubted again. Its arrays
    are not to be written to.

    ``key``: all that the result depends on, as
    :func:`corrosion.foundation.cache.digest` takes it. ``compute``: computes it: of
    dataclasses of this program, arrays, mappings, lists, tuples, dates, paths, numbers,
    text and None, one within another. ``known``: objects that the result may hold and
    that are not kept with it: it holds these same ones again. ``large``, ``lines``: as
    :func:`corrosion.foundation.cache.remembered` takes them.

    Raises TypeError if there is something of another kind in it.
    """
    fresh: list[tuple[T, list[str]]] = []

    def arrays() -> dict[str, Array]:
        with warnings.catch_warnings(record=True) as caught:
            warnings.simplefilter("always", ValidityWarning)
            thing = compute()
        fresh.append((thing, [str(one.message) for one in caught]))
        writer = _Writer(known)
        letters = json.dumps(writer.told(fresh[0])).encode()
        return {_TOLD: np.frombuffer(letters, dtype=np.uint8), **writer.arrays}

    found = remembered(key, arrays, large=large, lines=lines)
    thing: T
    if fresh:
        ((thing, words),) = fresh
    else:
        thing, words = _Reader(known, found).thing(json.loads(found[_TOLD].tobytes()))
    for each in words:
        warnings.warn(each, ValidityWarning, stacklevel=2)
    return thing


class _Writer:
    """Things as JSON: what is told twice is one thing, told once."""

    def __init__(self, known: Sequence[object]) -> None:
        self.arrays: dict[str, Array] = {}
        self._known = known  # held, so that no other thing takes an identity
        self._places = {id(each): place for place, each in enumerate(known)}
        self._scratch: list[object] = []  # held likewise

    def told(self, thing: object) -> Any:
        """Return a thing as JSON; arrays go beside it."""
        if thing is None or type(thing) in {bool, int, float, str}:
            return thing
        if id(thing) in self._places:
            return ["again", self._places[id(thing)]]
        kind, parts = self._parts(thing)
        told = [kind, *parts]
        if kind not in _WORDS:
            self._places[id(thing)] = len(self._places)
        return told

    def _parts(self, thing: object) -> tuple[str, Iterable[Any]]:
        if isinstance(thing, np.ndarray) and thing.dtype == object:
            return "objects", [thing.shape, *map(self.told, thing.ravel().tolist())]
        if isinstance(thing, np.ndarray | np.generic):
            name = str(len(self.arrays))
            self.arrays[name] = np.asarray(thing)
            return "array" if isinstance(thing, np.ndarray) else "number", [name]
        if isinstance(thing, Mapping) and not is_dataclass(thing):
            return "mapping", [[self.told(k), self.told(v)] for k, v in thing.items()]
        if type(thing) is list or type(thing) is tuple:
            return type(thing).__name__, map(self.told, thing)
        if isinstance(thing, Path) or type(thing) is date:
            return "path" if isinstance(thing, Path) else "date", [str(thing)]
        kind = type(thing)
        values = [self.told(self._value(thing, one)) for one in _fields(kind)]
        return f"{kind.__module__}:{kind.__qualname__}", values

    def _value(self, thing: object, one: Field[Any]) -> object:
        """Return a field's value; none of what is made again when it is asked for."""
        if one.metadata.get("scratch"):
            self._scratch.append({})
            return self._scratch[-1]
        return getattr(thing, one.name)


class _Reader:
    """Things from JSON, in the order in which they were told."""

    def __init__(self, known: Sequence[object], arrays: Mapping[str, Array]) -> None:
        self._arrays = arrays
        self._things: list[object] = [*known]

    def thing(self, told: Any) -> Any:
        """Return a thing from JSON."""
        if not isinstance(told, list):
            return told
        kind, *parts = told
        if kind == "again":
            return self._things[parts[0]]
        if kind in _WORDS:
            return _WORDS[kind](parts[0])
        made = self._array(kind, parts) if kind in _ARRAYS else self._made(kind, parts)
        self._things.append(made)
        return made

    def _array(self, kind: str, parts: list[Any]) -> Any:
        if kind == "objects":
            objects = np.empty(parts[0], dtype=object)
            objects.ravel()[:] = [*map(self.thing, parts[1:])]
            return objects
        array = self._arrays[parts[0]]
        return array if kind == "array" else array[()]

    def _made(self, kind: str, parts: list[Any]) -> Any:
        if kind == "mapping":
            return {self.thing(key): self.thing(value) for key, value in parts}
        if kind in {"list", "tuple"}:
            things = [*map(self.thing, parts)]
            return things if kind == "list" else tuple(things)
        module, name = kind.split(":")
        if not module.startswith(f"{_ROOT}."):
            msg = f"cannot keep {kind}"
            raise TypeError(msg)
        what = getattr(import_module(module), name)
        made = object.__new__(what)
        for one, part in zip(_fields(what), parts, strict=True):
            object.__setattr__(made, one.name, self.thing(part))
        return made


def _fields(kind: type) -> tuple[Field[Any], ...]:
    """Return the fields of a dataclass of this program."""
    if not (is_dataclass(kind) and kind.__module__.startswith(f"{_ROOT}.")):
        msg = f"cannot keep {kind.__qualname__}"
        raise TypeError(msg)
    return fields(kind)
