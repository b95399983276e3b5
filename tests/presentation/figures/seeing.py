"""How colours are seen: CIELAB, and the common kinds of colour vision."""

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

# Linear sRGB to CIE XYZ, D65 (IEC 61966-2-1, from memory).
_XYZ = np.array(
    [
        [0.4124564, 0.3575761, 0.1804375],
        [0.2126729, 0.7151522, 0.0721750],
        [0.0193339, 0.1191920, 0.9503041],
    ]
)

# Machado, Oliveira & Fernandes 2009, severity 1.0 (from memory), on linear sRGB.
VISION = {
    "full": np.eye(3),
    "protan": np.array(
        [
            [0.152286, 1.052583, -0.204868],
            [0.114503, 0.786281, 0.099216],
            [-0.003882, -0.048116, 1.051998],
        ]
    ),
    "deutan": np.array(
        [
            [0.367322, 0.860646, -0.227968],
            [0.280085, 0.672501, 0.047413],
            [-0.011820, 0.042940, 0.968881],
        ]
    ),
    "tritan": np.array(
        [
            [1.255528, -0.076749, -0.178779],
            [-0.078411, 0.930809, 0.147602],
            [0.004733, 0.691367, 0.303900],
        ]
    ),
}


def linear(colour: str) -> Floats:
    """Return linear red, green and blue of ``#rrggbb``."""
    channels = np.array([int(colour[i : i + 2], 16) for i in (1, 3, 5)]) / 255.0
    return np.where(
        channels <= 0.04045, channels / 12.92, ((channels + 0.055) / 1.055) ** 2.4
    )


def lab(colour: str, vision: str = "full") -> Floats:
    """Return CIELAB of a colour as somebody sees it."""
    seen = np.clip(VISION[vision] @ linear(colour), 0.0, 1.0)
    t = (_XYZ @ seen) / _XYZ.sum(axis=1)
    f = np.where(t > (6 / 29) ** 3, np.cbrt(t), t / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def lightness(colours: list[str]) -> Floats:
    """Return what is left of colours in grey."""
    return np.array([lab(colour)[0] for colour in colours])


def nearest(colours: list[str], vision: str) -> float:
    """Return the least distance between two colours of a list (CIE 1976)."""
    seen = np.array([lab(colour, vision) for colour in colours])
    apart = np.linalg.norm(seen[:, None] - seen[None], axis=2)
    return float(apart[np.triu_indices(len(colours), 1)].min())
