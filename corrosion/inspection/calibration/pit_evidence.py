"""What is known of the deepest pits before plates are looked at, and what was found."""

from dataclasses import dataclass

from corrosion.foundation.types import Array, BoolArray


@dataclass(frozen=True, slots=True, kw_only=True)
class PitPrior:
    """What is known of the deepest pits before any plate is looked at."""

    # shape (samples, zones): logarithm of the deepest pit over the loss that each
    # sample drew, about its mean [-]
    recorded: Array
    sd: Array  # shape (zones,): standard deviation of that [-]
    # share of its variance that the zones of a ship have in common: one
    # water, one steel [-]
    shared: float
    unnoticed: float  # chance of a hole below water that nobody wrote down [-]
    # unwelded, hidden: chance of a pit that a yard would have welded and did not, or of
    # a weld that nobody wrote down; of the first alone [-]
    unwelded: float
    hidden: float
    # chance that a weld that is written was of shallower pits, or of none [-]
    otherwise: float
    # chance of a weld afloat of a plate that is not through, over that of
    # one that is [-]
    mended: float
    # chance that a plate which is through waits for the dock, and is welded there, as
    # any other, or that nobody writes of its weld afloat [-]
    waits: float
    # standard deviation of what the logarithm of the next pit of a plate differs by
    # from that of one that was welded [-]
    again: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PitEvidence:
    """What was found of the deepest pits.

    Arrays are of shape (samples, zones) where no other is said.
    """

    # the same logarithm as the least readings say; of other zones anything [-]
    gauged: Array
    known: BoolArray  # shape (zones,): which zones have a least reading
    # logarithm of the factor on the recorded pit that was surely met; minus infinity
    # where nothing was read [-]
    least: Array
    # what the least of some spots says of the same logarithm as ``gauged`` [-]
    spots: Array
    # shape (zones,): how surely: inverse of its variance; 0: nothing was read [-]
    weight: Array
    lot: Array  # standard normal numbers that draw what all this leaves open
    # logarithm of the factor on the recorded pit at which it is through [-]
    room: Array
    sound: BoolArray  # shape (zones,): which zones would have shown a hole
    # logarithm of the factor at which a yard would have welded pits of a plate that it
    # looked at and left; infinite: none did [-]
    weld: Array
    # logarithm of the factor at which pits were as deep as is welded when a yard first
    # welded them; minus infinity: none did [-]
    deep: Array
    # logarithm of the factor at which a pit was through when pits were welded: the last
    # afloat, or else the least in dock; NaN: none were [-]
    through: Array
    leaked: BoolArray  # shape (zones,): which were welded afloat: pits went through
    through_lot: Array  # uniform numbers that draw the pit that did, or did not [-]
