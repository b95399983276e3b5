"""The words that the records know: kinds of system, sides, exposures and so on."""

from collections.abc import Mapping
from typing import Final, Literal

Kind = Literal["ac3", "ac1", "dc2"]
Side = Literal["port", "starboard", "centre"]
Exposure = Literal["immersed", "tidal", "splash", "bilge", "tank", "dry"]
Access = Literal["inside", "diver", "dock"]
Source = Literal["ground fault", "welding", "other"]
Return = Literal["aboard", "ashore"]
Current = Literal["ac", "dc"]
Picture = Literal["out", "dim", "even", "bright"]
LampSeen = Literal[Picture, "failed"]
Supply = Literal["own", "shore isolated", "shore earthed"]
GaugingKind = Literal["mean", "least"]
OpenWhen = Literal["any time", "alongside", "dead ship", "never"]
Inside = Literal["dry", "bilge", "tank", "void"]
Lies = Literal["afloat", "dock", "aground", "under way"]
Afloat = Literal[Lies, "yes", "no"]
EarthMetal = Literal[
    "copper",
    "steel in concrete",
    "galvanised",
    "bare steel",
    "protected quay",
    "other ship",
]
EarthedAt = Literal["star", "a", "b", "c", "middle", "+", "-", "none"]
Nutrients = Literal["clean", "moderate", "high"]
Clamped = Literal["fault path", "feeder", "earth lead", "whole cable"]
Surface = Literal["prepared", "as found", "through paint", "echo to echo"]
WorkKind = Literal[
    "painted", "pits filled", "pits welded", "renewed", "doubler", "anodes renewed"
]
AnodeMetal = Literal["zinc", "aluminium", "magnesium", "impressed"]
AnodeForm = Literal["flush", "stand-off", "bracelet"]
Connected = Literal["connected", "disconnected"]
OnOff = Literal["on", "off"]
Electrode = Literal["Ag/AgCl", "Zn", "CSE", "SCE"]
HuntAct = Literal[
    "began",
    "looked",
    "clamped",
    "opened",
    "tested",
    "closed",
    "skipped",
    "isolated",
    "cleared",
]
Units = Literal["metric", "us"]
RecorderWrites = Literal["on change", "at intervals"]
ShipLies = Literal["under way", "alongside", "dead ship"]
TestVolts = Literal["500", "250", "ohmmeter only", "never"]

CONDUCTORS: Final[Mapping[Kind, tuple[str, ...]]] = {
    "ac3": ("a", "b", "c"),
    "ac1": ("a", "b"),
    "dc2": ("+", "-"),
}
"""Names of the conductors of each kind of system, in the order used everywhere."""

WETTED: Final = frozenset({"immersed", "tidal"})
"""Exposures that conduct into the sea; the others lose current to the steel only."""
