"""Sum up what every command prints and writes for both demo ships.

A refactoring must leave every line as it was: run it before and after
(``python tests/frozen_digits.py > FILE``) and compare. Sums alone say *that* something
moved; ``--keep DIR`` writes the outputs themselves, to see *what*.
"""

import hashlib
import subprocess
import sys
from argparse import ArgumentParser
from pathlib import Path
from tempfile import TemporaryDirectory

DATA = Path(__file__).parents[1] / "data"
SHIPS = {"grey-plover": "ship service", "saltmarsh": "main"}
DAY = ("--as-of", "2026-11-25")
LIES = ("--ship", "alongside")


def commands(ship: str, samples: int, to: Path) -> dict[str, list[str]]:
    """Return the commands to sum up, by name; ``to`` is where files go."""
    folder = str(DATA / ship)
    drawn = [*DAY, "--samples", str(samples)]
    return {
        "check": ["check", folder],
        "estimate": ["estimate", folder, *drawn],
        "leakage": ["leakage", folder, *drawn],
        "hull": ["hull", folder, *drawn],
        "isolate": ["isolate", folder, *drawn, "--within", "4h,7d", "--isolators"],
        "hunt": ["hunt", folder, "--system", SHIPS[ship], *LIES, *drawn],
        "plan": ["plan", folder, "--hours", "40", *drawn],
        "report": ["report", folder, "--html", str(to / "report.html"), *drawn],
    }


def printed(words: list[str]) -> str:
    """Run one command and return its exit code and all that it printed."""
    run = subprocess.run(
        [sys.executable, "-m", "corrosion", *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
    )
    return f"exit {run.returncode}\n{run.stdout}"


def outputs(samples: int, only: str) -> dict[str, str]:
    """Run every command and return its text, its JSON and its files by name."""
    found: dict[str, str] = {}
    for ship in SHIPS:
        with TemporaryDirectory() as scratch:
            to = Path(scratch)
            for name, words in commands(ship, samples, to).items():
                if only not in name:
                    continue
                text = printed(words).replace(str(to), "").replace(str(DATA), "")
                found[f"{ship}.{name}.txt"] = text
                if name != "check":
                    printed([*words, "--json", str(to / "out.json")])
                for path in sorted(to.iterdir()):
                    key = f"{ship}.{name}{path.suffix}"
                    found[key] = path.read_text(encoding="utf-8")
                    path.unlink()
    return found


if __name__ == "__main__":
    parser = ArgumentParser(description=__doc__)
    parser.add_argument("--samples", type=int, default=256)
    parser.add_argument("--only", default="", help="commands whose name holds this")
    parser.add_argument("--keep", type=Path, help="a folder for the outputs")
    asked = parser.parse_args()
    for name, text in outputs(asked.samples, asked.only).items():
        sys.stdout.write(f"{hashlib.sha256(text.encode()).hexdigest()[:16]} {name}\n")
        if asked.keep:
            asked.keep.mkdir(parents=True, exist_ok=True)
            (asked.keep / name).write_text(text, encoding="utf-8")
