"""The steps of a hunt as tables, a kind of act each, read under its caution."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from corrosion.inspection.fault_finding.permits import ASK, NOBODY
from corrosion.presentation.tables.table import Row, Table, columns, file_stem

_HEADS: Final = {
    "look": "Look: nothing is opened",
    "clamp": "Clamp along the feeders: nothing is opened",
    "open": "Open one, look, close it again",
    "test": "Test the one with which the indication went",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """The steps of one kind."""

    act: str  # what is done
    head: str  # what that is
    caution: str  # what can hurt: it is read first
    table: Table  # a row a step, numbered through the whole hunt


def permission(who: str) -> str:
    """Return whom to ask, in words.

    Examples
    --------
    >>> permission("ask"), permission("none")
    ('ask the engineer of the watch', 'nobody, by the owner')
    >>> permission("master")
    'ask master'
    """
    if who == NOBODY:
        return "nobody, by the owner"
    return "ask the engineer of the watch" if who == ASK else f"ask {who}"


def _named(row: Row) -> str:
    marks = ["vital"] * row["vital"]
    marks += ["panel, before its branches"] * row["panel_first"]
    name = str(row["circuit"])
    return f"{name} ({'; '.join(marks)})" if marks else name


def _volts(row: Row) -> str:
    test = str(row["test"])
    return f"{test} V" if test.isdigit() else test


_CELLS: Final[dict[str, Callable[[Row], str]]] = {
    "what": lambda _: "at the lamps or monitor: is it there, on which conductor?",
    "circuit": _named,
    "permission": lambda row: permission(row["permission"]),
    "test": _volts,
    "done": lambda _: "☐",
}
_ASKED: Final = {"permission": lambda row: row["permission"] != NOBODY}


def blocks(answer: Mapping[str, Any], place: int = 1) -> list[Block]:
    """Return the steps by kind, each kind under its caution.

    ``answer``: the object of ``corrosion hunt``. ``place``: which sheet of a report
    it is.
    """
    rows = [{"place": k, **row} for k, row in enumerate(answer["order"], start=1)]
    stem = f"hunt-{place}-{file_stem(answer['system'])}"
    return [
        Block(
            act=act,
            head=head,
            caution=answer["cautions"][act],
            table=Table(
                name=f"{stem}-{act}",
                caption=f"{answer['system']}, she lies {answer['lies']}: {head}",
                columns=columns(f"hunt-{act}", cell=_CELLS, marked=_ASKED),
                rows=[row for row in rows if row["act"] == act],
            ),
        )
        for act, head in _HEADS.items()
        if any(row["act"] == act for row in rows)
    ]
