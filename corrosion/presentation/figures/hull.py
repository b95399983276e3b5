"""The wetted hull in three dimensions, each panel coloured by its value."""

import numpy as np
import plotly.graph_objects as go

from corrosion.foundation.types import Array
from corrosion.presentation import format as fmt
from corrosion.presentation.figures import theme
from corrosion.presentation.format import number


def hull_3d(corners: Array, values: Array, *, label: str, unit: str) -> go.Figure:
    """Draw a hull seen from below: rust where a value is positive, blue where negative.

    Parameters
    ----------
    corners : ndarray, shape (n, 4, 3)
        Corners of the panels, z <= 0 under water; a triangle repeats one. [m]
    values : ndarray, shape (n,)
        A value for each panel, in ``unit``; positive leaves the steel. [-]
    label, unit : str
        What the values are, for the colour bar.
    """
    panels = len(corners)
    points = corners.reshape(-1, 3)
    first = 4 * np.arange(panels)
    reach = float(np.abs(values).max(initial=0.0)) or 1.0
    most = int(np.argmax(np.abs(values))) if panels else 0
    said = "no panels"
    if panels:
        x = float(corners[most, :, 0].mean())
        amount = fmt.quantity(float(values[most]), unit)
        said = f"most, {amount}, {number(x, 2)} m along"
    figure = theme.new_figure(420, f"Hull of {panels} panels, {label.lower()}: {said}.")
    figure.add_mesh3d(
        x=points[:, 0],
        y=points[:, 1],
        z=points[:, 2],
        i=np.concatenate([first, first]),
        j=np.concatenate([first + 1, first + 2]),
        k=np.concatenate([first + 2, first + 3]),
        intensity=np.concatenate([values, values]),
        intensitymode="cell",
        coloraxis="coloraxis",
        flatshading=True,
        lighting={"ambient": 0.85, "diffuse": 0.25, "specular": 0.0},
        hovertemplate="%{x:.0f} m along, depth %{z:.1f} m<extra></extra>",
    )
    figure.add_scatter3d(
        x=[float(points[:, 0].min()), float(points[:, 0].max())] if panels else [],
        y=[0.0, 0.0] if panels else [],
        z=[0.0, 0.0] if panels else [],
        mode="text",
        text=["bow", "stern"],
        hoverinfo="skip",
        showlegend=False,
    )
    size = np.ptp(points, axis=0) if panels else np.ones(3)
    ratio = 2.2 * size / float(size.max())
    hidden = {"visible": False}
    figure.update_layout(
        coloraxis=theme.colour_axis(
            (-reach, reach), theme.DIVERGING, f"{label} ({unit})"
        ),
        scene={
            "aspectmode": "manual",
            "aspectratio": dict(zip("xyz", ratio.tolist(), strict=True)),
            "xaxis": hidden,
            "yaxis": hidden,
            "zaxis": hidden,
            "camera": {"eye": {"x": -0.7, "y": -1.75, "z": -0.9}},
        },
    )
    return figure
