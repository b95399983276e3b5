"""What can hurt, in the words of cautions.toml: each stands beside its act."""

from typing import Final, Literal

from corrosion.foundation.data_files import sentences

Needs = Literal["anyone", "competent person", "licensed electrician", "diver", "class"]
"""Who it takes, at the least."""

NEEDS: Final[dict[str, Needs]] = {
    "look": "anyone",
    "clamp": "competent person",
    "open": "competent person",
    "test": "licensed electrician",
    "inside": "competent person",
    "dock": "competent person",
    "diver": "diver",
}
"""Who it takes to do each act of a hunt, and to gauge by each way in."""

_SAID: Final = sentences(__file__, "cautions.toml")
DANGER: Final = _SAID["DANGER"]
HOLED: Final = _SAID["HOLED"]
NO_DANGER: Final = _SAID["NO_DANGER"]
LAMPS: Final = _SAID["LAMPS"]
FAILED_LAMP: Final = _SAID["FAILED_LAMP"]
PROVE: Final = _SAID["PROVE"]
LOOK: Final = f"{LAMPS} An ungrounded system can kill while they burn evenly."
CLAMP: Final = _SAID["CLAMP"]
OPEN: Final = _SAID["OPEN"]
TEST: Final = f"{_SAID['TEST']} {_SAID['DEAD'].format(where='the row says')}"
SURVEY: Final = f"{_SAID['SURVEY']} {_SAID['DEAD'].format(where='circuits.csv says')}"
OPENED: Final = _SAID["OPENED"]
VITAL: Final = _SAID["VITAL"]
ZERO_VOLTS: Final = _SAID["ZERO_VOLTS"]
TOUCH: Final = _SAID["TOUCH"]
SHORE: Final = _SAID["SHORE"]
THIN: Final = _SAID["THIN"]
DIVER: Final = _SAID["DIVER"]
ENCLOSED: Final = _SAID["ENCLOSED"]
WELDING: Final = _SAID["WELDING"]
ESTIMATE: Final = _SAID["ESTIMATE"]
