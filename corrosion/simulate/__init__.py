"""Known-truth ships: rehearse with invented records whose truth is known."""

from corrosion.simulate.ships import AS_OF, invent
from corrosion.simulate.study import Rehearsed, Study, study
from corrosion.simulate.truth import Truth, rehearse

__all__ = ["AS_OF", "Rehearsed", "Study", "Truth", "invent", "rehearse", "study"]
