"""Tests of presentation.terminal.output: what is told beside a result."""

import warnings

import pytest

from corrosion.foundation.errors import ValidityWarning
from corrosion.presentation.terminal.output import doubts_told


def test_a_doubt_beside_an_estimate_is_a_sentence(
    capsys: pytest.CaptureFixture[str],
) -> None:
    with doubts_told():
        warnings.simplefilter("always")
        warnings.warn("zone A was kept linear", ValidityWarning, stacklevel=1)
        with pytest.warns(UserWarning, match="of a library"):
            warnings.warn("of a library", UserWarning, stacklevel=1)
    assert capsys.readouterr().err == "doubt: zone A was kept linear\n"
