"""Light on the floor or the wall, as a map with the piece drawn on it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from lightcalc.answers.look.look import Looked
from lightcalc.answers.words import Shower
from lightcalc.physics.dots.diffusion import Array
from lightcalc.physics.room.lightmap import Grid, LightMap
from lightcalc.screens.charts.chart import Chart
from lightcalc.screens.charts.lengths import Lengths, lengths_for
from lightcalc.screens.charts.style import LEGEND, Spec, figure, literal
from lightcalc.units import scale

# Light further than that from the piece says little; the map itself goes far beyond.
_ROUND_PIECE_M = 0.6
_AXES = ("From the left", "From the front", "Above the floor")
# Dark to bright for every eye; "Cividis" was made for colour-blind ones (Nunez, Anderton and
# Renslow 2018, PLoS ONE 13(7), e0199239).
_SCALE = "Cividis"
_BEYOND = ("To the left of the piece", "Before the front", "Below the floor")
_BOUNCED = "with what wood, wall and floor send on, so more than straight from the LEDs"
_UNITS = {"metric": "lx", "inch": "fc"}
# The key has a dark ground of its own, since it explains white lines on light and dark pages.
_KEY_COLOURS = {"bgcolor": "#333333", "font": {"color": "#ffffff"}}


def floor_map(looked: Looked, show: Shower) -> Chart:
    """Draw the light on the floor from above, with the outlines of the piece's blocks."""
    return _map(looked, looked.light.floor, "the floor", show)


def wall_map(looked: Looked, show: Shower) -> Chart | None:
    """Draw the light on the wall from the front; None where there is no wall."""
    wall = looked.light.wall
    return None if wall is None else _map(looked, wall, "the wall", show)


def _map(looked: Looked, light: LightMap, where: str, show: Shower) -> Chart:
    grid = light.grid
    across, up = grid.plane_axes
    columns, lines = _near(looked, grid)
    u_m, v_m = grid.u_edges_m, grid.v_edges_m
    u_m, v_m = (u_m[columns.start : columns.stop + 1], v_m[lines.start : lines.stop + 1])
    lengths = lengths_for(float(u_m[-1] - u_m[0]), show)
    unit = _UNITS[show.system]
    lux = light.lux[columns, lines]
    shown = lux / scale(unit, "illuminance").factor
    x_axis = lengths.axis(_AXES[across], float(u_m[0]), float(u_m[-1]))
    y_axis = lengths.axis(_AXES[up], float(v_m[0]), float(v_m[-1]))
    bright = _brightest(light, lengths)
    room = f"the room's own {show.lux(looked.look.room_lux)} come on top"
    return Chart(
        title=f"Light on {where}",
        says=f"At its brightest {where} gets {bright}, {_BOUNCED}; {room}.",
        figure=figure(
            [
                _heat(lengths.of(u_m), lengths.of(v_m), shown, (lengths, unit, where)),
                *_outlines(looked, grid, lengths),
                *_leds(looked, grid, lengths),
            ],
            height=340,
            margin={"l": 8, "r": 14, "t": 8, "b": 115},
            legend=LEGEND | _KEY_COLOURS,
            xaxis=x_axis | {"constrain": "domain", "showgrid": False},
            yaxis=y_axis
            | {"scaleanchor": "x", "constrain": "domain", "showgrid": False, "nticks": 5},
        ),
        columns=(
            *(f"{_AXES[k].lower()} ({lengths.unit})" for k in (across, up)),
            f"light ({unit})",
        ),
        rows=tuple(_rows(lengths.of(grid.u_m[columns]), lengths.of(grid.v_m[lines]), shown)),
        file_name=f"light-on-{where.replace(' ', '-')}.csv",
        alt=f"Map of the light on {where}, dark to bright, with the outlines of the piece. "
        f"At its brightest {bright}.",
    )


def _rows(x: Sequence[float], y: Sequence[float], shown: Array) -> Iterator[tuple[float, ...]]:
    for x_one, column in zip(x, shown.tolist(), strict=True):
        for y_one, light in zip(y, column, strict=True):
            yield x_one, y_one, light


