"""Meshes of bodies whose resistance is known in closed form."""

import numpy as np

from corrosion.foundation.types import Array
from corrosion.records.ship import Zone


def quads(grid: Array) -> Array:
    """Panels between the points of a grid, shape (a, b, 3)."""
    corners = [grid[:-1, :-1], grid[1:, :-1], grid[1:, 1:], grid[:-1, 1:]]
    return np.stack(corners, axis=2).reshape(-1, 4, 3)


def spheroid(half_length: float, radius: float, along: int, around: int) -> Array:
    """Lower half of a spheroid whose axis lies along x in the water surface."""
    polar = np.linspace(0.0, np.pi, along + 1)
    turn = np.linspace(0.0, np.pi, around + 1)
    ring = radius * np.sin(polar)
    ring[-1] = 0.0
    x = np.broadcast_to(-half_length * np.cos(polar)[:, None], (along + 1, around + 1))
    y, z = np.outer(ring, np.cos(turn)), -np.outer(ring, np.sin(turn))
    z[:, -1] = 0.0
    return quads(np.stack([x, y, z], axis=-1))


def rings(radius: float, count: int) -> Array:
    """Radii from 0 to the rim, closer together towards the rim."""
    return radius * np.sin(np.linspace(0.0, np.pi / 2.0, count + 1))


def floating_disk(radius: float, outwards: int, around: int) -> Array:
    """A disk in the water surface."""
    turn = np.linspace(0.0, 2.0 * np.pi, around + 1)
    r = rings(radius, outwards)[:, None]
    x, y = r * np.cos(turn), r * np.sin(turn)
    return quads(np.stack([x, y, np.zeros_like(x)], axis=-1))


def standing_disk(radius: float, thickness: float, outwards: int, around: int) -> Array:
    """Lower half of a thin disk that stands in the centre plane, closed at its rim."""
    turn = np.linspace(0.0, np.pi, around + 1)
    r = np.concatenate([rings(radius, outwards), rings(radius, outwards)[::-1]])
    y = np.repeat([0.5, -0.5], outwards + 1) * thickness
    x, z = np.outer(r, np.cos(turn)), -np.outer(r, np.sin(turn))
    z[:, -1] = 0.0
    return quads(np.stack([x, np.broadcast_to(y[:, None], x.shape), z], axis=-1))


def zone(
    name: str,
    frames: tuple[float, float],
    side: str,
    depths: tuple[float, float],
    **more: object,
) -> Zone:
    """A zone of which only its place matters."""
    facts = {
        "zone": name,
        "name": name,
        "frame_from": frames[0],
        "frame_to": frames[1],
        "side": side,
        "top": depths[0],
        "bottom": depths[1],
        "exposure": "immersed",
        "built": 0.012,
        "limit": 0.009,
        "pit_limit": 0.006,
    }
    return Zone(**(facts | more))  # type: ignore[arg-type]  # keywords by name
