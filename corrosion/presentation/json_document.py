"""The JSON of every command: its keys, its schema, and the document as written.

The keys stand in ``json_keys.json``: a name of a kind, ``?`` where it may be null, an
object, a list of one kind, ``@name`` for the keys of another. A key that an answer does
not have is written as null, where the keys allow it: its physics has not landed.
"""

import json
from collections.abc import Mapping
from functools import cache
from typing import Any, Final

from corrosion import __version__
from corrosion.foundation.data_files import text_beside
from corrosion.foundation.errors import LookupFailed

SCHEMA: Final = 2
"""Version of the keys; a key is added without a new one, none is removed."""


_STAT: Final = {
    "type": "object",
    "properties": {
        name: {"type": ["number", "null"]} for name in ("mean", "p10", "p50", "p90")
    },
    "required": ["mean", "p10", "p50", "p90"],
    "additionalProperties": False,
}
_KINDS: Final[Mapping[str, Mapping[str, Any]]] = {
    "text": {"type": "string"},
    "date": {"type": "string", "format": "date"},
    "number": {"type": "number"},
    "whole": {"type": "integer"},
    "truth": {"type": "boolean"},
    "any": {},
    "stat": {"$ref": "#/$defs/stat"},
}


@cache
def _keys(file: str = "json_keys.json") -> dict[str, Any]:
    found: dict[str, Any] = json.loads(text_beside(__file__, file))
    return found


def _units() -> dict[str, str]:
    """Return what the ends of keys mean."""
    return _keys("json_units.json")


def commands() -> tuple[str, ...]:
    """Return the commands whose JSON has a schema."""
    return tuple(name for name in _keys() if not name.startswith("$"))


def json_schema(command: str | None = None) -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of one command's document, or of all.

    Raises LookupFailed if there is no such command.
    """
    names = commands()
    if command is not None and command not in names:
        raise LookupFailed.among("command", command, names)
    defs: dict[str, Any] = {"stat": _STAT}
    for name, shape in _keys().items():
        defs[name.lstrip("$")] = _object(shape)
    documents = {name: _document_schema(name) for name in names}
    whole: dict[str, Any] = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "What the commands write with --json",
        "description": json.dumps(_units(), ensure_ascii=False),
    }
    if command is not None:
        return {**whole, **documents[command], "$defs": defs}
    return {**whole, "anyOf": list(documents.values()), "$defs": defs}


def _document_schema(command: str) -> dict[str, Any]:
    shape = _object(_keys()[command])
    head = {
        "schema": {"const": SCHEMA},
        "version": {"type": "string"},
        "units": {"type": "object", "additionalProperties": {"type": "string"}},
    }
    return {
        **shape,
        "title": f"corrosion {command} --json",
        "properties": head | shape["properties"],
        "required": [*head, *shape["required"]],
    }


def _kind(shape: Any) -> dict[str, Any]:
    """Return the schema of one value's shape."""
    if isinstance(shape, dict):
        return _object(shape)
    if isinstance(shape, list):
        return {"type": "array", "items": _kind(shape[0])}
    name = shape.removesuffix("?")
    one = {"$ref": f"#/$defs/{name[1:]}"} if name[0] == "@" else dict(_KINDS[name])
    return {"anyOf": [one, {"type": "null"}]} if shape.endswith("?") else one


def _object(shape: Mapping[str, Any]) -> dict[str, Any]:
    if "*" in shape:
        return {"type": "object", "additionalProperties": _kind(shape["*"])}
    properties = {}
    for key, value in shape.items():
        one = _kind(value)
        if key.endswith("?"):
            one = {"anyOf": [one, {"type": "null"}]}
        properties[key.removesuffix("?")] = one
    return {
        "type": "object",
        "properties": properties,
        "required": list(properties),
        "additionalProperties": False,
    }


def document(command: str, answer: Mapping[str, Any]) -> dict[str, Any]:
    """Return an answer as the command writes it: with its schema, and every key.

    ``command``: whose answer it is. ``answer``: numbers, text and None.
    """
    head = {"schema": SCHEMA, "version": __version__, "units": _units()}
    filled: dict[str, Any] = _filled(_keys()[command], answer)
    return head | filled


def _filled(shape: Any, value: Any) -> Any:
    """Return a value with null for each key of its shape that it does not have."""
    # A reference stands for a command of that name, or for a shape that commands share.
    if isinstance(shape, str) and shape.startswith("@") and value is not None:
        name = shape[1:].removesuffix("?")
        shape = _keys().get(name) or _keys()[f"${name}"]
    if isinstance(shape, list) and isinstance(value, list | tuple):
        return [_filled(shape[0], one) for one in value]
    if (
        not isinstance(shape, dict)
        or not isinstance(value, Mapping | None)
        or "*" in shape
    ):
        return value
    given = value or {}
    whole = dict(given)
    for key, kind in shape.items():
        name = key.removesuffix("?")
        may_be_null = key.endswith("?") and given.get(name) is None
        whole[name] = None if may_be_null else _filled(kind, given.get(name))
    return whole
