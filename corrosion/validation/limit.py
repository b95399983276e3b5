"""A limit of processor time on what one ship may cost."""

import signal
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType


class TooLong(Exception):
    """An estimate took more processor time than it was given."""


def _stop(_number: int, _frame: FrameType | None) -> None:
    raise TooLong


@contextmanager
def limited(seconds: float) -> Iterator[None]:
    """Raise TooLong in the block after so many seconds of processor; 0: never.

    A system without such a clock sets no limit.
    """
    if not seconds or not hasattr(signal, "SIGVTALRM"):
        yield
        return
    before = signal.signal(signal.SIGVTALRM, _stop)
    signal.setitimer(signal.ITIMER_VIRTUAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0.0)
        signal.signal(signal.SIGVTALRM, before)
