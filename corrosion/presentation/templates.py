"""Templates of pages and of the report: whatever they are given is escaped."""

from collections.abc import Callable, Mapping
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined


def escaping(package: str, filters: Mapping[str, Callable[..., Any]]) -> Environment:
    """Return the templates of a package, in which a name that is missing is an error.

    ``package``: whose folder ``templates`` holds them. ``filters``: what they may call,
    by name.
    """
    found = Environment(
        loader=PackageLoader(package),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    found.filters |= filters
    return found
