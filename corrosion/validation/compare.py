"""Holds an estimate against the truth of a life: thickness, pits, metal, faults."""

from collections import defaultdict
from collections.abc import Iterator

import numpy as np

from corrosion.foundation.types import Array
from corrosion.validation.answers import Answer, interval
from corrosion.validation.currents import earth_conductance
from corrosion.validation.life import Life
from corrosion.validation.logbook import Logbook
from corrosion.validation.nature import HOUR, NOW
from corrosion.validation.scores import Findings, Item
from corrosion.validation.surveyors import Survey

_MOST = 0.7  # of its hours in another state: its mean current is that state's
_SPREAD = {"prepared": 0.1, "as found": 0.4, "through paint": 0.3}  # of bias [mm]


def left_at(life: Life, moment: float) -> tuple[Array, Array]:
    """Return thickness left and that under the deepest pit, a plate each [mm]."""
    mean, deepest = (rows[0] for rows in life.lost(np.array([moment])))
    rolled = life.plating.rolled
    return np.maximum(rolled - mean, 0.0), np.maximum(rolled - deepest, 0.0)


def compare(life: Life, log: Logbook, survey: Survey, answer: Answer) -> Findings:
    """Return what one estimate gives to the rows."""
    found: Findings = defaultdict(list)
    for part in (
        _plates(life, survey, answer),
        _metal(life, answer),
        _zinc(life, answer),
        _gaugings(survey, answer),
        _charge(life, log, answer),
        _faults(life, log, answer),
    ):
        for name, item in part:
            found[name].append(item)
    return dict(found)


def _plates(
    life: Life, survey: Survey, answer: Answer
) -> Iterator[tuple[str, Item | None]]:
    left, _ = left_at(life, NOW)
    _, deepest = life.lost(np.array([NOW]))
    zones, gauged = answer.zones, set(survey.plate.tolist())
    for k, plate in enumerate(life.vessel.plates):
        if plate.bronze:
            continue
        row = zones[plate.zone]
        name = "left_gauged" if k in gauged else "left_ungauged"
        name = name if gauged else "left_never"
        yield name, interval(row, left[k], "left_mm")
        yield "deepest", interval(row, deepest[0, k], "deepest_mm")


def _metal(life: Life, answer: Answer) -> Iterator[tuple[str, Item | None]]:
    strays, told, natural = life.strays, answer.totals, life.natural_kg()
    yield "natural_kg", interval(told, natural.sum(), "natural_kg")
    yield "lost_kg", interval(told, life.lost_kg().sum(), "lost_kg")
    taken, couple = strays.taken_kg.sum(), strays.couple_kg.sum()
    yield "stray_kg", interval(told, taken, "stray_kg")
    yield "faults_kg", interval(told, max(taken - couple, 0.0), "faults_kg")
    yield "couple_kg", interval(told, min(couple, taken), "couple_kg")
    if life.vessel.of.propeller and not strays.anodes.any():
        yield "own_metals_kg", interval(told, life.own_kg().sum(), "own_metals_kg")
    for k, plate in enumerate(life.vessel.plates):
        if not plate.bronze:
            row = answer.zones[plate.zone]
            yield "zone_stray_kg", interval(row, strays.taken_kg[k], "stray_kg")
            faults = max(strays.taken_kg[k] - strays.couple_kg[k], 0.0)
            yield "zone_faults_kg", interval(row, faults, "faults_kg")
            yield "zone_natural_kg", interval(row, natural[k], "natural_kg")


def _zinc(life: Life, answer: Answer) -> Iterator[tuple[str, Item | None]]:
    told = {row["anode"]: row for row in answer.json.get("anodes") or ()}
    for k, plate in enumerate(life.vessel.plates):
        if life.strays.anodes[k]:
            row = told.get(f"A-{plate.zone}", {})
            left = 100.0 * life.strays.zinc_left[k]
            yield "zinc_left", interval(row, left, "left_percent")


