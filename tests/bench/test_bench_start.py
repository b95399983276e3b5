"""How long one waits before anything begins."""

from typing import Any

from bench.measuring import Ratios, by_the_wall, in_python

HELP = "import sys\nfrom corrosion.__main__ import main\nsys.argv = ['', '-h']\nmain()"


def test_help_and_import(benchmark: Any, ratios: Ratios) -> None:
    rounds = 3 * ratios.rounds
    assert benchmark.pedantic(in_python, (HELP,), rounds=ratios.rounds).strip()
    shown = by_the_wall(lambda: in_python(HELP), rounds)
    imported = by_the_wall(lambda: in_python("import corrosion"), rounds)
    nothing = by_the_wall(lambda: in_python("import numpy"), rounds)
    ratios.note("corrosion --help, warm [s]", shown, at_most=0.2)
    ratios.note("import corrosion, warm [s]", imported)
    ratios.note("  less importing numpy alone [s]", imported - nothing, at_most=0.1)
