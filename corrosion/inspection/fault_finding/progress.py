"""How far a hunt has come, from what was written down of it, and what comes next."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final, Literal, cast

from corrosion.inspection.fault_finding.probabilities import Seen
from corrosion.records.ship import Hunt, HuntStep, ShipLies

SHOWS: Final = "shows it"
NOTHING: Final = "shows nothing"
"""How a clamp row's remark begins, where whoever held the clamp judged what it read."""

TOGETHER: Final = "together"
"""Result of a breaker that was opened with the next one, without a look between."""

Next = Literal["look", "clamp", "open", "test", "close", "end", "none"]
"""``end``: the fault is found, or gone; ``none``: nothing is left that may be done."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """How far a hunt has come."""

    hunt: str  # its id
    system: str  # the system hunted in
    lies: ShipLies  # how the ship lay when it began
    seen: Seen  # what was clamped and opened
    # whether the indication `stayed` or `went` at the last look; None:
    # nobody has looked
    looked: str | None
    # acts passed over for now: what (`clamped`, `opened`, `tested`), circuit
    skipped: frozenset[tuple[str, str]]
    tested: Mapping[str, float]  # insulation test of each circuit [Ω]
    ended: str | None  # how it ended
    circuit: str | None  # on which circuit, where it ended
    steps: tuple[HuntStep, ...]  # the rows

    def agreed(self, circuits: Collection[str], conductor: str | None) -> "Progress":
        """Return the same with vital circuits agreed to, and a conductor known.

        An agreement is of the hour and is not kept: after a break it is asked again.
        """
        seen = replace(self.seen, agreed=frozenset(circuits), conductor=conductor)
        return replace(self, seen=seen)


def progress_of(hunt: Hunt, *, shows_from: float) -> Progress:
    """Return how far a hunt has come.

    Parameters
    ----------
    hunt : Hunt
        Its rows; the first is ``began``.
    shows_from : float
        Least current that a clamp round a feeder shows of a fault, where nobody wrote
        what it meant. [A]

    Returns
    -------
    Progress
        The last row on each circuit counts; what was opened and not closed stands
        open, whatever it showed.
    """
    opened = _last(hunt.steps, "opened")
    clamped = _last(hunt.steps, "clamped")
    shows = {name: _shown(step, shows_from) for name, step in clamped.items()}
    groups = _groups(hunt.steps)
    results = {name: result for names, result in groups for name in names}
    alone = {names[0] for names, _ in groups if len(names) == 1}
    went = [name for name in opened if name in alone and results[name] == "went"]
    shown = [name for name in clamped if shows[name]]
    still = _open_still(hunt.steps)
    looks = [step.result.casefold() for step in hunt.steps if step.act == "looked"]
    ends = [step for step in hunt.steps if step.act in ("isolated", "cleared")]
    return Progress(
        hunt=hunt.hunt,
        system=hunt.system or "",
        lies=cast("ShipLies", hunt.steps[0].result.casefold()),
        seen=Seen(
            stayed=tuple(name for name in opened if results.get(name) == "stayed"),
            gone=went[-1] if went else None,
            closed=frozenset(opened) - frozenset(still),
            silent=tuple(name for name in clamped if not shows[name]),
            shown=shown[-1] if shown else None,
            held=tuple(
                name
                for name in still
                if name not in went[-1:] and results.get(name) != "stayed"
            ),
            among=tuple(n for n, result in groups if len(n) > 1 and result == "went"),
        ),
        looked=looks[-1] if looks else None,
        skipped=_skipped(hunt.steps),
        tested={
            name: step.number or 0.0
            for name, step in _last(hunt.steps, "tested").items()
        },
        ended=ends[-1].act if ends else None,
        circuit=ends[-1].circuit if ends else None,
        steps=hunt.steps,
    )


def _last(steps: Sequence[HuntStep], act: str) -> dict[str, HuntStep]:
    """Return the last row of an act by circuit, the latest last."""
    found: dict[str, HuntStep] = {}
    for step in steps:
        if step.act == act and step.circuit is not None:
            found.pop(step.circuit, None)
            found[step.circuit] = step
    return found


def _groups(steps: Sequence[HuntStep]) -> list[tuple[tuple[str, ...], str]]:
    """Return what was opened between two looks, and what the second look showed.

    What was opened last of all and not looked at yet says nothing.
    """
    found, names = [], list[str]()
    for step in steps:
        if step.act == "opened":
            names.append(step.circuit or "")
            if (result := step.result.casefold()) != TOGETHER:
                found.append((tuple(names), result))
                names = []
    return found


def _open_still(steps: Sequence[HuntStep]) -> tuple[str, ...]:
    """Return what was opened and not closed since, in that order."""
    found: dict[str, None] = {}
    for step in steps:
        if step.act == "opened":
            found[step.circuit or ""] = None
        elif step.act == "closed":
            found.pop(step.circuit or "", None)
    return tuple(found)


def _skipped(steps: Sequence[HuntStep]) -> frozenset[tuple[str, str]]:
    """Return what was passed over and not done since."""
    found: set[tuple[str, str]] = set()
    for step in steps:
        name = step.circuit or ""
        if step.act == "skipped":
            found.add((step.result.casefold() or "opened", name))
        else:
            found.discard((step.act, name))
    return frozenset(found)


def _shown(step: HuntStep, shows_from: float) -> bool:
    if step.remark.startswith(SHOWS):
        return True
    if step.remark.startswith(NOTHING):
        return False
    return (step.number or 0.0) >= shows_from


def next_step(progress: Progress, sheet: Mapping[str, Any]) -> dict[str, Any]:
    """Return the one thing to do now.

    Parameters
    ----------
    progress : Progress
        How far the hunt has come.
    sheet : mapping
        From :func:`corrosion.inspection.fault_finding.sheet.hunt_table`, of the same.

    Returns
    -------
    dict
        ``act``: see :data:`Next`; with the rest of its row where the sheet has one,
        ``circuit`` of ``close`` and, where it is known, of ``end``. What stands open is
        closed before anything else is opened, but for the circuit that is known to
        hold the fault: that is tested, isolated, tagged.
    """
    gone = progress.seen.gone
    found_it = gone is not None and gone == _only(sheet)
    kept = gone if found_it and progress.ended != "cleared" else None
    for row in sheet["open"]:
        if row["circuit"] != kept:
            return {"act": "close", **row}
    if progress.ended is not None:
        return {"act": "end", "circuit": progress.circuit, "ended": progress.ended}
    if progress.looked == "went":
        return {"act": "end", "circuit": None}
    if found_it and gone is not None:
        return _proof(progress, sheet, gone)
    acts = ("look",) if progress.looked is None else ("clamp", "open")
    offered = (_first(sheet, act, progress) for act in acts)
    return next((row for row in offered if row is not None), {"act": "none"})


def _proof(progress: Progress, sheet: Mapping[str, Any], gone: str) -> dict[str, Any]:
    """Return the test of the circuit that holds the fault, or that it is found."""
    test = _first(sheet, "test", progress, only=gone)
    if test is None or gone in progress.tested:
        return {"act": "end", "circuit": gone}
    return test


def _only(sheet: Mapping[str, Any]) -> str | None:
    """Return the one circuit that is left, if one is."""
    left: Sequence[Mapping[str, Any]] = sheet["left"]
    return str(left[0]["circuit"]) if len(left) == 1 else None


_WRITTEN: Final = {"clamp": "clamped", "open": "opened", "test": "tested"}


def _first(
    sheet: Mapping[str, Any], act: str, progress: Progress, only: str | None = None
) -> dict[str, Any] | None:
    """Return the first act of a kind that is not passed over."""
    for row in sheet["order"]:
        passed = (_WRITTEN.get(act, ""), row["circuit"]) in progress.skipped
        if row["act"] == act and not passed and only in (None, row["circuit"]):
            return dict(row)
    return None
