"""A small store of results that sessions share.

Streamlit's own caches let nothing be drawn while they compute; here a page can show
how far the work has come, and what is broken off halfway is never kept.
"""

import ctypes
import sys
from collections import OrderedDict
from collections.abc import Callable, Hashable
from threading import Lock
from typing import Any, TypeVar

__all__ = ["ResultCache"]

T = TypeVar("T")


def _give_back() -> None:
    """Give memory that is not used back to the system, where its library can.

    What an estimate needs on its way is a multiple of what it leaves; the library of
    Linux keeps all of it for the process unless it is told otherwise.
    """
    if sys.platform == "linux":
        trim = getattr(ctypes.CDLL(None), "malloc_trim", None)
        if trim is not None:
            trim(0)


class ResultCache:
    """The results that were asked for last, by a key that names all they depend on.

    Parameters
    ----------
    most : int
        How many are kept. [-]
    weigh : callable, optional
        Tells how much memory a result holds. [B]
    budget : float, optional
        How much may be held together; the last result is kept whatever it weighs. [B]
    """

    def __init__(
        self,
        most: int,
        *,
        weigh: Callable[[Any], float] | None = None,
        budget: float = float("inf"),
    ) -> None:
        self._most, self._weigh, self._budget = most, weigh, budget
        self._kept: OrderedDict[Hashable, Any] = OrderedDict()
        self._lock = Lock()

    def get(self, key: Hashable, make: Callable[[], T]) -> T:
        """Return what is kept under a key, or make it and keep it.

        Parameters
        ----------
        key : hashable
            Names the result: content of the folder, inputs, kind.
        make : callable
            Makes it; what it raises is raised here, and nothing is kept. It runs
            without the lock, so that nobody waits for somebody else's ship.

        Returns
        -------
        object
            Shared by all who ask: never change it.
        """
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
                found: T = self._kept[key]
                return found
        made = make()
        with self._lock:
            self._kept[key] = made
            self._kept.move_to_end(key)
            while len(self._kept) > self._most or self._over():
                self._kept.popitem(last=False)
        _give_back()
        return made

    def known(self, key: Hashable) -> Any | None:
        """Return what is kept under a key, or None."""
        with self._lock:
            return self._kept.get(key)

    def _over(self) -> bool:
        """Return whether more than the last result is kept, and too much."""
        if self._weigh is None or len(self._kept) < 2:
            return False
        return sum(map(self._weigh, self._kept.values())) > self._budget
