"""Insulation surveys of a ship by circuit: corrected, with index and trend."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final

from corrosion.foundation.units import MINUTE, YEAR
from corrosion.leakage import insulation_survey
from corrosion.presentation.format import chance, duration
from corrosion.records.dates import day_of
from corrosion.records.ship import Reading, Ship

Row = dict[str, Any]
Circuit = tuple[str | None, str | None]

_ONE: Final = (0.5 * MINUTE, 2.0 * MINUTE)
_QUANTILES: Final = ("p10", "p50", "p90")
_SURE: Final = 0.9  # judgement: chance from which a fall is said among the doubts
_YEAR_H: Final = 8766.0
_TEN: Final = (8.0 * MINUTE, 12.0 * MINUTE)


def survey_rows(ship: Ship) -> list[dict[str, Any]]:
    """Return every insulation test of a circuit without a fault, the latest first.

    Returns ``date``, ``system``, ``circuit``, ``ohm`` as read, ``celsius`` and
    ``corrected_ohm`` (None where no temperature is written), ``minutes``, ``year``,
    ``test_volts``, ``index`` (polarisation index; None: not both read), ``by``.
    """
    read = sorted(_surveys(ship), key=lambda row: row.time.middle, reverse=True)
    return [
        {
            "date": day_of(row.time.middle).isoformat(),
            "year": 1970.0 + row.time.middle / YEAR,
            "system": row.system,
            "circuit": row.circuit,
            "ohm": row.insulation,
            "celsius": row.temperature,
            "corrected_ohm": _corrected(ship, row),
            "minutes": None if row.duration is None else row.duration / MINUTE,
            "test_volts": row.test_volts,
            "index": _index(row, read),
            "by": row.by,
        }
        for row in read
        if not _within(row, _TEN)  # told by the index of its first minute
        or not any(_pair(row, other) for other in read)
    ]


def surveys_result(ship: Ship) -> dict[str, Any]:
    """Return the insulation surveys of a ship, their trends and what is doubtful.

    Returns ``ship``, ``reference_celsius``, ``surveys`` (:func:`survey_rows`),
    ``trends`` (a row a circuit, the lowest first: ``surveys`` counted, the last
    ``date``, ``corrected_ohm`` and ``index``; ``halving_years`` and ``ohm_in_a_year``
    with p10, p50, p90, and ``chance_falling``: None where too few were read),
    ``warnings``.
    """
    rows = survey_rows(ship)
    trends = [_trend(*one) for one in by_circuit(rows).items()]
    trends.sort(key=lambda row: float(row["corrected_ohm"]))
    falling = [row for row in trends if (row["chance_falling"] or 0.0) > _SURE]
    return {
        "ship": ship.name,
        "reference_celsius": ship.assumptions.value("insulation_reference_celsius"),
        "surveys": rows,
        "trends": trends,
        "warnings": [_doubt(row) for row in falling],
    }


def by_circuit(rows: Iterable[Row]) -> dict[Circuit, list[Row]]:
    """Return the rows that are corrected, by system and circuit."""
    circuits: dict[Circuit, list[Row]] = {}
    for row in rows:
        if row["corrected_ohm"] is not None:
            circuits.setdefault((row["system"], row["circuit"]), []).append(row)
    return circuits


def line_of(some: Sequence[Row]) -> insulation_survey.InsulationTrend | None:
    """Return the straight line through a circuit's corrected insulation."""
    return insulation_survey.insulation_trend(
        [row["year"] for row in some], [row["corrected_ohm"] for row in some]
    )


def _trend(circuit: Circuit, some: Sequence[Row]) -> Row:
    line = line_of(some)
    ahead = None if line is None else line.at([some[0]["year"] + 1.0])[:, 0].tolist()
    return {
        "system": circuit[0],
        "circuit": circuit[1],
        "surveys": len(some),
        **{name: some[0][name] for name in ("date", "corrected_ohm", "index")},
        "halving_years": None if line is None else line.halving_years,
        "ohm_in_a_year": ahead and dict(zip(_QUANTILES, ahead, strict=True)),
        "chance_falling": None if line is None else line.falls,
    }


def _doubt(row: Row) -> str:
    return (
        f"The insulation of {row['circuit']} ({row['system']}) falls: a chance of "
        f"{chance(row['chance_falling'])} by {row['surveys']} tests at one "
        f"temperature; it halves in {halves(row)}. Look for moisture, dirt and chafing "
        "before it is a fault."
    )


def halves(row: Mapping[str, Any]) -> str:
    """Return in how many years a circuit's insulation halves, in words."""
    years = row["halving_years"]
    if years is None:
        return "too few tests"
    if years["p50"] is None:
        return "no fall seen"
    middle, low = (duration(years[k] * _YEAR_H) for k in ("p50", "p10"))
    high = "never" if years["p90"] is None else duration(years["p90"] * _YEAR_H)
    return middle if low == high else f"{middle} ({low} to {high})"


def _surveys(ship: Ship) -> Iterable[Reading]:
    for row in ship.readings:
        if row.fault is None and row.circuit is not None and row.insulation is not None:
            yield row


def _corrected(ship: Ship, row: Reading) -> float | None:
    if row.temperature is None or row.insulation is None:
        return None
    at = insulation_survey.at_reference(
        row.insulation, row.temperature, assumptions=ship.assumptions
    )
    return float(at)


def _within(row: Reading, span: tuple[float, float]) -> bool:
    return row.duration is not None and span[0] <= row.duration <= span[1]


def _pair(ten: Reading, one: Reading) -> bool:
    """Return whether two readings are the tenth and the first minute of one test."""
    same = (ten.system, ten.circuit) == (one.system, one.circuit)
    day = day_of(ten.time.middle) == day_of(one.time.middle)
    return same and day and _within(ten, _TEN) and _within(one, _ONE)


def _index(row: Reading, read: Iterable[Reading]) -> float | None:
    ten = next((other for other in read if _pair(other, row)), None)
    if ten is None or not row.insulation or not ten.insulation:
        return None
    return insulation_survey.polarisation_index(row.insulation, ten.insulation)
