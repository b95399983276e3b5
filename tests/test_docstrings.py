"""Rules that keep documentation and code from drifting apart."""

import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable, Iterator
from functools import cache
from typing import Any

from numpydoc.docscrape import FunctionDoc  # type: ignore[import-untyped] # no stubs

import corrosion

ROOMS = ["foundation", "records", "leakage", "hull", "wastage", "history", "inspection"]
CORRIDOR = ("estimate", "results")
NUMBERS = re.compile(r"\b(Array|ComplexArray|Phasors|ArrayLike|float|complex)\b")
QUANTITY = re.compile(r"\b(array_like|ndarray|float|complex)\b")
COUNTED = re.compile(r"\b(bool|int|str)\b|\{")
UNIT = re.compile(r"\[[^\]]+\]|\bunit\b")

Function = Callable[..., Any]


def modules() -> Iterator[str]:
    for room in ROOMS:
        package = importlib.import_module(f"corrosion.{room}")
        for found in pkgutil.walk_packages(package.__path__, f"corrosion.{room}."):
            if not found.ispkg:
                yield found.name
    yield from (f"corrosion.{name}" for name in CORRIDOR)


def public(name: str) -> Iterator[Function]:
    module = importlib.import_module(name)
    for item, thing in vars(module).items():
        here = inspect.isfunction(thing) and thing.__module__ == name
        if here and not item.startswith("_"):
            yield thing


MODULES = tuple(modules())
FUNCTIONS = tuple(function for name in MODULES for function in public(name))
PHYSICS = tuple(
    f
    for f in FUNCTIONS
    if f.__module__.split(".")[1] in ("leakage", "hull", "wastage", "inspection")
)


def name_of(function: Function) -> str:
    return f"{function.__module__.removeprefix('corrosion.')}.{function.__name__}"


@cache
def doc_of(function: Function) -> FunctionDoc:
    return FunctionDoc(function)


def numbered(function: Function) -> bool:
    """Return whether a function takes or gives numbers."""
    signature = inspect.signature(function)
    annotations = [p.annotation for p in signature.parameters.values()]
    return bool(NUMBERS.search(" ".join(map(str, annotations)))) or bool(
        NUMBERS.search(str(signature.return_annotation))
    )


def test_parameters_are_those_of_the_signature() -> None:
    for function in FUNCTIONS:
        fields = doc_of(function)["Parameters"]
        names = [name.lstrip("*") for one in fields for name in one.name.split(", ")]
        if names:
            taken = list(inspect.signature(function).parameters)
            assert names == taken, name_of(function)


def test_physics_documents_its_numbers() -> None:
    for function in filter(numbered, PHYSICS):
        doc, taken = doc_of(function), inspect.signature(function).parameters
        assert doc["Parameters"] or not taken, name_of(function)
        assert doc["Returns"] or doc["Yields"], name_of(function)


def test_every_number_has_a_unit() -> None:
    for function in FUNCTIONS:
        doc = doc_of(function)
        for field in (*doc["Parameters"], *doc["Returns"], *doc["Yields"]):
            kind = field.type or field.name
            if QUANTITY.search(kind) and not COUNTED.search(kind):
                said = " ".join(field.desc)
                assert UNIT.search(said), (name_of(function), field.name or kind)


def test_says_what_it_does_first() -> None:
    for function in FUNCTIONS:
        first = (inspect.getdoc(function) or "").splitlines()[0]
        assert first[0].isupper(), name_of(function)
        ends = re.search(r"[.:]( \[[^\]]+\])?$|\[[^\]]+\]\.$", first)
        assert ends, (name_of(function), first)


def test_every_module_says_what_it_is() -> None:
    for name in MODULES:
        assert importlib.import_module(name).__doc__, name


def test_public_functions_of_the_package_tell_everything() -> None:
    for name in ("estimate", "read_ship"):
        doc = FunctionDoc(getattr(corrosion, name))
        assert doc["Summary"]
        assert doc["Parameters"]
        assert doc["Returns"]
        assert doc["Raises"]
