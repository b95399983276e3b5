"""A small store of results that sessions share.

Streamlit's own caches let nothing be drawn while they compute; here a page can show
how far the work has come, and what is broken off halfway is never kept.
"""

from collections import OrderedDict
from collections.abc import Callable, Hashable
from threading import Lock
from typing import Any, TypeVar

from corrosion.foundation.memory import gives_memory_back

T = TypeVar("T")


class ResultCache:
    """The results that were asked for last, by a key that names all they depend on.

    ``most``: how many are kept [-].
    """

    def __init__(self, most: int) -> None:
        self._most = most
        self._kept: OrderedDict[Hashable, Any] = OrderedDict()
        self._lock = Lock()

    def get(self, key: Hashable, make: Callable[[], T]) -> T:
        """Return what is kept under a key, or make it and keep it.

        ``key``: names the result: content of the folder, inputs, kind. ``make``: makes
        it; what it raises is raised here, and nothing is kept. It runs without the
        lock, so that nobody waits for somebody else's ship. Returns shared by all who
        ask: never change it.
        """
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
                found: T = self._kept[key]
                return found
        # Two sessions may make the same at once; both results are right, and the last
        # one is kept. A lock held meanwhile would make everybody wait for the slowest.
        made = gives_memory_back(make)()
        with self._lock:
            self._kept[key] = made
            self._kept.move_to_end(key)
            while len(self._kept) > self._most:
                self._kept.popitem(last=False)
        return made

    def known(self, key: Hashable) -> Any | None:
        """Return what is kept under a key, or None."""
        with self._lock:
            return self._kept.get(key)
