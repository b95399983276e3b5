"""What readings may mean, in sentences: the same on page, terminal and in the JSON."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

from corrosion.foundation.data_files import sentences
from corrosion.leakage.explanations.next_reading import Expected, NextReading
from corrosion.leakage.explanations.ranking import Explanation
from corrosion.presentation.format import chance, number, ohms

_MEANS: Final = sentences(__file__, "explanations.toml")
_Which = tuple[str, tuple[str, ...]]
LEAST_SHOWN: Final = 0.01
"""Chance from which an explanation is shown to people."""

_HIDDEN: Final = ("not energised", "ghost")


def named(kind: str, conductors: Sequence[str], *, all_of_them: bool = False) -> str:
    """Return an explanation in a few words.

    Examples
    --------
    >>> named("two faults", ("a", "c"))
    'Two faults, on a and c'
    """
    where = " and ".join(conductors)
    if kind == "fault and failed lamp":
        return f"One fault, on {conductors[0]}, and lamp {conductors[1]} has failed"
    if kind == "not energised" and all_of_them:
        return "The branch is not energised"
    return {
        "healthy": "Nothing wrong that these readings show",
        "one fault": f"One fault, on {where}",
        "two faults": f"Two faults, on {where}",
        "not energised": f"Conductor {where} is not energised",
        "ghost": f"Conductor {where} is open, its volts a ghost",
        "failed lamp": f"Lamp {where} has failed",
    }[kind]


def meaning(kind: str) -> str:
    """Return what an explanation means for whoever stands there."""
    return _MEANS[kind]


def answer(rows: Sequence[Mapping[str, Any]]) -> str:
    """Return the likeliest explanation as one sentence.

    ``rows``: ``explanations`` of the JSON.

    Examples
    --------
    >>> answer([{"kind": "one fault", "conductors": ["a"], "chance": 0.88,
    ...          "words": "One fault, on a", "ohms": [{"p50": 96.0}]}])
    'Most likely one fault on a, 96 Ω (88 %).'
    """
    first = rows[0]
    sure = first["chance"]
    head = (
        "Almost surely" if sure > 0.95 else "Most likely" if sure > 0.5 else "Perhaps"
    )
    words = str(first["words"]).replace(", on", " on")
    size = " and ".join(ohms(each["p50"], 2) for each in first["ohms"])
    tail = f", {size}" if size else ""
    return f"{head} {words[0].lower()}{words[1:]}{tail} ({chance(sure)})."


def lines(fault: Mapping[str, Any]) -> list[str]:
    """Return what the readings of a fault may mean, a line each of what is likely.

    ``fault``: one of ``faults`` of the JSON of ``corrosion leakage``.
    """
    rows = fault["explanations"]
    others = ", ".join(
        f"{row['words'][0].lower()}{row['words'][1:]} {chance(row['chance'])}"
        for row in rows[1:]
        if row["chance"] >= LEAST_SHOWN
    )
    then = fault["next_reading"]
    return [
        f"{fault['fault']}: {answer(rows)}" + f" Else: {others}." * bool(others),
        *([f"{fault['fault']}, next: {then['words']}"] if then is not None else []),
    ]


def next_words(then: NextReading, of: Sequence[Explanation]) -> str:
    """Return what to read next, and what it would show.

    ``then``: what to read. ``of``: the explanations that are named.
    """
    if then.act == "lamp":
        return f"Try lamp {then.conductor}: change it with one that burns, look again."
    told: set[_Which] = {(each.kind, each.conductors) for each in of}
    shown = "; ".join(_expected(each, told) for each in then.expects)
    to = "hull" if then.to is None else then.to
    return f"{then.conductor} to {to}, with {meter(then.meter)}: {shown}."


def meter(input_ohms: float | None) -> str:
    """Return a voltmeter by its input resistance."""
    return f"a meter of {ohms(input_ohms, 2)}"


def _expected(each: Expected, told: set[_Which]) -> str:
    low, _, high = each.volts
    near = number(low, 2) if high - low < 0.05 * max(high, 1.0) else ""
    volts = f"about {near} V" if near else f"{number(low, 2)} to {number(high, 2)} V"
    words = named(each.kind, each.conductors)
    if (each.kind, each.conductors) not in told and each.kind in _HIDDEN:
        one = len(each.conductors) == 1
        where = each.conductors[0] if one else "the branch"
        return f"{volts} if {where} is not energised: treat it as live, prove it dead"
    return f"{volts} if {words[0].lower()}{words[1:].replace(', on', ' on')}"
