"""The ship as her records stood on a day: what was written later is not known yet."""

from dataclasses import replace
from datetime import date

from corrosion.foundation.units import DAY
from corrosion.records.dates import When, moment_of
from corrosion.records.ship import Ship

__all__ = ["end_of", "known_by"]


def end_of(day: date) -> float:
    """Return the last second of a day: what is written of the day itself counts [s]."""
    return moment_of(day) + DAY - 1.0


def known_by(ship: Ship, day: date) -> tuple[Ship, list[str]]:
    """Return the ship as her records stood on a day, and words on what lies after.

    What was written later is not known yet: faults and gaugings are left out, what was
    cleared later still stands, she lies at the berth of the day, and paint that was
    seen or renewed later is as it was. What is written of the year or the month in
    which the day lies, had come about by then.

    Parameters
    ----------
    ship : Ship
        With all that is written of her.
    day : date
        The day.

    Returns
    -------
    known : Ship
        The same ship, if nothing of her lies after the day.
    words : list of str
        How many entries were left out, by kind.
    """
    midnight = moment_of(day) + DAY

    def by_then(when: When | None) -> When | None:
        if when is None or when.earliest >= midnight:
            return None
        return _cut(when, midnight)

    faults = tuple(
        replace(
            f,
            last_good=by_then(f.last_good),
            found=_cut(f.found, midnight),
            cleared=by_then(f.cleared),
        )
        for f in ship.faults
        if by_then(f.found)
    )
    berths = tuple(
        replace(b, start=by_then(b.start), end=by_then(b.end))
        for b in ship.berths
        if b.start is None or by_then(b.start)
    )
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
    gaugings = tuple(
        replace(g, date=_cut(g.date, midnight))
        for g in ship.gaugings
        if by_then(g.date)
    )
    words = [
        f"{many} of {name} lie after {day.isoformat()} and are left out"
        for many, name in (
            (len(ship.faults) - len(faults), "the faults"),
            (len(ship.berths) - len(berths), "the berths"),
            (len(ship.gaugings) - len(gaugings), "the gaugings"),
            (sum(unseen), "the looks at the paint"),
        )
        if many
    ]
    known = replace(
        ship,
        faults=faults,
        berths=berths,
        gaugings=gaugings,
        zones=zones,
        last_docking=by_then(ship.last_docking),
    )
    return known, words


def _cut(when: When, end: float) -> When:
    """Return a date as written that ends no later than at a moment [s]."""
    return when if when.latest <= end else replace(when, latest=end)
