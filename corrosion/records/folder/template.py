"""A small ship folder to fill in, as `corrosion new` writes it. She is invented."""

from pathlib import Path
from typing import Final

from corrosion.foundation.errors import InputError

__all__ = ["write_example"]

_SHIP: Final = """\
# An invented ship, to be overwritten with your own. Units are in the names of the keys.
# What you do not know, leave out: blank is "not known" and never zero.
# Dates are as exact as you know: 1994, "1994-06", 1994-06-03 or "1994-06-03 14:20".

[ship]
name = "Example"
length_m = 42.0            # on the waterline
beam_m = 9.2
draught_m = 3.4
block_coefficient = 0.55   # displaced volume over length x beam x draught
built = 1968
last_docking = "2022-05"   # when she was last docked and painted
next_docking = 2028-05-01  # how far ahead to look
frame_spacing_m = 0.55     # frame 0 at the forward perpendicular

[water]
salinity_g_per_kg = 30.0   # fresh water is about 0.2; or write resistivity_ohm_m
temperature_c = 10.0
# depth_m = 6.0            # depth of water at the berth

# One [[system]] for each electrical system with no conductor tied to the hull.
[[system]]
name = "ship service"
kind = "ac3"               # ac3: three-phase, ac1: two-wire, dc2: direct current
volts = 440                # between conductors
hertz = 60
switchboard_zone = "MB-S"
hull_capacitance_uf = 0.8  # each conductor to hull, the whole system
insulation_ohm = 600e3     # each conductor to hull, healthy
lamps = { volts = 127, watts = 15, ratio = 2.0 }  # ratio: line over lamp voltage
# fed_from_shore = false   # where a converter or transformer aboard stands between

[prices]                   # optional, in your own currency
steel_per_kg = 14.0
crew_hour = 55.0

# Any entry of the basis table may be restated, with your reason:
# [assumption.pitting_factor]
# median = 4.0
# spread = 1.4             # geometric standard deviation; 1 is exact
# why = "pits of the last docking, surveyor's letter"
"""

_ZONES: Final = """\
zone,name,frame_from,frame_to,side,top_m,bottom_m,area_m2,exposure,metal,built_mm,\
limit_mm,pit_limit_mm,bare_percent,bare_seen,painted,bond_ohm,bonded_to,\
protection_ma_per_m2,consequence,access,gauge_hours,cable_share
FW-P,forward port,0,25,port,-0.5,3.4,,immersed,steel,9,7,,3,2022-05,2022-05,,,,4,\
diver,3,0.1
FW-S,forward starboard,0,25,starboard,-0.5,3.4,,immersed,steel,9,7,,3,2022-05,\
2022-05,,,,4,diver,3,0.1
MB-P,midship bilge port,25,50,port,-0.5,3.4,,immersed,steel,10,7.5,,8,2022-05,\
2022-05,,,,5,inside,4,0.3
MB-S,midship bilge starboard,25,50,starboard,-0.5,3.4,,immersed,steel,10,7.5,,6,\
2022-05,2022-05,,,,5,inside,4,0.3
AF-C,aft body,50,74,centre,-0.3,3.2,,immersed,steel,10,7.5,,5,2022-05,2022-05,,,,5,\
inside,4,0.2
RUD,rudder,74,76,centre,0.8,3.0,5.5,immersed,steel,12,9,,20,2022-05,2022-05,0.02,\
AF-C,,4,diver,1,0
"""

_FAULTS: Final = """\
fault,system,circuit,conductor,zone,source,return,last_good,found,cleared,amps,\
current,insulation_ohm,hull_v_a,hull_v_b,hull_v_c,meter_ohm,lamp_a,lamp_b,lamp_c,\
remark
F1,ship service,galley,b,MB-P,ground fault,,2025-02-28,2025-03-03 08:15,\
2025-03-03 16:40,0.35,ac,900,,,,,bright,out,bright,"water in a socket,\
 dried and sealed"
F2,ship service,deck lighting,a,,ground fault,,2026-09,2026-10-12,,,,20000,,,,,dim,\
even,even,still hunting
"""

_BERTHS: Final = """\
from,to,berth,supply,earth_cable_ohm,shore_earth_ohm,earth_couple_v,galvanic_isolator,\
afloat,shore_side,shore_distance_m
2019-04,,museum quay,shore earthed,0.15,2,,no,yes,starboard,8
"""

_GAUGINGS: Final = """\
zone,date,frame,thickness_mm,readings,sd_mm,kind,remark
MB-P,2022-05-11,38,9.1,12,0.2,mean,
MB-P,2022-05-11,41,8.2,1,0.2,least,under the galley drain
"""

_CIRCUITS: Final = """\
system,circuit,fed_from,zone,minutes_to_open,minutes_to_test,permission
ship service,hotel panel,,MB-S,5,10,engineer on watch
ship service,galley,hotel panel,MB-P,2,15,cook
ship service,deck lighting,hotel panel,AF-C,2,20,
"""

_FILES: Final = {
    "ship.toml": _SHIP,
    "zones.csv": _ZONES,
    "faults.csv": _FAULTS,
    "berths.csv": _BERTHS,
    "gaugings.csv": _GAUGINGS,
    "circuits.csv": _CIRCUITS,
}


def write_example(path: str | Path) -> None:
    """Write a small, commented, invented ship folder to fill in.

    Parameters
    ----------
    path : str or Path
        The new folder; parents are made as needed.

    Raises
    ------
    InputError
        If something is already there, or the folder cannot be written.
    """
    folder = Path(path)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        if any(folder.iterdir()):
            msg = f"{folder}: is not empty. Name a new folder; nothing was written."
            raise InputError(msg)
        for name, text in _FILES.items():
            (folder / name).write_text(text, encoding="utf-8")
    except (OSError, ValueError) as error:
        if isinstance(error, InputError):
            raise
        reason = error.strerror if isinstance(error, OSError) else str(error)
        msg = f"{folder}: cannot be written ({reason}). Name another folder."
        raise InputError(msg) from None
