"""The end of every command's help: two examples, and what the exit codes mean."""

from collections.abc import Mapping
from typing import Final

EXAMPLES: Final[Mapping[str, tuple[str, str]]] = {
    "charge": (
        "charge monitor/2025.csv",
        "charge a.csv b.csv --gap 10min --writes at-intervals --json -",
    ),
    "check": ("check my-ship", "check my-ship --strict"),
    "columns": ("columns", "columns faults"),
    "dashboard": (
        "dashboard my-ships --port 8600",
        "dashboard my-ships --for-phones 192.168.1.20",
    ),
    "docking": ("docking my-ship", "docking my-ship --csv yard --json docking.json"),
    "estimate": (
        "estimate my-ship",
        "estimate my-ship --as-of 1990-06 --csv tables --plot shell.svg",
    ),
    "fleet": ("fleet my-ships", "fleet my-ships --workers 1 --json fleet.json"),
    "hull": ("hull my-ship", "hull my-ship --as-of 2026 --json hull.json"),
    "hunt": (
        'hunt my-ship --system "ship service" --ship alongside',
        "hunt my-ship --resume GP-087",
    ),
    "import": (
        "import my-ship gaugings.xlsx",
        "import my-ship gaugings.csv --unit thickness_mm=in --yes",
    ),
    "isolate": (
        "isolate my-ship --within 4h,24h,7d",
        "isolate my-ship --isolators --plot kept.svg",
    ),
    "leakage": ("leakage my-ship", "leakage my-ship --csv tables"),
    "metal": ("metal steel --amps 1 --years 1", "metal zinc --json -"),
    "new": ("new my-ship", "new ships/another"),
    "plan": (
        "plan my-ship --hours 40",
        "plan my-ship --hours 40 --access inside,diver=8",
    ),
    "surveys": ("surveys my-ship", "surveys my-ship --json - --csv tables"),
    "schema": ("schema", "schema estimate"),
    "undo": ("undo my-ship", "undo ships/another"),
    "report": (
        "report my-ship --html report.html",
        "report my-ship --html report.html --csv tables --hours 16",
    ),
}
"""Command → two ways to give it."""

_CODES: Final = (
    "Exit codes: 0 done; 1 the records have problems, or the output cannot be taken; "
    "2 the command was used wrongly; 130 stopped by Ctrl-C."
)


def epilog(name: str) -> str:
    """Return the end of a command's help; nothing of a command without examples."""
    if name not in EXAMPLES:
        return _CODES
    lines = "\n".join(f"  corrosion {example}" for example in EXAMPLES[name])
    return f"\b\nExamples:\n{lines}\n\n{_CODES}"
