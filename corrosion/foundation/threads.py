"""Independent pieces of work, as many at once as the machine has cores."""

import os
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

T = TypeVar("T")
R = TypeVar("R")


def at_once(work: Callable[[T], R], items: Sequence[T]) -> list[R]:
    """Return the result of each item, in order: the same bits as one after another.

    Parameters
    ----------
    work : callable
        Of arrays, and without effects: numpy lets other threads run meanwhile.
    items : sequence
        What it is called with; none may wait for another.
    """
    threads = min(len(items), os.cpu_count() or 1)
    if threads < 2:
        return [work(each) for each in items]
    with ThreadPoolExecutor(threads) as pool:
        return list(pool.map(work, items))
