"""Rules that keep documentation and code from drifting apart."""

import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable, Iterator
from typing import Any

import pytest
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
    for item in getattr(module, "__all__", vars(module)):
        thing = getattr(module, item)
        if inspect.isfunction(thing) and thing.__module__ == name:
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


def documented(function: Function) -> list[str]:
    """Return the parameters that a docstring names, in its order."""
    fields = FunctionDoc(function)["Parameters"]
    return [name.lstrip("*") for field in fields for name in field.name.split(", ")]


def takes_or_gives_numbers(function: Function) -> bool:
    signature = inspect.signature(function)
    annotations = [p.annotation for p in signature.parameters.values()]
    return bool(NUMBERS.search(" ".join(map(str, annotations)))) or bool(
        NUMBERS.search(str(signature.return_annotation))
    )


@pytest.mark.parametrize("function", FUNCTIONS, ids=name_of)
def test_documents_what_the_signature_takes(function: Function) -> None:
    names = documented(function)
    if names:
        assert names == list(inspect.signature(function).parameters)


@pytest.mark.parametrize("function", PHYSICS, ids=name_of)
def test_physics_documents_its_numbers(function: Function) -> None:
    doc = FunctionDoc(function)
    if takes_or_gives_numbers(function):
        assert doc["Parameters"] or not inspect.signature(function).parameters
        assert doc["Returns"] or doc["Yields"]


@pytest.mark.parametrize("function", FUNCTIONS, ids=name_of)
def test_every_number_has_a_unit(function: Function) -> None:
    doc = FunctionDoc(function)
    for field in (*doc["Parameters"], *doc["Returns"], *doc["Yields"]):
        kind = field.type or field.name
        if QUANTITY.search(kind) and not COUNTED.search(kind):
            assert UNIT.search(" ".join(field.desc)), field.name or kind


@pytest.mark.parametrize("function", FUNCTIONS, ids=name_of)
def test_says_what_it_does_first(function: Function) -> None:
    first = (inspect.getdoc(function) or "").splitlines()[0]
    assert first[0].isupper()
    assert re.search(r"[.:]( \[[^\]]+\])?$|\[[^\]]+\]\.$", first), first


@pytest.mark.parametrize("name", MODULES)
def test_lists_its_public_names_in_order(name: str) -> None:
    module = importlib.import_module(name)
    assert len(set(module.__all__)) == len(module.__all__)
    order = sorted(module.__all__, key=lambda item: (not item.isupper(), item))
    constants = [item for item in order if item.isupper()]
    classes = [item for item in order if item[0].isupper() and not item.isupper()]
    rest = [item for item in order if item[0].islower()]
    assert list(module.__all__) == [*constants, *classes, *rest]
    assert module.__doc__


def test_public_functions_of_the_package_tell_everything() -> None:
    for name in ("estimate", "read_ship"):
        doc = FunctionDoc(getattr(corrosion, name))
        assert doc["Summary"]
        assert doc["Parameters"]
        assert doc["Returns"]
        assert doc["Raises"]
