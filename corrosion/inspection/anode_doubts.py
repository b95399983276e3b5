"""Doubts about what protects a hull: written twice, left out, spent, too much."""

from collections.abc import Iterator

import numpy as np

from corrosion.foundation.units import YEAR
from corrosion.history.anodes_in_time import anodes_act
from corrosion.history.inputs import ModelInputs
from corrosion.history.loss import LossHistory
from corrosion.hull.anode_groups import anode_groups

_EARLY = 0.5 * YEAR  # of her life without a word about anodes


def anode_doubts(inputs: ModelInputs, history: LossHistory) -> list[str]:
    """Return what is doubtful about anodes and impressed current, one sentence each."""
    if not inputs.ship.anodes:
        return []
    return [*_written(inputs), *_spent(inputs, history), *_too_low(inputs, history)]


def _written(inputs: ModelInputs) -> Iterator[str]:
    ship = inputs.ship
    if not anodes_act(ship):
        yield (
            "zones.csv writes a protection current and anodes.csv the anodes: the "
            "written current is taken as what arrives, the anodes only for what they "
            "give and how long they last; leave protection_ma_per_m2 blank to have "
            "them protect as the network says"
        )
    fitted = [anode.fitted for anode in ship.anodes if anode.fitted is not None]
    first = min(fitted, key=lambda when: when.middle, default=None)
    before = ship.assumptions.value("anodes_before_chance")
    late = first is not None and first.middle > inputs.time_grid.start + _EARLY
    if first is not None and late and anodes_act(ship):
        yield (
            f"the first anodes were fitted {first.text} as far as anodes.csv says: "
            "before that others like them are taken to have protected her with a "
            f"chance of {before:.0%}; write those that were there (works.csv: anodes "
            "renewed), or anodes_before_chance in ship.toml"
        )
    acting = {one.anode.anode for one in anode_groups(ship, inputs.hull)}
    for anode in ship.anodes:
        if anode.anode not in acting:
            yield (
                f"anode {anode.anode} is left out: its zone {anode.zone} must lie in "
                "the water, and net_kg or its three sizes must be written (anodes.csv)"
            )
        elif anode.fitted is None and ship.last_docking is None:
            yield (
                f"nobody wrote when anode {anode.anode} was fitted: it is taken to be "
                "new when the history begins (anodes.csv, fitted)"
            )


def _spent(inputs: ModelInputs, history: LossHistory) -> Iterator[str]:
    grid = inputs.time_grid
    groups = [one for one in anode_groups(inputs.ship, inputs.hull) if one.size]
    needed = history.anode_amps[:, : len(groups)] * (grid.horizon - grid.as_of)
    usable = history.anode_usable[:, : len(groups)]
    for one, chance in zip(groups, (usable < needed).mean(axis=0), strict=True):
        if chance > 0.5:
            yield (
                f"anode {one.anode.anode} on {one.anode.zone} is used up before the "
                f"next docking with a chance of {100.0 * chance:.0f} %, by what it "
                "gives today: renew it or look at it (anodes.csv, seen)"
            )


def _too_low(inputs: ModelInputs, history: LossHistory) -> Iterator[str]:
    least = -inputs.ship.assumptions.value("overprotection_v")
    volts = np.median(history.anode_zone_volts[:, inputs.hull.body.zones], axis=0)
    names = [
        inputs.ship.zones[k].zone
        for k, volt in zip(inputs.hull.body.zones, volts, strict=True)
        if volt < least and inputs.ship.zones[k].metal in ("steel", "cast iron")
    ]
    if names:
        yield (
            f"{', '.join(names)}: overprotected, at {1e3 * volts.min():.0f} mV against "
            "Ag/AgCl in the lowest: coatings may lift and high-strength steel may take "
            "up hydrogen; turn the set point up"
        )
