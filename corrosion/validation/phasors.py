"""A short phasor network: conductors against hull, lamps, faults, an earthed supply.

Each conductor c stands at V_c = E_c + V_n, E_c about the star point. Charge is kept:
sum of V_c y_c over conductors, and (V_n + E_t) times the earth's conductance where the
supply is earthed at a point of voltage E_t, is nothing. So

    V_n = -(sum E_c y_c + E_t g) / (sum y_c + g).

Lamps are filaments: their conductance follows the voltage across them, and is found by
going round a few times.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from corrosion.foundation.types import Array, ComplexArray
from corrosion.validation.vessels import Lamps, Supply

_EXPONENT: Final = 0.55  # filament current over volts; light goes with 3.4
_COLD: Final = 12.0  # conductance of a cold filament over a hot one
_ROUNDS: Final = 30


@dataclass(frozen=True, slots=True)
class Solved:
    """Conductor volts to hull and fault amps, shapes (states, c) and (states, f)."""

    volts: ComplexArray
    fault_amps: ComplexArray
    earth_amps: ComplexArray  # into the supply's earth, shape (states,)


def star(system: Supply) -> ComplexArray:
    """Return each conductor's voltage about the floating point, shape (c,) [V]."""
    if system.kind == "ac3":
        turn = np.exp(-2j * np.pi * np.arange(3) / 3.0)
        return np.asarray(system.volts / np.sqrt(3.0) * turn)
    return np.asarray(np.array([0.5, -0.5]) * system.volts, np.complex128)


def solve(
    system: Supply,
    ohms: Array,
    pole: "np.ndarray[tuple[int, ...], np.dtype[np.intp]]",
    *,
    earth: Array | float = 0.0,
    beside: ComplexArray | None = None,
) -> Solved:
    """Return volts and amperes of many states at once.

    Parameters
    ----------
    system : Supply
        The system, with its true insulation and capacitance.
    ohms : ndarray, shape (states, faults)
        Of each fault in each state; infinite where it does not stand. [Ω]
    pole : ndarray of int, shape (faults,)
        Conductor of each fault.
    earth : ndarray or float, shape (states,)
        Conductance from the earthed point of the supply to the hull. [S]
    beside : ndarray, shape (c,), optional
        Further admittance of each conductor, such as a meter's. [S]

    Returns
    -------
    Solved
        Phasors, rms.
    """
    source = star(system)
    y = np.zeros((len(ohms), len(source)), np.complex128)
    omega = 0.0 if system.direct else 2.0 * np.pi * system.hertz
    y += 1.0 / system.true_insulation + 1j * omega * system.true_capacitance
    if beside is not None:
        y += beside
    onto = np.equal.outer(pole, np.arange(len(source))).astype(float)
    y += (1.0 / ohms) @ onto
    tie = np.broadcast_to(np.asarray(earth, float), (len(ohms),))
    # a shore supply earths the star of three phases, the second conductor of two
    at = 0.0 if system.kind == "ac3" else complex(source[1])
    lamp = np.zeros(y.shape)
    volts = np.broadcast_to(source, y.shape)
    for k in range(_ROUNDS if system.lamps else 1):
        if system.lamps:
            new = _filament(np.abs(volts), system.lamps)
            lamp = new if k == 0 else np.sqrt(lamp * new)  # halfway, in the logarithm
        all_y = y + lamp
        floating = -((source * all_y).sum(axis=1) + at * tie) / (
            all_y.sum(axis=1) + tie
        )
        volts = source + floating[:, None]
    return Solved(
        volts=volts, fault_amps=volts[:, pole] / ohms, earth_amps=(floating + at) * tie
    )


def _filament(volts: Array, lamps: Lamps) -> Array:
    """Return the conductance that the line sees of each lamp [S]."""
    hot = lamps.watts / lamps.volts**2 / lamps.ratio**2
    part = np.maximum(volts / lamps.ratio / lamps.volts, 1e-9)
    return np.asarray(hot * np.minimum(part ** (_EXPONENT - 1.0), _COLD))


def lamps_at_rest(system: Supply) -> float:
    """Return what a small direct current meets in all lamps together [S].

    Cold filaments, or the windings of their transformers (500 Ω each, judgement).
    """
    lamps = system.lamps
    if lamps is None:
        return 0.0
    one = _COLD * lamps.watts / lamps.volts**2 if lamps.ratio == 1.0 else 1.0 / 500.0
    return one * len(system.conductors)


def pictures(volts: ComplexArray, lamps: Lamps, eye: Array | float = 1.0) -> Array:
    """Return what each lamp looks like: 0 out, 1 dim, 2 even, 3 bright; shape of volts.

    A watchkeeper tells two lamps apart whose light differs by half.
    """
    light = (np.abs(volts) / lamps.ratio / lamps.volts) ** 3.4 * eye
    seen = np.maximum(light, 0.005)
    most, least = seen.max(axis=-1)[..., None], seen.min(axis=-1)[..., None]
    code = np.where(1.5 * seen >= most, 3, np.where(seen <= 1.5 * least, 1, 2))
    return np.where(light < 0.005, 0, np.where(most > 1.5 * least, code, 2))


def least_visible(system: Supply) -> float:
    """Return the highest resistance of one fault that the lamps show [Ω]; 0: none."""
    if system.lamps is None:
        return system.alarm_ohm
    ohms = np.geomspace(1.0, 1e6, 121)
    code = pictures(solve(system, ohms[:, None], np.array([0])).volts, system.lamps)
    return float(ohms[np.ptp(code, axis=-1) > 0.0].max(initial=0.0))
