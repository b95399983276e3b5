"""The ship as her records stood on a day: what was written later is not known yet."""

from collections.abc import Iterator
from dataclasses import fields, replace
from datetime import date
from typing import TYPE_CHECKING, Any, TypeVar

from corrosion.foundation.units import DAY
from corrosion.records.dates import When, as_written, day_of, moment_of
from corrosion.records.ship import Berth, Display, Prices, Ship

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

T = TypeVar("T", bound="DataclassInstance")


def anywhere(ship: Ship) -> Ship:
    """Return a ship without where she was read from, and where her logs lie.

    Neither decides a number: what logs measured has become readings of her faults.
    """
    return replace(ship, folder=None, logs=())


def without_gaugings(ship: Ship) -> Ship:
    """Return a ship without what decides nothing of her faults, nor of her loss.

    That is by her records alone: a gauging corrects it afterwards.
    """
    nothing: dict[str, Any] = dict.fromkeys(("gaugings", "hunts", "doubts"), ())
    bare = replace(anywhere(ship), **nothing, prices=Prices(), display=Display())
    return without_remarks(bare)


def without_remarks(ship: Ship) -> Ship:
    """Return a ship whose rows bear no remarks: these decide no number."""
    silent: dict[str, Any] = {
        table: tuple(replace(row, remark="") for row in rows)
        for table in (one.name for one in fields(ship))
        if isinstance(rows := getattr(ship, table), tuple)
        if rows and hasattr(rows[0], "remark")
    }
    return replace(ship, **silent)


def as_of_day(written: date | str | None = None) -> date:
    """Return the date of an estimate: the last day of what is written; None: today.

    Raises InputError if the text is not a date.

    Examples
    --------
    >>> as_of_day("1990-06").isoformat()
    '1990-06-30'
    """
    if written is None:
        return date.today()  # noqa: DTZ011 - ship's time carries no zone
    if isinstance(written, str):
        return day_of(as_written(written).latest - 1.0)
    return written


def end_of_day(day: date) -> float:
    """Return the last second of a day: what is written of the day itself counts [s]."""
    return moment_of(day) + DAY - 1.0


def records_as_of(ship: Ship, day: date) -> tuple[Ship, list[str]]:
    """Return the ship as her records stood on a day, and words on what lies after.

    What was written later is not known yet: faults and gaugings are left out, what was
    cleared later still stands, she lies at the berth of the day, and paint that was
    seen or renewed later is as it was. What is written of the year or the month in
    which the day lies, had come about by then.

    Berths and works that lie after the day are plans, and stay, unless somebody
    observed something after it: then the day is looked back upon, and they are not
    known either. After the last planned berth she lies as on the day.

    ``known``: the same ship, if nothing of her lies after the day. ``words``: how many
    entries were left out or are plans, by kind.
    """
    midnight = moment_of(day) + DAY
    planned = not any(when.earliest >= midnight for when in _observed(ship))

    def by_then(when: When | None) -> When | None:
        if when is None or when.earliest >= midnight:
            return None
        return _cut(when, midnight)

    def known(rows: tuple[T, ...], name: str) -> tuple[T, ...]:
        dated = [(row, by_then(getattr(row, name))) for row in rows]
        return tuple(replace(row, **{name: when}) for row, when in dated if when)

    faults = tuple(
        replace(
            f,
            last_good=by_then(f.last_good),
            found=_cut(f.found, midnight),
            cleared=by_then(f.cleared),
            isolated=by_then(f.isolated),
            # what was cleared after the day stood on it, whatever its law says
            standing=True if f.cleared and not by_then(f.cleared) else f.standing,
        )
        for f in ship.faults
        if by_then(f.found)
    )
    lain = [b for b in ship.berths if b.start is None or by_then(b.start)]
    plans = [b for b in ship.berths if b not in lain] if planned else []
    berths = tuple(replace(b, start=by_then(b.start), end=by_then(b.end)) for b in lain)
    if plans:
        berths = _with_plans(berths, lain, plans)
    unseen = [z.bare_seen is not None and not by_then(z.bare_seen) for z in ship.zones]
    zones = tuple(
        replace(
            z,
            bare=None if later else z.bare,
            bare_seen=by_then(z.bare_seen),
            painted=by_then(z.painted),
        )
        for z, later in zip(ship.zones, unseen, strict=True)
    )
    works = tuple(
        replace(one, date=by_then(one.date) or one.date)
        for one in ship.works
        if planned or by_then(one.date)
    )
    anodes = tuple(
        replace(a, fitted=by_then(a.fitted), looks=known(a.looks, "seen"))
        for a in ship.anodes
        if a.fitted is None or by_then(a.fitted)
    )
    hunts = tuple(
        replace(h, steps=tuple(s for s in h.steps if by_then(s.time)))
        for h in ship.hunts
        if any(by_then(s.time) for s in h.steps)
    )
    rows: dict[str, Any] = {
        "faults": faults,
        "berths": ship.berths if planned else lain,
        "gaugings": known(ship.gaugings, "date"),
        "readings": known(ship.readings, "time"),
        "potentials": known(ship.potentials, "time"),
        "works": works,
        "anodes": anodes,
        "hunts": hunts,
    }
    left = {name: len(getattr(ship, name)) - len(some) for name, some in rows.items()}
    left["looks at the paint"] = sum(unseen)
    words = [
        f"{many} of the {name} lie after {day.isoformat()} and are left out"
        for name, many in left.items()
        if many
    ]
    to_come = len([one for one in works if not by_then(one.date)])
    words += [
        f"{many} of {name} lie after {day.isoformat()} and are taken as planned"
        for many, name in ((len(plans), "the berths"), (to_come, "the works"))
        if many
    ]
    if len(berths) > len(lain) + len(plans):
        words.append(
            f"after {plans[-1].berth} she is taken to lie as on {day.isoformat()}; "
            "write a further row of berths.csv if she will not"
        )
    rows |= {"berths": berths, "zones": zones}
    return replace(ship, **rows, last_docking=by_then(ship.last_docking)), words


def _observed(ship: Ship) -> Iterator[When]:
    """Yield the dates of all that somebody saw or read: nobody plans it."""
    for fault in ship.faults:
        yield from filter(None, (fault.found, fault.cleared, fault.isolated))
    yield from (row.date for row in ship.gaugings)
    yield from (row.time for row in ship.readings)
    yield from (row.time for row in ship.potentials)
    yield from (look.seen for anode in ship.anodes for look in anode.looks)
    yield from (step.time for hunt in ship.hunts for step in hunt.steps)
    yield from (zone.bare_seen for zone in ship.zones if zone.bare_seen is not None)


def _with_plans(
    berths: tuple[Berth, ...], lain: list[Berth], plans: list[Berth]
) -> tuple[Berth, ...]:
    """Return how she lay, what is planned, and what follows: as she lies today."""
    now = [
        replace(one, end=written.end) if one.end is None else one
        for one, written in zip(berths, lain, strict=True)
    ]
    last = plans[-1].end
    lies = [one for one in berths if one.end is None]
    after = [replace(lies[-1], start=last, end=None)] if last and lies else []
    return (*now, *plans, *after)


def _cut(when: When, end: float) -> When:
    """Return a date as written that ends no later than at a moment [s]."""
    return when if when.latest <= end else replace(when, latest=end)
