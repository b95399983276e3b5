"""The picture of the house in DEVELOPERS.md is the house, in the order of imports."""

import re
import tomllib
from pathlib import Path

ROOT = Path(__file__).parents[1]


def picture() -> dict[str, set[str]]:
    """Return the rooms in their order, and the folders drawn in each."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    drawn = text.split("## The house")[1].split("```")[1]
    rooms: dict[str, set[str]] = {}
    for inside, name in re.findall(r"(?m)^( *)(\w+)/?\s", drawn):
        if inside:
            rooms[[*rooms][-1]].add(name)
        else:
            rooms[name] = set()
    return rooms


def test_rooms_stand_in_the_order_in_which_they_may_import() -> None:
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    contracts = settings["tool"]["importlinter"]["contracts"]
    (layers,) = [one["layers"] for one in contracts if one["type"] == "layers"]
    assert [*picture()] == layers[::-1]


def test_every_folder_is_drawn_in_its_room() -> None:
    drawn = picture()
    for room in (ROOT / "corrosion").glob("*/__init__.py"):
        folders = {path.parent.name for path in room.parent.glob("*/__init__.py")}
        assert drawn[room.parent.name] == folders, room.parent.name
