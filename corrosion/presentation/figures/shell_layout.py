"""The shell unfolded flat: where each zone lies on paper, for screen and report.

The hull is cut along the waterline's upper edge and opened at the keel: port above,
starboard below, bow at the left. Frames run true to scale; the other way runs the
girth of the hull that the estimate computes with, so that flat of bottom, bilge and
side all get the room that they have.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
import pandas as pd

from corrosion.foundation.json_values import rows_of
from corrosion.foundation.types import Array
from corrosion.hull.geometry.hull_lines import fit_hull_lines, section_points
from corrosion.presentation.figures.lanes import lines_of
from corrosion.records.ship import Form

_INSIDE: Final = frozenset({"bilge", "tank", "dry"})
_STATIONS: Final = 48
_PARTS: Final = 24
_OVERLAP: Final = 0.05
_LANE: Final = 0.085
_SHORTEST: Final = 1.0 / 14.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Patch:
    """Where one zone is drawn."""

    x: Array  # frames of its corners in order, (n,)
    y: Array  # girth from the keel of the same, port positive, (n,) [m]
    centre: tuple[float, float]  # where its marker and its words stand, same axes
    width: float  # room for words about the centre, in frames
    height: float  # the same in girth [m]
    beneath: bool = False  # in a row beneath the shell, with room for words beside


@dataclass(frozen=True, slots=True, kw_only=True)
class Lane:
    """A line of words at the left of the drawing, at its height."""

    label: str
    y: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ShellLayout:
    """The whole drawing: patches, waterlines and lanes."""

    patches: tuple[Patch, ...]  # one a zone, in the order of the table
    frames: Array  # frames along the waterlines
    # shape (m,): girth from the keel to the waterline; starboard is its negative [m]
    waterline: Array
    lanes: tuple[Lane, ...]  # what the parts of the drawing are called
    # left, right, bottom, top: ends of the drawing, in frames and metres of girth
    left: float
    right: float
    bottom: float
    top: float


def girth(form: Form, frames: Array, depth: float) -> Array:
    """Return the girth from the keel up to a depth, along the frames.

    Parameters
    ----------
    form : Form
        Main dimensions; the hull is the one that the estimate computes with.
    frames : ndarray, shape (m,)
        Frames, 0 at the forward perpendicular. [-]
    depth : float
        Below the waterline; negative is above it. [m]

    Returns
    -------
    ndarray, shape (m,)
        Girth; zero at and below the keel. [m]
    """
    if depth >= form.draught:
        return np.zeros(len(frames))
    along = frames * form.frame_spacing
    # Above the waterline the side is taken as upright: the form describes the wetted
    # hull alone, and the girth goes on by the height itself.
    points = section_points(
        fit_hull_lines(form), along, (max(depth, 0.0), form.draught), _PARTS
    )
    wetted = np.linalg.norm(np.diff(points, axis=1), axis=2).sum(axis=1)
    return np.asarray(wetted + max(-depth, 0.0))


def lay_out_shell(zones: pd.DataFrame, form: Form) -> ShellLayout:
    """Return where every zone is drawn.

    Zones inside the hull, parts that hang on a joint (column ``bonded_to``, where the
    table has it) and zones that would hide a larger one lie in rows beneath.

    ``zones``: columns ``side``, ``frame_from``, ``frame_to``, ``top_m``, ``bottom_m``
    and ``exposure``; a row a zone. ``form``: main dimensions.
    """
    rows = rows_of(zones)
    end = form.length / form.frame_spacing
    left = min([0.0, *(float(row["frame_from"]) for row in rows)])
    right = max([end, *(float(row["frame_to"]) for row in rows)])
    shell, inside, parts = _sorted_out(rows)
    patches = {index: _on_shell(rows[index], form) for index in shell}
    frames = np.linspace(left, right, _STATIONS)
    waterline = girth(form, frames, 0.0)
    # Zones above the waterline can reach higher than it: the drawing is cut at the
    # highest, the same on both sides, so that port mirrors starboard.
    top = max([float(waterline.max()), *(float(p.y.max()) for p in patches.values())])
    lanes = [Lane(label="Port", y=0.6 * top), Lane(label="Starboard", y=-0.6 * top)]
    bottom = -top
    height = _LANE * 2.0 * top
    for label, members in (("Inside", inside), ("Parts", parts)):
        if not members:
            continue
        bottom -= 0.5 * height
        highest = bottom
        lines = lines_of(
            np.array([float(rows[index]["frame_from"]) for index in members]),
            np.array([float(rows[index]["frame_to"]) for index in members]),
            least=_SHORTEST * (right - left),
        )
        for index, line in zip(members, lines, strict=True):
            floor = highest - (line + 1) * height
            patches[index] = _in_lane(rows[index], floor, 0.86 * height)
        bottom = highest - (int(lines.max()) + 1) * height
        lanes.append(Lane(label=label, y=0.5 * (highest + bottom)))
    return ShellLayout(
        patches=tuple(patches[index] for index in range(len(rows))),
        frames=frames,
        waterline=waterline,
        lanes=tuple(lanes),
        left=left,
        right=right,
        bottom=bottom,
        top=top,
    )


def _sorted_out(
    rows: Sequence[Mapping[str, Any]],
) -> tuple[list[int], list[int], list[int]]:
    """Part the zones into shell, inside and parts; the larger keeps the shell."""
    shell: list[int] = []
    inside: list[int] = []
    parts: list[int] = []
    # The largest first: a small zone that lies upon a large one is then the one that
    # moves beneath the shell, whatever the order of the table.
    for index in sorted(range(len(rows)), key=lambda k: -_extent(rows[k])):
        row = rows[index]
        fastened = isinstance(row.get("bonded_to"), str) and row["bonded_to"]
        if row["exposure"] in _INSIDE:
            inside.append(index)
        elif fastened or any(_hides(row, rows[other]) for other in shell):
            parts.append(index)
        else:
            shell.append(index)
    return shell, inside, parts


def _extent(row: Mapping[str, Any]) -> float:
    return float(
        (row["frame_to"] - row["frame_from"]) * (row["bottom_m"] - row["top_m"])
    )


def _hides(row: Mapping[str, Any], other: Mapping[str, Any]) -> bool:
    """Whether a zone would cover a good part of itself on another."""
    if row["side"] != other["side"] and "centre" not in {row["side"], other["side"]}:
        return False
    along = min(row["frame_to"], other["frame_to"]) - max(
        row["frame_from"], other["frame_from"]
    )
    down = min(row["bottom_m"], other["bottom_m"]) - max(row["top_m"], other["top_m"])
    return bool(along > 0.0 and down > 0.0 and along * down > _OVERLAP * _extent(row))


def _on_shell(row: Mapping[str, Any], form: Form) -> Patch:
    """Draw a zone on the unfolded shell, bent as the girth is."""
    share = (row["frame_to"] - row["frame_from"]) * form.frame_spacing / form.length
    # An odd number of stations, so that one of them is the middle of the zone.
    stations = 1 + 2 * max(round(0.5 * _STATIONS * share), 1)
    frames = np.linspace(row["frame_from"], row["frame_to"], stations)
    upper = girth(form, frames, float(row["top_m"]))
    lower = girth(form, frames, float(row["bottom_m"]))
    if row["side"] == "centre":
        lower = -upper
    sign = -1.0 if row["side"] == "starboard" else 1.0
    middle = stations // 2
    return Patch(
        x=np.concatenate([frames, frames[::-1]]),
        y=sign * np.concatenate([upper, lower[::-1]]),
        centre=(
            float(0.5 * (frames[0] + frames[-1])),
            float(0.5 * sign * (upper[middle] + lower[middle])),
        ),
        width=float(frames[-1] - frames[0]),
        height=float(upper[middle] - lower[middle]),
    )


def _in_lane(row: Mapping[str, Any], bottom: float, height: float) -> Patch:
    """Draw a zone as a plain strip in a row beneath the shell."""
    first, last = float(row["frame_from"]), float(row["frame_to"])
    top = bottom + height
    return Patch(
        x=np.array([first, last, last, first]),
        y=np.array([top, top, bottom, bottom]),
        centre=(0.5 * (first + last), 0.5 * (top + bottom)),
        width=last - first,
        height=height,
        beneath=True,
    )