def _near(looked: Looked, grid: Grid) -> tuple[slice, slice]:
    """Return the cells round the piece, along both axes of the map."""
    low = np.min([box.low for box in looked.scene.boxes], axis=0) - _ROUND_PIECE_M
    high = np.max([box.high for box in looked.scene.boxes], axis=0) + _ROUND_PIECE_M
    if looked.scene.wall is not None:
        high[1] = min(high[1], looked.scene.wall.y_m)
    cells = []
    for k, middles_m in zip(grid.plane_axes, (grid.u_m, grid.v_m), strict=True):
        first, last = np.searchsorted(middles_m, [low[k], high[k]])
        cells.append(slice(int(first), max(int(last), int(first) + 1)))
    return cells[0], cells[1]


def _brightest(light: LightMap, lengths: Lengths) -> str:
    lux = light.lux
    place_m = light.grid.middles_m()[np.unravel_index(int(lux.argmax()), lux.shape)]
    show, (across, up) = lengths.show, light.grid.plane_axes
    # To a centimetre or an inch: cells are no finer.
    step_m = scale("in" if lengths.unit == "in" else "cm", "length").factor
    rounded_m = [round(float(at_m) / step_m) * step_m for at_m in place_m]
    places = " and ".join(
        f"{show.length(abs(rounded_m[k]))} {(_BEYOND if rounded_m[k] < 0.0 else _AXES)[k].lower()}"
        for k in (across, up)
    )
    return f"{show.lux(float(lux.max()))}, {places}"


def _heat(
    x: Sequence[float], y: Sequence[float], shown: Array, words: tuple[Lengths, str, str]
) -> Spec:
    lengths, unit, where = words
    digits = {"m": ".2f", "mm": ".0f", "in": ".0f"}[lengths.unit]
    return {
        "type": "heatmap",
        "x": x,
        "y": y,
        "z": shown.T.tolist(),
        "zmin": 0.0,
        "colorscale": _SCALE,
        "colorbar": {
            "orientation": "h",
            "ticksuffix": f" {unit}",
            "thickness": 12,
            "yref": "container",
            "y": 0.09,
            "yanchor": "bottom",
            "nticks": 5,
        },
        # No name from a file is in it: only here does Plotly put the numbers in.
        "hovertemplate": (
            f"{where.capitalize()}, %{{x:{digits}}} and %{{y:{digits}}} {lengths.unit}:"
            f"<br>%{{z:.2r}} {unit}<extra></extra>"
        ),
    }


def _outlines(looked: Looked, grid: Grid, lengths: Lengths) -> Iterator[Spec]:
    """Blocks and inlays as the map's eye sees them; dark below light, to show on every colour."""
    u: list[float | None] = []
    v: list[float | None] = []
    for outline_m in _corners(looked, grid):
        u += [*lengths.of([place[0] for place in outline_m]), None]
        v += [*lengths.of([place[1] for place in outline_m]), None]
    shared = {"type": "scatter", "mode": "lines", "x": u, "y": v, "hoverinfo": "skip"}
    yield shared | {"line": {"color": "#000000", "width": 4}, "showlegend": False}
    yield shared | {"line": {"color": "#ffffff", "width": 1.5}, "name": "the piece"}


def _corners(looked: Looked, grid: Grid) -> Iterator[list[tuple[float, float]]]:
    """Yield closed outlines on the plane of a map, corner by corner [m]."""
    across, up = grid.plane_axes
    boxes = {box.name: box for box in looked.scene.boxes}
    for box in boxes.values():
        (u, v), (far_u, far_v) = (box.low[across], box.low[up]), (box.high[across], box.high[up])
        yield [(u, v), (far_u, v), (far_u, far_v), (u, far_v), (u, v)]
    for insert in looked.scene.inserts:
        host = boxes[insert.host]
        thin = min(range(3), key=lambda k: host.high[k] - host.low[k])
        if thin == grid.axis:
            yield [*insert.corners, insert.corners[0]]


def _leds(looked: Looked, grid: Grid, lengths: Lengths) -> Iterator[Spec]:
    """Every side of a run, as a line from its first LED to its last."""
    across, up = grid.plane_axes
    for number, row in enumerate(looked.scene.rows):
        ends = (row.places[0], row.places[-1])
        yield {
            "type": "scatter",
            "mode": "lines+markers",
            "x": lengths.of([place[across] for place in ends]),
            "y": lengths.of([place[up] for place in ends]),
            "line": {"color": "#ffffff", "width": 2, "dash": "dot"},
            "marker": {"color": "#ffffff", "size": 7, "line": {"color": "#000000", "width": 1}},
            "name": "LEDs",
            "legendgroup": "LEDs",
            "showlegend": number == 0,
            "hoverinfo": "text",
            "hovertext": [f"LEDs of {literal(row.name)}"] * 2,
        }
