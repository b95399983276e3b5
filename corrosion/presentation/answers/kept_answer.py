"""Answers that rest on an estimate, kept: another command or page asks the same."""

from collections.abc import Callable
from typing import TypeVar

from corrosion.foundation.kept_objects import kept
from corrosion.records.as_of import anywhere
from corrosion.results import Estimate

T = TypeVar("T")


def kept_answer(result: Estimate, asked: object, compute: Callable[[], T]) -> T:
    """Return what was asked of an estimate, kept or computed now.

    ``result``: the estimate. What it rests on beside her records, such as logs, shows
    in its outlook, which tells it apart. ``asked``: what the answer is, and all that it
    depends on beside the estimate. ``compute``: computes it: as
    :func:`corrosion.foundation.kept_objects.kept` takes it. Returns the same to the bit
    either way.
    """
    inputs = result.inputs
    of = anywhere(result.ship), inputs.draws, inputs.time_grid, result.outlook
    return kept(("answer", asked, *of), compute, large=True)
