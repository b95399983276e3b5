"""A hunt as people read it, the same words on page, terminal, paper and report."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from corrosion.inspection.fault_finding.permits import ASK, NOBODY
from corrosion.presentation.sentences import number, percent

__all__ = [
    "Block",
    "after",
    "blocks",
    "expectation",
    "open_now",
    "permission",
    "withheld",
]

_HEADS: Final = {
    "look": "Look: nothing is opened",
    "clamp": "Clamp along the feeders: nothing is opened",
    "open": "Open one, look, close it again",
    "test": "Test the one with which the indication went",
}
_COLUMNS: Final = {
    "look": ("No.", "What", "Needs", "Minutes"),
    "clamp": (("No.", "Feeder", "Fed from", "Needs", "Ask first", "Minutes", "Chance")),
    "open": (
        *("No.", "Circuit", "Fed from", "Also stops", "Ask first", "May be opened"),
        *("Needs", "Minutes", "Chance"),
    ),
    "test": (
        *("No.", "Circuit", "Fed from", "Also stops", "Ask first", "Needs"),
        *("Test volts", "Minutes", "Chance"),
    ),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """The steps of one kind.

    Attributes
    ----------
    act : {'look', 'clamp', 'open', 'test'}
        What is done.
    head, caution : str
        What it is, and what can hurt: it is read first.
    columns : tuple of str
        Headings of the cells.
    rows : tuple of tuple of str
        A row a step, numbered through the whole hunt.
    """

    act: str
    head: str
    caution: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


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


def blocks(answer: Mapping[str, Any]) -> list[Block]:
    """Return the steps by kind, each kind under its caution.

    Parameters
    ----------
    answer : mapping
        The object of ``corrosion hunt``.
    """
    numbered = [(str(k), row) for k, row in enumerate(answer["order"], start=1)]
    return [
        Block(
            act=act,
            head=head,
            caution=answer["cautions"][act],
            columns=_COLUMNS[act],
            rows=tuple(
                tuple(_cells(place, row)[name] for name in _COLUMNS[act])
                for place, row in numbered
                if row["act"] == act
            ),
        )
        for act, head in _HEADS.items()
        if any(row["act"] == act for _, row in numbered)
    ]


def _cells(place: str, row: Mapping[str, Any]) -> dict[str, str]:
    marks = [name for name in ("vital",) if row["vital"]]
    marks += ["panel, before its branches"] * row["panel_first"]
    name = row["circuit"] or ""
    named = f"{name} ({'; '.join(marks)})" if marks else name
    return {
        "No.": place,
        "What": "at the lamps or the monitor: is it still there, on which conductor?",
        "Circuit": named,
        "Feeder": named,
        "Fed from": row["fed_from"] or "switchboard",
        "Also stops": ", ".join(row["also_stops"]) or "-",
        "Ask first": permission(row["permission"]),
        "May be opened": row["open_when"] or "-",
        "Needs": row["needs"],
        "Test volts": f"{row['test']} V" if _digits(row["test"]) else row["test"] or "",
        "Minutes": number(row["minutes"]),
        "Chance": "" if row["chance"] is None else percent(row["chance"]),
    }


def _digits(text: str | None) -> bool:
    return text is not None and text.isdigit()


def open_now(answer: Mapping[str, Any]) -> list[str]:
    """Return what stands open, a line each; it stands on top until it is closed."""
    return [
        f"STILL OPEN: {row['circuit']}{_stops(row['also_stops'])}. Nothing below it "
        "can be clamped or looked for until it is closed "
        f"({permission(row['permission'])}); close it, or isolate and tag it by name, "
        "before anybody writes cleared."
        for row in answer["open"]
    ]


def _stops(names: Sequence[str]) -> str:
    return f", which also stops {', '.join(names)}" if names else ""


def withheld(answer: Mapping[str, Any]) -> list[str]:
    """Return what is not proposed to be opened, and why, a line each."""
    return [
        f"{row['circuit']} ({percent(row['chance'])}; "
        f"{permission(row['permission'])}): {row['why']}"
        for row in answer["withheld"]
    ]


def expectation(answer: Mapping[str, Any]) -> str:
    """Return what the hunt is expected to take, and what halving would."""
    if answer["expected_minutes"] is None:
        return (
            f"As she lies ({answer['lies']}) nothing more may be opened: what opens "
            "nothing is left, and those who must agree."
        )
    cost = (
        f", {number(answer['expected_cost'])} at her price of a crew hour"
        if "expected_cost" in answer
        else ""
    )
    return (
        f"Where the fault is on a circuit that may be opened as she lies "
        f"({percent(answer['offered_chance'])}), expect "
        f"{number(answer['expected_minutes'])} min{cost} (nine times in ten within "
        f"{number(answer['minutes_90'])} min); opening the same in the order of the "
        f"list, without a clamp, {number(answer['expected_minutes_by_list'])} min. "
        f"{_halving(answer)}"
    )


def _halving(answer: Mapping[str, Any]) -> str:
    halves = answer["halving"]
    if halves is None:
        return f"Halving is not offered: {answer['no_halving']}."
    minutes = halves["expected_minutes"]
    word = "quicker" if minutes < answer["expected_minutes"] else "slower"
    return (
        f"Halving is {word}, {number(minutes)} min, and spares what is vital: open "
        f"together {', '.join(halves['first'])} ({permission(halves['permission'])}), "
        "look, then go on with the half that holds it."
    )


def after(answer: Mapping[str, Any]) -> str:
    """Return what is known already, in words that follow the ship's name."""
    return "".join(_after(answer))


def _after(answer: Mapping[str, Any]) -> Iterator[str]:
    said: Sequence[tuple[str, str | None]] = (
        ("the lamps point to conductor", answer["conductor"]),
        ("the indication stayed with", ", ".join(answer["stayed"])),
        ("it went with", answer["gone"]),
        ("the clamp showed nothing on", ", ".join(answer["silent"])),
        ("the clamp showed it on", answer["shown"]),
        ("agreed for", ", ".join(answer["agreed"])),
    )
    yield f"; she lies {answer['lies']}"
    for words, names in said:
        if names:
            yield f"; {words} {names}"
