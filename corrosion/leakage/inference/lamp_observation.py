"""Lamp pictures as written down: which words say the same, and what eyes make of it."""

from itertools import combinations

import numpy as np

from corrosion.foundation.types import Array, IntArray
from corrosion.leakage.filament import LampLaw, light_share
from corrosion.leakage.lamp_pattern import PICTURES, picture_of_light
from corrosion.records.ship import LampSet, Picture

_EYES = 16  # ways of seeing one set of lamps, quasi-random
_BLOCK = 512  # states looked at at a time


def observation_probability(seen: tuple[Picture | None, ...], law: LampLaw) -> Array:
    """Return the chance that each picture is written down as this one was.

    Parameters
    ----------
    seen : tuple of (str or None)
        What was written down of each lamp.
    law : LampLaw
        How often a picture is written down in two words only.

    Returns
    -------
    ndarray, shape (pictures,)
        By the number of the picture; see `pattern_codes`. [-]
    """
    count = len(seen)
    pictures = np.indices((len(PICTURES),) * count).reshape(count, -1).T
    coarse = law.coarse_chance
    mixed = np.any(pictures == 2, axis=1) & np.any(pictures != 2, axis=1)
    merged = [np.where((pictures == 2) & mixed[:, None], k, pictures) for k in (1, 3)]
    agrees = (1.0 - coarse) * _agrees(pictures, seen)
    for each in merged:
        agrees = agrees + 0.5 * coarse * _agrees(each, seen)
    return agrees


def _agrees(pictures: IntArray, seen: tuple[Picture | None, ...]) -> Array:
    """Return 1 where a picture is in the order that was written down, else 0."""
    noted = {k: PICTURES.index(word) for k, word in enumerate(seen) if word}
    same = np.ones(len(pictures), dtype=np.bool_)
    for k, code in noted.items():
        same &= (pictures[:, k] == 0) == (code == 0)
        if len(noted) == 1:
            same &= pictures[:, k] == code
    for (i, one), (j, two) in combinations(noted.items(), 2):
        same &= np.sign(pictures[:, i] - pictures[:, j]) == np.sign(one - two)
    return same.astype(np.float64)


def pattern_codes(lamps: LampSet, volts: Array, eye: float, law: LampLaw) -> IntArray:
    """Return one number for each picture as seen, by some eyes.

    Parameters
    ----------
    lamps : LampSet
    volts : ndarray, shape (c, ...)
        Magnitude of each conductor to hull, conductors first. [V]
    eye : float
        Standard deviation of the logarithm of light as seen. [-]
    law : LampLaw
        How lamps give light, and what an eye tells apart.

    Returns
    -------
    ndarray of int, shape (..., eyes)
        Positions in `observation_probability`.
    """
    from scipy.special import ndtri  # noqa: PLC0415 - importing corrosion stays light

    count = len(volts)
    lattice = np.outer([1.0 / _EYES, 0.7549, 0.5698][:count], np.arange(_EYES))
    noise = np.exp(eye * ndtri((lattice + 0.5 / _EYES) % 1.0))
    base = [len(PICTURES) ** k for k in reversed(range(count))]
    light = light_share(volts / lamps.ratio, rated_volts=lamps.volts, law=law)
    light = light.reshape(count, -1)
    codes = np.empty((light.shape[1], _EYES), dtype=np.int64)
    for start in range(0, len(codes), _BLOCK):  # a part at a time stays small
        part = slice(start, start + _BLOCK)
        seen = light[:, part, None] * noise[:, None]
        each = np.moveaxis(picture_of_light(np.moveaxis(seen, 0, -1), law), -1, 0)
        codes[part] = sum(lamp * worth for lamp, worth in zip(each, base, strict=True))
    return codes.reshape(*volts.shape[1:], _EYES)
