"""A hunt in sentences, the same words on page, terminal, paper and report."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Final

from corrosion.presentation.format import number, percent
from corrosion.presentation.tables.hunt import permission


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
        ("it went with several open", "; ".join(map(", ".join, answer["among"]))),
        ("the clamp showed nothing on", ", ".join(answer["silent"])),
        ("the clamp showed it on", answer["shown"]),
        ("agreed for", ", ".join(answer["agreed"])),
    )
    yield f"; she lies {answer['lies']}"
    for words, names in said:
        if names:
            yield f"; {words} {names}"


_NEXT: Final = {
    "look": "Look at the lamps or the monitor: is the indication there?",
    "clamp": "Clamp the feeder of {circuit}, nothing is opened",
    "open": "Open {circuit}, look, close it again",
    "test": "Isolate, lock and prove {circuit} dead, then test it",
    "close": "Close {circuit} again",
    "none": "Nothing is left that may be done as she lies",
}


def next_words(step: Mapping[str, Any]) -> str:
    """Return the one thing to do now, in a sentence.

    Examples
    --------
    >>> next_words({"act": "close", "circuit": "galley", "permission": "none"})
    'Close galley again (nobody, by the owner).'
    >>> next_words({"act": "end", "circuit": None})
    'The indication has gone by itself: look again at every round.'
    """
    if step["act"] == "end":
        if step.get("ended"):
            on = f" on {step['circuit']}" if step["circuit"] else ""
            return f"This hunt has ended: the fault{on} was {step['ended']}."
        if step["circuit"] is None:
            return "The indication has gone by itself: look again at every round."
        return f"The fault is on {step['circuit']}: isolate it, tag it by name."
    words = str(_NEXT[step["act"]]).format(circuit=step.get("circuit"))
    who = step.get("permission")
    asked = f" ({permission(who)})" if who and step["act"] != "look" else ""
    return f"{words}{asked}" if step["act"] == "look" else f"{words}{asked}."
