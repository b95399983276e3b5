"""Tests of foundation.memory."""

import ctypes
from pathlib import Path

import numpy as np
import pytest

from corrosion.foundation.memory import gives_memory_back

_STATE = Path("/proc/self/statm")


def held() -> int:
    """Return the memory of this process that is in the machine [pages]."""
    return int(_STATE.read_text().split()[1])


@pytest.mark.skipif(
    not (_STATE.exists() and hasattr(ctypes.CDLL(None), "malloc_trim")),
    reason="only this C library keeps what is freed",
)
def test_what_is_freed_between_what_is_used_goes_back() -> None:
    @gives_memory_back
    def work() -> list[np.ndarray]:
        pieces = [np.ones(4000) for _ in range(4000)]  # 32 kB each: off the heap
        return pieces[::1000]

    before = held()
    kept = work()
    assert len(kept) == 4
    assert held() - before < 4000  # of 31,000 pages of 4 kB


def test_an_error_passes_and_names_and_words_stay() -> None:
    @gives_memory_back
    def fails(what: str) -> None:
        """Say what fails."""
        raise ValueError(what)

    assert (fails.__name__, fails.__doc__) == ("fails", "Say what fails.")
    with pytest.raises(ValueError, match="this"):
        fails("this")
