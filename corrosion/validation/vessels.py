"""Kinds of ship: hull, plating, systems and circuits, before anything happens."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from corrosion.validation.kinds import KINDS, Kind
from corrosion.validation.nature import NOW, YEAR, Nature


@dataclass(frozen=True, slots=True, kw_only=True)
class Plate:
    """One zone of plating, or a part fastened to it; metres where not named."""

    zone: str
    frames: tuple[float, float]
    side: str
    top: float
    bottom: float
    area: float  # [m²]
    exposure: str
    built_mm: float
    limit_mm: float
    pit_limit_mm: float
    metal: str = "steel"
    inside: str = "dry"
    bond: float | None = None  # [Ω]
    bonded_to: str | None = None
    turning: float | None = None  # that joint while her shaft turns [Ω]
    measured: bool = False  # whether somebody wrote that down
    access: str = "inside"
    gauge_hours: float = 2.0
    middle: tuple[float, float, float] = (0.0, 0.0, 0.0)  # along, across, below [m]

    @property
    def bronze(self) -> bool:
        """Whether it is a propeller, which nobody gauges."""
        return "bronze" in self.metal

    @property
    def wet(self) -> bool:
        """Whether the sea touches it."""
        return self.exposure == "immersed"


_BRUSHES = 0.6  # share of ships whose shaft has an earthing brush in order (judgement)


@dataclass(frozen=True, slots=True)
class Lamps:
    """Ground-detector lamps: rated volts and watts, and transformer ratio."""

    volts: float
    watts: float
    ratio: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Supply:
    """One electrical system; capacitance [F] and insulation [Ω] as written and true."""

    name: str
    kind: str
    volts: float
    hertz: float
    capacitance: float
    insulation: float
    true_capacitance: float = 0.0
    true_insulation: float = 0.0
    lamps: Lamps | None = None
    fed_from_shore: bool = True
    alarm_ohm: float = 0.0  # of an insulation monitor; 0: none

    @property
    def conductors(self) -> tuple[str, ...]:
        """Names of its conductors."""
        return {"ac3": ("a", "b", "c"), "ac1": ("a", "b"), "dc2": ("+", "-")}[self.kind]

    @property
    def direct(self) -> bool:
        """Whether it is a direct-current system."""
        return self.kind == "dc2"


@dataclass(frozen=True, slots=True, kw_only=True)
class Circuit:
    """A branch: what feeds it, the plate in way of it, minutes, and how prone it is."""

    system: int
    name: str
    fed_from: str
    plate: int
    minutes_open: float
    minutes_test: float
    prone: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Vessel:
    """One ship as she was delivered."""

    name: str
    kind: str
    of: Kind
    built: float  # [s]
    salinity: float  # [g/kg]
    temperature: float  # [°C]
    plates: tuple[Plate, ...]
    systems: tuple[Supply, ...]
    circuits: tuple[Circuit, ...]

    @property
    def fresh(self) -> bool:
        """Whether the water is fresh."""
        return self.salinity < 1.0

    @property
    def resistivity(self) -> float:
        """Of the water in which she mostly lies [Ω·m]."""
        return resistivity(self.salinity, self.temperature)


def resistivity(salinity: float, celsius: float) -> float:
    """Return that of water, a rough fit to sea water [Ω·m]."""
    conductivity = 0.172 * salinity * (1.0 + 0.021 * (celsius - 15.0))
    return 1.0 / (0.75 * conductivity)


def launch(kind: str, nature: Nature, *, river: bool = False) -> Vessel:
    """Return a new ship of a kind."""
    of, rng = KINDS[kind], nature.rng("vessel")
    built = NOW - rng.uniform(*of.age) * YEAR
    plates = tuple(_on_a_shaft(plate, nature) for plate in _plates(of, rng))
    systems = tuple(_supply(row, k, nature, rng) for k, row in enumerate(of.systems))
    salty = float(np.round(rng.uniform(18.0, 35.0)))
    return Vessel(
        name=f"Invented {kind} {nature.seed}",
        kind=kind,
        of=of,
        built=built,
        salinity=round(salty / 70.0, 2) if river else salty,  # 0.26 to 0.5 g/kg
        temperature=float(np.round(rng.uniform(7.0, 18.0))),
        plates=plates,
        systems=systems,
        circuits=tuple(_circuits(of, plates, rng)),
    )


def _on_a_shaft(plate: Plate, nature: Nature) -> Plate:
    """Return a propeller with what joins it to the hull while it turns.

    The oil film of bearings keeps it apart unless a brush rides on the shaft, fitted
    and kept in most ships; one in five had it measured.
    """
    if not plate.bronze:
        return plate
    kept, wrote = nature.rng("shaft").random(2)
    ohms = nature.one("brush_ohm" if kept < _BRUSHES else "bearing_ohm")
    return replace(plate, turning=max(ohms, plate.bond or 0.0), measured=wrote < 0.2)


def _plates(of: Kind, rng: np.random.Generator) -> Iterator[Plate]:
    """Divide the hull into sides, bottoms, boot-tops, inner spaces and parts."""
    n, turn = of.sections, 0.55 * of.draught
    frames = of.length / 0.6
    wetted = 2.0 * of.length * of.draught * 0.9 + of.length * of.beam * of.block
    for side, sign in (("port", -1.0), ("starboard", 1.0)):
        mark = side[0].upper()
        for k in range(n):
            fore, aft = frames * k / n, frames * (k + 1) / n
            x = of.length * (k + 0.5) / n
            upper = 0.45 if 0 < k < n - 1 else 0.5
            space = ("void", "tank", "bilge")[k % 3]
            for name, top, bottom, share, y in (
                ("SID", 0.0, turn, upper, 0.5),
                ("BOT", turn, of.draught, 1.0 - upper, 0.25),
            ):
                yield _plate(
                    rng, of, f"{k + 1}-{mark}-{name}", frames=(fore, aft), side=side,
                    top=top, bottom=bottom, area=share * wetted / (2.0 * n),
                    inside="dry" if name == "SID" else space,
                    access="inside" if name == "SID" else "diver",
                    gauge_hours=2.0 if name == "SID" else 3.0,
                    middle=(x, sign * y * of.beam, 0.5 * (top + bottom)),
                )  # fmt: skip
        yield _plate(
            rng, of, f"{mark}-BTP", frames=(0.0, frames), side=side, top=-0.6,
            bottom=0.0, area=0.6 * of.length, exposure="splash",
        )  # fmt: skip
        yield _plate(
            rng, of, f"{mark}-BIL", frames=(0.5 * frames, 0.7 * frames), side=side,
            top=of.draught - 1.0, bottom=of.draught - 0.5, exposure="bilge",
            area=0.05 * of.length * of.beam, inside="bilge",
        )  # fmt: skip
    fore, aft = 0.97 * frames, frames
    place = {"frames": (fore, aft), "side": "centre", "access": "diver"}
    below = (of.length, 0.0, 0.7 * of.draught)
    yield _plate(
        rng, of, "C-RUD", **place, top=0.3 * of.draught, bottom=0.9 * of.draught,
        area=0.02 * of.length * of.draught * 2.0, bond=float(rng.choice([2e-3, 2e-2])),
        bonded_to=f"{n}-S-BOT", middle=below,
    )  # fmt: skip
    if of.propeller:
        part = _plate(
            rng, of, "C-PRO", **place, top=0.5 * of.draught, bottom=0.9 * of.draught,
            area=of.propeller, bond=2e-3, bonded_to=f"{n}-S-BOT", middle=below,
        )  # fmt: skip
        yield replace(
            part, metal="nickel-aluminium bronze", built_mm=60.0, limit_mm=30.0
        )


def _plate(rng: np.random.Generator, of: Kind, zone: str, **place: object) -> Plate:
    built = float(np.round(2.0 * rng.uniform(*of.plate_mm)) / 2.0)
    words = {"exposure": "immersed", "metal": of.metal} | place
    return Plate(
        zone=zone,
        built_mm=built,
        limit_mm=round(built * rng.uniform(0.75, 0.85), 1),
        pit_limit_mm=round(0.3 * built, 1),
        **words,  # type: ignore[arg-type]  # keywords of the calls above
    )


def _supply(
    row: tuple[str, str, float, float],
    at: int,
    nature: Nature,
    rng: np.random.Generator,
) -> Supply:
    name, kind, volts, hertz = row
    farads = float(np.round(rng.uniform(0.3, 2.5), 1)) * 1e-6
    ohms = float(rng.choice([8e4, 2e5, 4e5, 1e6]))
    lamps = {
        440.0: Lamps(127.0, 15.0, 2.0),
        400.0: Lamps(127.0, 15.0, 2.0),
        220.0: Lamps(220.0, 25.0) if kind == "dc2" else Lamps(127.0, 15.0),
        230.0: Lamps(230.0, 25.0),
        24.0: Lamps(24.0, 3.0),
    }[volts]
    shown = rng.random() < 0.75
    return Supply(
        name=name,
        kind=kind,
        volts=volts,
        hertz=hertz,
        capacitance=farads,
        insulation=ohms,
        true_capacitance=farads * nature.one("capacitance", name),
        true_insulation=ohms * nature.one("insulation", name),
        lamps=lamps if shown else None,
        fed_from_shore=at == 0,
        alarm_ohm=0.0 if shown else 50.0 * volts,
    )


def _circuits(
    of: Kind, plates: tuple[Plate, ...], rng: np.random.Generator
) -> Iterator[Circuit]:
    inner = [k for k, plate in enumerate(plates) if plate.metal == of.metal]
    for system, (name, *_) in enumerate(of.systems):
        panel = ""
        for k in range(10):
            if k in (0, 5):
                panel = f"{name} panel {k // 5 + 1}"
            yield Circuit(
                system=system,
                name=panel if k in (0, 5) else f"{name} branch {k}",
                fed_from="" if k in (0, 5) else panel,
                plate=int(rng.choice(inner)),
                minutes_open=float(rng.integers(2, 8)),
                minutes_test=float(rng.integers(5, 15)),
                prone=float(np.exp(1.0 * rng.standard_normal())),
            )
