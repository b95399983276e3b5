"""A lamp picture in plain words."""

from collections.abc import Sequence

from corrosion.foundation.assumptions import Assumptions
from corrosion.foundation.errors import InputError
from corrosion.foundation.units import scaled_ohms
from corrosion.leakage.lamp_pattern import PICTURES, least_visible_fault
from corrosion.records.ship import Picture, System


def describe_lamps(
    system: System,
    pictures: Sequence[Picture],
    *,
    assumptions: Assumptions | None = None,
) -> str:
    """Return what a picture of the detector lamps says, in a sentence or two.

    Parameters
    ----------
    system : System
        A system with lamps.
    pictures : sequence of str
        ``out``, ``dim``, ``even`` or ``bright``, one a conductor.
    assumptions : Assumptions, optional

    Raises
    ------
    InputError
        If the number of pictures is not that of the conductors, one of them is no
        picture, or the system has no lamps.

    Examples
    --------
    >>> legacy = System(name="legacy", kind="dc2", volts=220.0)
    >>> describe_lamps(legacy, ["out", "bright"])
    'Lamp + out, - bright: + lies on the hull or nearly so and is still live, or its \
lamp has failed.'
    """
    names = system.conductors
    if len(pictures) != len(names) or not set(pictures) <= set(PICTURES):
        msg = (
            f"describe: pictures must be {len(names)} of {', '.join(PICTURES)} for "
            f"{system.name!r}, got {', '.join(pictures) or 'none'}"
        )
        raise InputError(msg)
    if len(set(pictures)) == 1:
        return _alike(system, pictures[0], assumptions)
    showing = {
        word: [name for name, one in zip(names, pictures, strict=True) if one == word]
        for word in PICTURES
    }
    groups = [f"{_joined(group)} {word}" for word, group in showing.items() if group]
    dimmest, low = next((word, group) for word, group in showing.items() if group)
    said = f"Lamp {', '.join(groups)}: "
    if dimmest == "out" and len(low) == 1:
        return (
            f"{said}{low[0]} lies on the hull or nearly so and is still live, or its "
            "lamp has failed."
        )
    if dimmest == "out":
        return f"{said}{_joined(low)} all lie on the hull, or their lamps have failed."
    if len(low) == 1:
        return f"{said}a fault of some resistance on {low[0]}."
    [bright] = [name for name in names if name not in low]
    next_in_turn = names[(names.index(bright) + 1) % len(names)]
    return (
        f"{said}a fault of high resistance on {' or '.join(low)}; where the phases "
        f"turn in the order {'-'.join(names)}, on {next_in_turn}."
    )


def _alike(system: System, word: Picture, assumptions: Assumptions | None) -> str:
    if word == "out":
        return (
            "All lamps out: the set is disconnected, its lamps or fuses have failed, "
            "every conductor lies on the hull, or nothing is energised. Treat every "
            "conductor as live; this says nothing about faults."
        )
    hidden, unit = scaled_ohms(least_visible_fault(system, assumptions=assumptions))
    return (
        "All lamps alike: no fault that they could show. One above about "
        f"{hidden:.2g} {unit} stays hidden; equal faults on all conductors, a failed "
        "lamp or a disconnected set look the same. Even lamps prove nothing."
    )


def _joined(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
