"""An independent circuit simulator, ngspice, run beside a test where there is one."""

import re
import shutil
import subprocess
from collections.abc import Sequence
from pathlib import Path
from typing import Final

import pytest

SPICE: Final = pytest.mark.skipif(
    shutil.which("ngspice") is None,
    reason="ngspice, the independent circuit simulator, is not installed here",
)


def printed_by(folder: Path, netlist: Sequence[str]) -> str:
    """Return what the simulator prints of a netlist without title and end."""
    deck = folder / "deck.cir"
    deck.write_text("\n".join(["* deck", *netlist, ".end", ""]), encoding="utf-8")
    run = subprocess.run(
        ["ngspice", "-b", str(deck)], capture_output=True, text=True, check=False
    )
    return run.stdout + run.stderr


def simulated(
    folder: Path, netlist: Sequence[str], asked: Sequence[str]
) -> list[complex]:
    """Return quantities that a netlist's control section prints, by their names."""
    printed = printed_by(folder, netlist)
    found = []
    for name in asked:
        line = re.search(
            rf"^{re.escape(name)} = (\S+)", printed, re.MULTILINE | re.IGNORECASE
        )
        assert line, printed
        real, _, imaginary = line[1].partition(",")
        found.append(complex(float(real), float(imaginary or 0.0)))
    return found