def _gaugings(survey: Survey, answer: Answer) -> Iterator[tuple[str, Item | None]]:
    """Yield what the estimate makes of each reading, and of each campaign's bias."""
    seen: set[int] = set()
    for k, row in enumerate(survey.rows):
        said = answer.gauging(str(row["zone"]), str(row["date"]))
        wrong = said.get("chance_wrong")
        name = "blamed_slips" if survey.slipped[k] else "blamed_sound"
        yield name, None if wrong is None else float(wrong)
        if int(survey.campaign[k]) not in seen:
            seen.add(int(survey.campaign[k]))
            yield "bias", interval(said, survey.bias_mm[k], "bias_mm")
    told = answer.json.get("left_out") or {}
    for k in range(told.get("readings") or 0):
        yield "left_out", float(k < told["held"])


def _charge(
    life: Life, log: Logbook, answer: Answer
) -> Iterator[tuple[str, Item | None]]:
    if not log.rows and not life.welds:
        return
    ac, dc = (ah[log.which].sum() for ah in life.currents.charge_ah())
    dc += sum(weld.charge_ah for weld in life.welds)
    for name, truth in (
        ("charge_ah", ac + dc),
        ("charge_ah_ac", ac),
        ("charge_ah_dc", dc),
    ):
        yield name, interval(answer.totals, truth, name)


def _faults(
    life: Life, log: Logbook, answer: Answer
) -> Iterator[tuple[str, Item | None]]:
    faults, rows = life.faults, answer.faults
    ac, dc = life.currents.charge_ah()
    elsewhere = _hours_elsewhere(life, log)
    # chosen by what is written, not by what is true: a source that nobody measured
    # would be counted where there is one and left out where there is none
    read = {row["fault"] for row in log.further if row.get("current") == "dc"}
    for k, f in enumerate(log.which):
        row, direct = rows[log.id(k)], life.vessel.systems[faults.system[f]].direct
        hours = (min(faults.end[f], NOW) - faults.began[f]) / HOUR
        held = interval(row, hours, "hours")
        yield "hours", held
        if "last_good" not in log.rows[k]:
            yield "hours_blank", held
        if log.level[k] == 3:
            yield "hours_years", held
        own, truth = ("dc", dc[f]) if direct else ("ac", ac[f])
        if not direct:
            yield "fault_ah_ac", interval(row, truth, "charge_ah_ac")
        if direct or log.id(k) in read:
            yield "fault_ah_dc", interval(row, dc[f], "charge_ah_dc")
        if "amps" not in log.rows[k]:
            continue
        yield "fault_ah_clamped", interval(row, truth, f"charge_ah_{own}")
        yield "resistance", interval(row, log.ohms[k], "resistance_ohm")
        if elsewhere[k] > _MOST * hours:
            yield "amps_after", interval(row, truth / hours, f"amps_{own}", "amps")


def _hours_elsewhere(life: Life, log: Logbook) -> Array:
    """Return hours of each fault in states earthed otherwise than when it was read."""
    flown, faults = life.currents, life.faults
    earthed = earth_conductance(life.vessel, life.voyages) > 0.0
    system = faults.system[log.which]
    then = earthed[life.voyages.at(faults.found[log.which]), system]
    was = earthed[flown.stay][:, system]
    hours = (flown.past / HOUR)[:, None] * flown.stood[:, log.which]
    return np.asarray((hours * (was != then)).sum(axis=0))


def gauged_day(survey: Survey, answer: Answer) -> list[Item | None]:
    """Return whether each plate of the latest campaign stands at its own reading.

    Within two standard errors, those of reading and campaign together; readings that
    truly slipped are left out.
    """
    out: list[Item | None] = []
    last = int(survey.campaign.max())
    for k, row in enumerate(survey.rows):
        if survey.campaign[k] != last or survey.slipped[k] or row["kind"] != "mean":
            continue
        zone, date = str(row["zone"]), str(row["date"])
        told = answer.zones[zone]["left_mm"]["p50"]
        reading = survey.read_mm[k] - answer.campaign_bias(zone, date)
        allowed = 2.0 * np.hypot(survey.sd_mm[k], _SPREAD[str(row["surface"])])
        out.append(float(abs(told - reading) <= allowed))
    return out
