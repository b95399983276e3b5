r"""Where currents leave the steel by an interface with the water that is not linear.

The network of :mod:`corrosion.hull.water_currents`, with the law of
:mod:`corrosion.hull.nonlinear.polarisation` in place of a resistance, and with a
galvanic isolator as what it is: open below its threshold, conducting above. With *x*
the polarisation of each wetted zone about its rest, *u* the hull's reference zone over
the shore electrode, *I(x)* the current leaving each zone, *c(u)* that in the protective
conductor and *s = K J*,

.. math::
   I(x) &= B^{-1} (u 1 + s - x) \\
   \textstyle\sum I + c(u - E) &= \textstyle\sum J \\
   B &= R + K - m 1^T - 1 m^T + R_s 1 1^T
"""

from dataclasses import replace

import numpy as np
import numpy.typing as npt

from corrosion.foundation.errors import InputError
from corrosion.foundation.types import Array
from corrosion.hull.model import Hull
from corrosion.hull.nonlinear.newton import (
    BALANCED,
    NonlinearNetwork,
    iterate,
    newton_step,
)
from corrosion.hull.nonlinear.polarisation import polarisation
from corrosion.hull.nonlinear.secant import nonlinear_network
from corrosion.hull.uncertain import median_paths
from corrosion.records.ship import Berth


def linear_and_nonlinear(
    hull: Hull, injected_a: npt.ArrayLike, berth: Berth, protection: npt.ArrayLike = 0.0
) -> tuple[Array, Array]:
    """Return what leaves each zone by the linear interface, and by the Tafel law.

    Parameters
    ----------
    hull : Hull
        The hull, its coating as last seen, its unknowns at their medians.
    injected_a : array_like, shape (zones,) or (cases, zones)
        Direct current into the steel of each zone; negative where it is taken out.
        What does not sum to zero returns ashore. [A]
    berth : Berth
        How she lies: protective conductor, isolator, shore earth, couple.
    protection : array_like, shape () or (zones,), optional
        Cathodic protection that reaches the bare steel of each zone, >= 0: the rest
        about which a stray current polarises it. Where that comes from is left as it
        is. [A/m²]

    Returns
    -------
    linear, nonlinear : ndarray, shape (zones,) or (cases, zones)
        Current leaving each zone, positive out of the steel into the water, the
        couple's included and the protection's not; NaN where a nonlinear case cannot be
        balanced. Linear, no protection holds the steel, and an isolator conducts
        nothing. [A]

    Raises
    ------
    InputError
        If there is not one finite current a zone, or a protection is negative.
    """
    free, shape = _system(hull, injected_a, berth, 0.0)
    if not free.source.size:  # no zone conducts into the sea
        return np.zeros(shape), np.zeros(shape)
    rest = np.zeros((len(free.total), free.source.shape[1] + 1))
    flat = (
        replace(free, conductance=np.zeros_like(free.conductance))
        if free.threshold
        else free
    )
    linear = flat.leaving(newton_step(flat, rest, flat.unbalance(rest)))
    system, _ = _system(hull, injected_a, berth, protection)
    z, off = iterate(system, rest, within=BALANCED)
    nonlinear = np.where(off[:, None], np.nan, system.leaving(z))
    return _placed(hull, linear, shape), _placed(hull, nonlinear, shape)


def _placed(hull: Hull, leaving: Array, shape: tuple[int, ...]) -> Array:
    out = np.zeros((len(leaving), len(hull.bare)))
    out[:, hull.body.zones] = leaving
    return out.reshape(shape) if len(out) == 1 else out


def _checked(hull: Hull, injected_a: npt.ArrayLike) -> Array:
    amps = np.asarray(injected_a, dtype=np.float64)
    count = len(hull.bare)
    if amps.ndim not in (1, 2) or amps.shape[-1] != count:
        msg = (
            f"linear_and_nonlinear: injected_a must have one current a zone, shape "
            f"({count},) or (cases, {count}), got {amps.shape}."
        )
        raise InputError(msg)
    if not np.isfinite(amps).all():
        msg = (
            f"linear_and_nonlinear: injected_a must be finite (A), got "
            f"{amps[~np.isfinite(amps)][0]}. Leave out what is not known."
        )
        raise InputError(msg)
    return amps


def _system(
    hull: Hull, injected_a: npt.ArrayLike, berth: Berth, protection: npt.ArrayLike
) -> tuple[NonlinearNetwork, tuple[int, ...]]:
    """Return the equations, and the shape in which one case is wanted."""
    amps = _checked(hull, injected_a)
    shield = _shield(hull, protection)
    paths = median_paths(hull.assumptions)
    interface = paths.interface[:, None]
    system = nonlinear_network(
        hull,
        berth,
        np.atleast_2d(amps),
        paths=paths,
        bare=hull.bare[hull.body.zones],
        rest=polarisation(-shield, interface, assumptions=hull.assumptions)
        if shield.any()
        else 0.0,
    )
    return system, amps.shape


def _shield(hull: Hull, protection: npt.ArrayLike) -> Array:
    every = np.broadcast_to(np.asarray(protection, dtype=np.float64), hull.bare.shape)
    if not (every >= 0.0).all():
        msg = (
            f"linear_and_nonlinear: protection must not be negative (A/m²), got "
            f"{every.min():g} A/m². Give what enters the steel as positive."
        )
        raise InputError(msg)
    return every[hull.body.zones]
