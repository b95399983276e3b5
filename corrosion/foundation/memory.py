"""Memory that a long computation no longer uses, given back to the system."""

import ctypes
from collections.abc import Callable
from contextlib import suppress
from functools import wraps
from typing import ParamSpec, TypeVar

__all__ = ["gives_memory_back"]

P = ParamSpec("P")
T = TypeVar("T")


def gives_memory_back(work: Callable[P, T]) -> Callable[P, T]:
    """Return a function that gives back what its arrays took once it has ended.

    The C library of Linux keeps what is freed, between what is still used, for a next
    time: a server would hold twice what its answers need. Elsewhere nothing is done.
    """

    @wraps(work)
    def ended(*args: P.args, **named: P.kwargs) -> T:
        try:
            return work(*args, **named)
        finally:
            # no such function, or no C library that goes by no name
            with suppress(AttributeError, OSError, TypeError):
                ctypes.CDLL(None).malloc_trim(0)

    return ended
