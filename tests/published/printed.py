"""Helper for tests against printed numbers."""

from decimal import Decimal
from typing import Any

import pytest


def printed(text: str) -> Any:
    """Match any number that would round to ``text`` as it was printed.

    ``printed("3.27e-3")`` accepts 3.265e-3 to 3.275e-3: the tolerance comes from the
    source, not from what happens to make the test pass.
    """
    number = Decimal(text)
    exponent = number.as_tuple().exponent
    assert isinstance(exponent, int), f"not a finite number: {text}"
    half_digit = Decimal(1).scaleb(exponent) / 2
    return pytest.approx(float(number), rel=0.0, abs=float(half_digit))
