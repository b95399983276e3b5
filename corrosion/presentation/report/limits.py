"""What the model leaves out, in sentences, for the report and the pages."""

from typing import Final

__all__ = ["LIMITS"]

LIMITS: Final = (
    "It sees only what was written down. Faults never found, plates renewed, wear and "
    "knocks are outside it; loss from the inner face is a general allowance.",
    "It replaces neither a gauging nor the class surveyor. Where a zone was gauged, "
    "the estimate moves to the gauging; where none was, it rests on the records alone.",
    "Every interval holds four estimates in five of this model with these assumptions; "
    "what the model leaves out is not in the interval.",
    "Many of its constants are judgement, and say so. Those that drive a decision can "
    "be restated for one ship, with a reason, in ship.toml.",
    "Steel and water meet in a resistance where that does, else in a law that bends, "
    "alike over the ship but for bare share and protection; for alternating current in "
    "one real impedance at each frequency.",
    "The share of an alternating current that dissolves steel is small and uncertain "
    "over a wide range; a direct current that leaves the steel dissolves it ampere "
    "for ampere.",
    "Water, sea bed and berth are even: one resistivity, one depth, one shore earth. "
    "Neighbouring ships, sheet piling and other sources ashore are not modelled.",
    "Bilge and tank zones have no path overboard; they lose steel naturally only.",
    "In dry dock an immersed zone goes on losing steel as if afloat, and loss goes on "
    "where a plate is gone: both err to the safe side.",
    "Paint fails as a share of each zone's area; where in the zone is not known. Pits "
    "follow one factor over the mean loss at bare steel.",
    "After the date of the estimate, standing faults stay and the present berth lasts "
    "until the next docking; faults still to come are not foreseen.",
    "The ceiling, every ampere dissolving steel where it enters, is shown for scale: "
    "it is what a reckoning without a return path would say, not an estimate.",
)
"""Limits of the model."""
