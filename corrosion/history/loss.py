"""What an integration leaves: losses by zone, cause and fault, sample by sample."""

from collections.abc import Mapping
from dataclasses import dataclass, field, fields

import numpy as np

from corrosion.foundation.parallel import zeros
from corrosion.foundation.types import Array
from corrosion.history.inputs import ModelInputs
from corrosion.hull.anode_groups import anode_groups
from corrosion.wastage.apportionment import MULTIPLIERS
from corrosion.wastage.faraday import mass_loss

COUPLE = "shore couple"
OWN_METALS = "own metals"
"""Causes that are the same in all states of a step."""

EATERS = ("protection", OWN_METALS, COUPLE, "faults")
"""What consumes anodes: the hull that they protect, and what else drives them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LossHistory:
    """What was lost, sample by sample; up to the date of the estimate where not said.

    The accounts of mass are gross, so that

        natural_sea - protection_spared + faults + couple + own_metals - spared
            + natural_inside + unexplained = lost

    in every sample and zone. They go on where a plate is gone by the model alone: what
    a gauging shows to be there still wastes, and what stands behind a hole does.

    Arrays are of shape (samples, zones) where no other is said.
    """

    moments: Array  # shape (moments,): when the state was recorded, ascending [s]
    # shape (samples, moments, zones): loss of thickness up to each recorded moment,
    # mean over the zone [m]
    mean: Array
    # worn, since: shape (samples, moments, zones): at steel that has been bare since
    # the zone was last painted: what was lost evenly before that and from the inner
    # face, and what its outer face lost since, as pits go by
    # it: see `corrosion.wastage.pits.as_pits_deepen` [m]
    worn: Array
    since: Array
    # shape (samples, moments, zones): depth, below the plate as built, of the deepest
    # pit that is older than the last painting; minus infinity: none [m]
    pit: Array
    bare: Array  # shape (samples, moments, zones): bare share [-]
    # shape (len(MULTIPLIERS): ``mean``, were the natural loss of the sea side so many
    # times as high: netted in every state, convex in the multiple, single precision; of
    # no moment once gaugings have moved the history [m]
    multiplied: Array
    # natural_sea_kg, natural_inside_kg: natural loss of the sea side with neither
    # protection nor any current, and of the inner face [kg]
    natural_sea_kg: Array
    natural_inside_kg: Array
    # what causes took that no record names, as the gaugings show [kg]
    unexplained_kg: Array
    # what protection spares of the sea side's natural loss [kg]
    protection_spared_kg: Array
    # faults_kg, couple_kg, own_metals_kg: taken by faults, by the couple with the shore
    # earth, by own metals [kg]
    faults_kg: Array
    couple_kg: Array
    own_metals_kg: Array
    spared_kg: Array  # what all currents together spared, state by state [kg]
    # kept_kg, given_up_kg: what the first scenario lost and this one does not, and the
    # reverse, each zone by zone and state by state [kg]
    kept_kg: Array
    given_up_kg: Array
    # spot, taken_spot: depth at bare steel, and what of it currents took [m]
    spot: Array
    taken_spot: Array
    # highest alternating current density at bare steel, counted as so much of mains
    # frequency as dissolves as much [A/m²]
    peak: Array
    # charge, water_charge: shape (samples, faults): charge that reached the hull (of
    # rms for alternating current), and the part of it that left into the water [C]
    charge: Array
    # shape (samples, faults): the direct part of ``charge``, positive
    # into the steel [C]
    direct_charge: Array
    water_charge: Array
    seconds: Array  # shape (samples, faults): how long each fault stood [s]
    # fault_kg, fault_spared_kg: shape (samples, faults): metal that each fault
    # took, and spared [kg]
    fault_kg: Array
    fault_spared_kg: Array
    # shape (faults, zones): what each fault took by zone, mean of the samples [kg]
    charged: Array
    # shape (samples, periods): for how long the interface of steel and water was
    # taken as nonlinear [s]
    nonlinear_seconds: Array
    # anode_left, anode_usable, anode_amps, anode_volts: shape (samples, anodes): of
    # each group of anodes at the date of the estimate, sacrificial ones first: share of
    # its net mass, charge that is left until it falls off [C], current [A], and
    # potential of the steel about it [V]; of no samples: she has none
    anode_left: Array = field(default_factory=lambda: np.zeros((0, 0)))
    anode_usable: Array = field(default_factory=lambda: np.zeros((0, 0)))
    anode_amps: Array = field(default_factory=lambda: np.zeros((0, 0)))
    anode_volts: Array = field(default_factory=lambda: np.zeros((0, 0)))
    # shape (samples, anodes, eaters): charge drawn from each by whom, since it
    # was last renewed [C]
    anode_eaten: Array = field(default_factory=lambda: np.zeros((0, 0, 0)))
    # potential of each wetted zone under them [V]
    anode_zone_volts: Array = field(default_factory=lambda: np.zeros((0, 0)))
    # shape (samples, moments, zones): accounts of mass up to each recorded moment,
    # where they were asked for [kg]
    causes: Mapping[str, Array] = field(default_factory=dict)

    def take_over(self, other: "LossHistory", rows: slice) -> None:
        """Stand in some samples where another history of the same moments stands."""
        for each in fields(self):
            mine, theirs = (getattr(one, each.name) for one in (self, other))
            if each.name == "multiplied":
                mine[:, rows] = theirs[:, rows]
            elif each.name == "causes":
                for name, account in mine.items():
                    account[rows] = theirs[name][rows]
            elif each.name not in ("moments", "charged"):
                mine[rows] = theirs[rows]

    @property
    def stray_kg(self) -> Array:
        """Taken by faults and couple, shape (samples, zones) [kg]."""
        return self.faults_kg + self.couple_kg

    @property
    def natural_kg(self) -> Array:
        """Natural loss of both faces, shape (samples, zones) [kg]."""
        return self.natural_sea_kg + self.natural_inside_kg

    @property
    def lost_kg(self) -> Array:
        """Lost in all, shape (samples, zones) [kg]."""
        left = self.natural_kg - self.protection_spared_kg - self.spared_kg
        return left + self.stray_kg + self.own_metals_kg + self.unexplained_kg


DEPTHS = ("mean", "worn", "since", "pit")
"""Depths that are recorded at every moment."""

CAUSES = ("natural", "faults", "couple", "own_metals", "spared")
"""Accounts that are recorded at every moment where they are asked for."""


def empty_history(
    inputs: ModelInputs, moments: Array, *, causes: bool = False
) -> LossHistory:
    """Return a history of zeros, to be recorded at some moments."""
    samples, zones = inputs.draws.samples, len(inputs.ship.zones)
    faults = len(inputs.ship.faults)
    by_moment, by_zone = (samples, len(moments), zones), (samples, zones)
    by_fault = (samples, faults)
    return LossHistory(
        moments=moments,
        **{name: zeros(by_moment) for name in DEPTHS},
        bare=zeros(by_moment),
        multiplied=zeros((len(MULTIPLIERS), *by_moment), np.float32),
        natural_sea_kg=zeros(by_zone),
        natural_inside_kg=zeros(by_zone),
        unexplained_kg=zeros(by_zone),
        protection_spared_kg=zeros(by_zone),
        faults_kg=zeros(by_zone),
        couple_kg=zeros(by_zone),
        own_metals_kg=zeros(by_zone),
        spared_kg=zeros(by_zone),
        kept_kg=zeros(by_zone),
        given_up_kg=zeros(by_zone),
        spot=zeros(by_zone),
        taken_spot=zeros(by_zone),
        peak=zeros(by_zone),
        charge=zeros(by_fault),
        direct_charge=zeros(by_fault),
        water_charge=zeros(by_fault),
        seconds=zeros(by_fault),
        fault_kg=zeros(by_fault),
        fault_spared_kg=zeros(by_fault),
        charged=zeros((faults, zones)),
        nonlinear_seconds=zeros((samples, len(inputs.periods))),
        **_anode_accounts(inputs),
        causes={name: zeros(by_moment) for name in CAUSES} if causes else {},
    )


def _anode_accounts(inputs: ModelInputs) -> dict[str, Array]:
    """Return accounts of zeros for a ship that has anodes."""
    groups = len(anode_groups(inputs.ship, inputs.hull))
    if not groups:
        return {}
    by_group = inputs.draws.samples, groups
    names = ("left", "usable", "amps", "volts")
    return {
        **{f"anode_{name}": zeros(by_group) for name in names},
        "anode_eaten": zeros((*by_group, len(EATERS))),
        "anode_zone_volts": zeros((inputs.draws.samples, len(inputs.ship.zones))),
    }


def naive_loss(inputs: ModelInputs, history: LossHistory) -> tuple[Array, Array]:
    """Return what a naive reckoning charges, by fault and by zone.

    Returns
    -------
    by_fault, by_zone : ndarray, shape (samples, faults) and (samples, zones)
        Every ampere, direct or alternating, dissolves metal where it entered. [kg]
    """
    rate = np.array([mass_loss(1.0, zone.metal) for zone in inputs.ship.zones])
    by_fault = history.charge * rate[inputs.entry]
    by_zone = np.zeros_like(history.lost_kg)
    rows = np.arange(len(by_zone))
    for k in range(by_fault.shape[1]):
        by_zone[rows, inputs.entry[:, k]] += by_fault[:, k]
    return by_fault, by_zone
