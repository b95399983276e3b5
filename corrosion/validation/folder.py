"""Writes a life down as a ship folder: plain text, as a crew with a spreadsheet would.

Nothing of the estimate is used to write it.
"""

import csv
from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path

from corrosion.validation.life import Life
from corrosion.validation.logbook import Habits, Logbook, written_date
from corrosion.validation.nature import NOW
from corrosion.validation.surveyors import Survey, judge_paint
from corrosion.validation.voyages import Stay
from corrosion.validation.zinc import NET_KG

Row = dict[str, object]


def write_folder(
    folder: Path, life: Life, habits: Habits, *, log: Logbook, survey: Survey
) -> None:
    """Write everything that people noted of a life until now.

    ``folder``: is made.
    """
    folder.mkdir(parents=True, exist_ok=True)
    text = "".join(_ship(life, habits))
    (folder / "ship.toml").write_text(text, encoding="utf-8")
    gaugings = ({k: v for k, v in row.items() if k != "spots"} for row in survey.rows)
    tables: Mapping[str, Iterable[Row]] = {
        "zones": _zones(life, habits),
        "faults": [*log.rows, *_welding(life)],
        "berths": _berths(life, habits),
        "gaugings": gaugings,
        "circuits": _circuits(life),
        "works": _works(life, habits),
        "anodes": _anodes(life),
        "readings": log.further,
    }
    if log.recorded:
        (folder / "monitor").mkdir(exist_ok=True)
        tables = {**tables, "monitor/hull-current": log.recorded}
    for name, rows in tables.items():
        if lines := list(rows):
            write_csv(folder / f"{name}.csv", lines)


def write_csv(path: Path, rows: list[Row]) -> None:
    """Write a table, a row a mapping; a column that a row lacks is blank."""
    columns = dict.fromkeys(name for row in rows for name in row)
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, [*columns])
        writer.writeheader()
        writer.writerows(rows)


def _ship(life: Life, habits: Habits) -> Iterable[str]:
    vessel, of = life.vessel, life.vessel.of
    yield f'[ship]\nname = "{vessel.name}"\n'
    yield f"length_m = {of.length}\nbeam_m = {of.beam}\ndraught_m = {of.draught}\n"
    yield f"block_coefficient = {of.block}\nframe_spacing_m = 0.6\n"
    yield f"built = {written_date(vessel.built, 3)}\n"
    past = [float(d) for d in life.voyages.dockings if d < NOW]
    if past and habits.dockings:
        yield f'last_docking = "{written_date(past[-1], 2)}"\n'
    yield f'next_docking = "{written_date(life.voyages.next_docking, 1)}"\n'
    if vessel.fresh:  # no formula of sea water says how it conducts
        yield f"[water]\nresistivity_ohm_m = {vessel.resistivity:.2g}\n"
    else:
        yield f"[water]\nsalinity_g_per_kg = {vessel.salinity}\n"
    yield f"temperature_c = {vessel.temperature}\n"
    if habits.recorder:
        yield '[monitor]\nwrites = "on change"\n'
    for system in vessel.systems:
        yield f'[[system]]\nname = "{system.name}"\nkind = "{system.kind}"\n'
        yield f'volts = {system.volts}\nswitchboard_zone = "S-BIL"\n'
        if system.hertz:
            yield f"hertz = {system.hertz}\n"
        yield f"hull_capacitance_uf = {1e6 * system.capacitance:.3g}\n"
        yield f"insulation_ohm = {system.insulation:.6g}\n"
        if system.lamps:
            lamps = system.lamps
            yield f"lamps = {{ volts = {lamps.volts}, watts = {lamps.watts}, "
            yield f"ratio = {lamps.ratio} }}\n"
        if system.alarm_ohm:
            yield "monitor_internal_ohm = 1e6\n"
        yield f"fed_from_shore = {str(system.fed_from_shore).lower()}\n"


def _zones(life: Life, habits: Habits) -> Iterable[Row]:
    for k, (plate, seen) in enumerate(
        zip(life.vessel.plates, judge_paint(life), strict=True)
    ):
        row: Row = {
            "zone": plate.zone,
            "frame_from": f"{plate.frames[0]:.1f}",
            "frame_to": f"{plate.frames[1]:.1f}",
            "side": plate.side,
            "top_m": f"{plate.top:.2f}",
            "bottom_m": f"{plate.bottom:.2f}",
            "area_m2": f"{plate.area:.1f}",
            "exposure": plate.exposure,
            "metal": plate.metal,
            "built_mm": plate.built_mm,
            "limit_mm": plate.limit_mm,
            "pit_limit_mm": plate.pit_limit_mm,
            "bond_ohm": plate.bond,
            "turning_ohm": plate.turning if plate.measured else None,
            "bonded_to": plate.bonded_to,
            "consequence": 3,
            "access": plate.access,
            "gauge_hours": plate.gauge_hours,
            "inside": None if plate.exposure == "bilge" else plate.inside,
        }
        if seen is not None and not plate.bronze:
            row |= {"bare_percent": seen[0], "bare_seen": seen[1]}
        past = [t for t in life.paintings[k] if t < NOW]
        if habits.dockings and len(past) > 1 and not plate.bronze:
            row["painted"] = written_date(float(max(past)), 2)
        yield row


