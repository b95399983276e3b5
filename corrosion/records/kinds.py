"""The words that the records know: kinds of system, sides, exposures and so on."""

from collections.abc import Mapping
from typing import Final, Literal

__all__ = [
    "CONDUCTORS",
    "WETTED",
    "Access",
    "Current",
    "Exposure",
    "GaugingKind",
    "Kind",
    "LampSeen",
    "OpenWhen",
    "Picture",
    "Return",
    "ShipLies",
    "Side",
    "Source",
    "Supply",
    "TestVolts",
]

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
