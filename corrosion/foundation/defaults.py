"""What every command, page and function takes unless it is told otherwise."""

from typing import Final

SAMPLES: Final = 512
"""Samples of an estimate: every one counts, so that more add digits that the error of
the records hides (DEVELOPERS.md: how far chances move from seed to seed)."""
