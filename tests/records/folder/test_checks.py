"""Each check of checks.csv is made somewhere, once said in words that can be filled."""

import csv
import re
from pathlib import Path
from string import Formatter

from corrosion.records import folder

HOME = Path(folder.__file__).parent


def rows() -> list[dict[str, str]]:
    text = (HOME / "checks.csv").read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


def test_every_check_has_its_own_name_and_is_made() -> None:
    code = "".join(path.read_text(encoding="utf-8") for path in HOME.glob("*.py"))
    made = set(re.findall(r'"([^"\n]+)"', code))
    names = [row["check"] for row in rows()]
    assert len(names) == len(set(names)) > 90
    assert set(names) <= made


def test_every_check_says_what_was_found_and_what_to_do() -> None:
    for row in rows():
        assert all(row[part] for part in ("column", "found", "expected")), row
        assert row["weight"] in ("", "2", "3"), row["check"]
        for part in ("column", "found", "expected"):
            list(Formatter().parse(row[part]))  # raises where braces do not match