def _berths(life: Life, habits: Habits) -> Iterable[Row]:
    stays = [stay for stay in life.voyages.stays if stay.start < NOW]
    stays = list(_joined(stays)) if not habits.dockings else stays
    for k, stay in enumerate(stays):
        ongoing = k == len(stays) - 1
        yield {
            "from": written_date(stay.start, 1 if k else 3),
            "to": None if ongoing else written_date(stay.end, 1),
            "berth": f"{stay.words} (invented)",
            "supply": stay.supply,
            "earth_cable_ohm": _cable(stay),
            "shore_earth_ohm": f"{stay.shore:.2g}" if _knows(stay) else None,
            "earth_metal": stay.earth_metal if _knows(stay) else None,
            "galvanic_isolator": "yes" if stay.isolator else "no",
            "afloat": _lies(stay),
            "under_way_percent": f"{100.0 * stay.way:.0f}" if stay.written else None,
            "temperature_c": f"{stay.celsius:.0f}" if stay.written else None,
            "nutrients": stay.nutrients if _knows(stay) else None,
            "salinity_g_per_kg": _salt(life, stay),
        }


def _lies(stay: Stay) -> str:
    if not stay.afloat:
        return "dock"
    return "under way" if stay.way else "afloat"


def _knows(stay: Stay) -> bool:
    return stay.written and stay.supply != "own" and stay.afloat


def _cable(stay: Stay) -> str | None:
    if not _knows(stay):
        return None
    if stay.cable is None:
        return "none"
    return f"{stay.cable:.2g}"


def _salt(life: Life, stay: Stay) -> float | None:
    """Return what is written of brackish water."""
    brackish = _knows(stay) and stay.salinity != life.vessel.salinity
    return stay.salinity if brackish else None


def _welding(life: Life) -> Iterable[Row]:
    zones = [plate.zone for plate in life.vessel.plates]
    for k, weld in enumerate(life.welds):
        row: Row = {
            "fault": f"W-{k + 1:03d}",
            "source": "welding",
            "zone": zones[weld.plate],
            "found": written_date(weld.start, 0),
            "cleared": written_date(weld.end, 0),
            "amps": weld.amps,
            "current": "dc",
            "present_percent": round(100.0 * weld.share),
        }
        if weld.clamp is None:
            row["return"] = "ashore"
        elif weld.told:
            row |= {"return": "aboard", "return_zone": zones[weld.clamp]}
        yield row


def _joined(stays: list[Stay]) -> Iterable[Stay]:
    """Leave out stays in dock: nobody wrote that she was docked."""
    afloat = [stay for stay in stays if stay.afloat]
    for k, stay in enumerate(afloat):
        end = afloat[k + 1].start if k + 1 < len(afloat) else stay.end
        yield replace(stay, end=end)


def _circuits(life: Life) -> Iterable[Row]:
    for circuit in life.vessel.circuits:
        yield {
            "system": life.vessel.systems[circuit.system].name,
            "circuit": circuit.name,
            "fed_from": circuit.fed_from,
            "zone": life.vessel.plates[circuit.plate].zone,
            "minutes_to_open": circuit.minutes_open,
            "minutes_to_test": circuit.minutes_test,
            "permission": "none",
        }


def _works(life: Life, habits: Habits) -> Iterable[Row]:
    """Yield paintings and repairs since the log began; older ones nobody kept."""
    rng = life.nature.rng("yard clerk")
    begins = life.voyages.log_begins
    if habits.dockings:
        for k, plate in enumerate(life.vessel.plates):
            for moment in () if plate.bronze else life.paintings[k]:
                if begins < moment < NOW:
                    date = written_date(float(moment), 2)
                    yield {"date": date, "zone": plate.zone, "work": "painted"}
    for work in life.works.done:
        if begins < work.moment < NOW and rng.random() < 0.9:
            date = written_date(work.moment, 2)
            zone = life.vessel.plates[work.plate].zone
            share = 100.0 if work.work == "renewed" else 1.0
            yield {"date": date, "zone": zone, "work": work.work, "percent": share}


def _anodes(life: Life) -> Iterable[Row]:
    past = [float(d) for d in life.voyages.dockings if d < NOW]
    for k, plate in enumerate(life.vessel.plates):
        if life.strays.anodes[k] and past:
            yield {
                "anode": f"A-{plate.zone}",
                "zone": plate.zone,
                "metal": "zinc",
                "form": "flush",
                "count": int(life.strays.anodes[k]),
                "net_kg": NET_KG,
                "fitted": written_date(past[-1], 2),
            }
