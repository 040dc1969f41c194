"""The floor's light against Mitsuba 3 (W. Jakob et al., mitsuba-renderer.org), rendered live.

LEDs are small squares that shine evenly all over (m = 1), as in the scene. A camera without
perspective looks down from a millimetre above the floor at matt patches of it. The renderer's
noise is the spread of its pixels between independent seeds; it is asserted and, with
`--junit-xml`, recorded beside the differences.

The camera is so low that it looks past everything but the legs that stand on the floor.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, NamedTuple

import numpy as np
import pytest

from lightcalc.physics.dots.diffusion import Array
from lightcalc.physics.room.bounce import bounced_maps
from lightcalc.physics.room.direct import light_map, lighting
from lightcalc.physics.room.grids import outline
from lightcalc.physics.room.lightmap import Grid
from lightcalc.physics.room.scene import Box, Point, Row, Scene

mi: Any = pytest.importorskip("mitsuba")

Say = Callable[[str, object], None]
SEEDS = (1, 2, 3, 4)
CAMERA_M = 1e-3
DOWN: Point = (0.0, 0.0, -1.0)
FLOOR_REFLECTANCE = 0.5


class Rendered(NamedTuple):
    """Mean of the seeds [lx] (u, v), and its relative standard error by pixel."""

    lux: Array
    noise: Array


@pytest.fixture(autouse=True, scope="module")
def _variant() -> None:
    mi.set_variant("scalar_rgb")


def row(
    first: Point, count: int, pitch: float = 1 / 60, axis: int = 0, facing: Point = DOWN
) -> Row:
    places = np.tile(first, (count, 1))
    places[:, axis] += pitch * np.arange(count)
    return Row("row", tuple(map(tuple, places)), facing, 20.0, 1.0, pitch, 0.003)


def led_squares(scene: Scene, folder: Path) -> dict[str, Any]:
    """All LEDs as one shape, so that the renderer spreads its samples evenly over them.

    Many shapes would come in a new order each time, and with them the noise of a seed.
    """
    first = scene.rows[0]
    half, corners = first.side_m / 2.0, []
    for leds in scene.rows:
        assert (leds.lumens, leds.side_m, leds.facing[:2]) == (first.lumens, 2.0 * half, (0.0, 0.0))
        turns = ((-1, -1), (-1, 1), (1, 1), (1, -1))[:: 1 if leds.facing == DOWN else -1]
        corners += [(x + half * i, y + half * j, z) for x, y, z in leds.places for i, j in turns]
    count = len(corners) // 4
    lines = ["ply", "format ascii 1.0", f"element vertex {4 * count}"]
    lines += [f"property float {axis}" for axis in "xyz"]
    lines += [f"element face {2 * count}", "property list uchar int vertex_indices", "end_header"]
    lines += [" ".join(map(str, corner)) for corner in corners]
    for k in range(0, 4 * count, 4):
        lines += [f"3 {k} {k + 1} {k + 2}", f"3 {k} {k + 2} {k + 3}"]
    path = folder / "leds.ply"
    path.write_text("\n".join(lines) + "\n")
    radiance = first.lumens / (np.pi * first.side_m**2)
    return {
        "type": "ply",
        "filename": str(path),
        "face_normals": True,
        "emitter": {"type": "area", "radiance": {"type": "rgb", "value": float(radiance)}},
        "bsdf": {"type": "diffuse", "reflectance": {"type": "rgb", "value": 0.0}},
    }


def block(box: Box) -> dict[str, Any]:
    low, high = np.array(box.low), np.array(box.high)
    return {
        "type": "cube",
        "to_world": mi.ScalarTransform4f()
        .translate(((low + high) / 2.0).tolist())
        .scale(((high - low) / 2.0).tolist()),
        "bsdf": {"type": "diffuse", "reflectance": {"type": "rgb", "value": list(box.colour)}},
    }


# The sampler wants squares of primes.
def rendered(scene: Scene, grid: Grid, samples: int, *, bounces: int = 0) -> Rendered:
    """Floor illuminance of the scene as the renderer has it, averaged over each cell."""
    u, v = grid.u_edges_m, grid.v_edges_m
    size = (u[-1] - u[0], v[-1] - v[0])
    middle = (float(u[0] + u[-1]) / 2.0, float(v[0] + v[-1]) / 2.0)
    description: dict[str, Any] = {
        "type": "scene",
        "integrator": {"type": "path", "max_depth": 2 + bounces, "rr_depth": 100},
        "floor": {
            "type": "rectangle",
            "to_world": mi.ScalarTransform4f().scale([20.0, 20.0, 1.0]),
            "bsdf": {"type": "diffuse", "reflectance": {"type": "rgb", "value": FLOOR_REFLECTANCE}},
        },
        "sensor": {
            "type": "orthographic",
            "near_clip": CAMERA_M / 10.0,
            "far_clip": 10.0 * CAMERA_M,
            "to_world": mi.ScalarTransform4f()
            .look_at([*middle, CAMERA_M], [*middle, 0.0], [0, 1, 0])
            .scale([size[0] / 2.0, size[1] / 2.0 * (len(u) - 1) / (len(v) - 1), 1.0]),
            "film": {
                "type": "hdrfilm",
                "width": len(u) - 1,
                "height": len(v) - 1,
                "rfilter": {"type": "box"},
                "pixel_format": "rgb",
            },
            "sampler": {"type": "orthogonal", "sample_count": samples},
        },
    }
    for box in scene.boxes:
        description[f"box{len(description)}"] = block(box)
    with TemporaryDirectory() as folder:
        description["leds"] = led_squares(scene, Path(folder))
        loaded = mi.load_dict(description, parallel=False)
    looks = [np.array(mi.render(loaded, spp=samples, seed=seed))[..., 0] for seed in SEEDS]
    # Lines of the image run from the top, so from great y down.
    lux = np.stack(looks)[:, ::-1].transpose(0, 2, 1) * np.pi / FLOOR_REFLECTANCE
    mean = lux.mean(axis=0)
    noise = lux.std(axis=0, ddof=1) / np.sqrt(len(SEEDS)) / np.maximum(mean, 1e-9)
    return Rendered(mean, noise)


def over_cells(scene: Scene, grid: Grid, parts: int = 15) -> Array:
    """Our light, averaged over parts x parts places in each cell, as a pixel averages."""
    u, v = (
        np.linspace(edges[0], edges[-1], (len(edges) - 1) * parts + 1)
        for edges in (grid.u_edges_m, grid.v_edges_m)
    )
    lux = light_map(lighting(scene), Grid("fine", 2, 1.0, 0.0, u, v)).lux
    return lux.reshape(len(grid.u_m), parts, len(grid.v_m), parts).mean(axis=(1, 3))


def patch(x: tuple[float, float], y: tuple[float, float], pixels: tuple[int, int]) -> Grid:
    u, v = (np.linspace(*ends, n + 1) for ends, n in zip((x, y), pixels, strict=True))
    return Grid("patch", 2, 1.0, 0.0, u, v)


def check(scene: Scene, grid: Grid, samples: int, say: Say) -> None:
    """Agree within 1 % in every lit pixel, and five times better all together."""
    theirs, ours = rendered(scene, grid, samples), over_cells(scene, grid)
    lit = theirs.lux > 0.02 * theirs.lux.max()
    error = np.abs(ours[lit] / theirs.lux[lit] - 1.0)
    noise = theirs.noise[lit]
    say("worst pixel", f"{error.max():.2%}")
    say("all pixels together", f"{ours.sum() / theirs.lux.sum() - 1.0:+.3%}")
    say("noise of a pixel", f"{np.sqrt((noise**2).mean()):.2%}, of the noisiest {noise.max():.2%}")
    assert np.sqrt((noise**2).mean()) < 1e-3
    assert error.max() < 0.01
    assert ours.sum() == pytest.approx(theirs.lux.sum(), rel=2e-3)


def test_floor_under_a_single_led_agrees_with_the_renderer(record_property: Say) -> None:
    scene = Scene((), (row((0.0, 0.0, 0.4), 1),), ())
    check(scene, patch((-0.1, 0.5), (-0.1, 0.3), (12, 8)), samples=31**2, say=record_property)


def test_floor_under_a_row_agrees_with_the_renderer(record_property: Say) -> None:
    scene = Scene((), (row((0.0, 0.0, 0.1), 60),), ())
    check(scene, patch((-0.1, 0.5), (-0.1, 0.3), (6, 4)), samples=127**2, say=record_property)


def test_floor_under_a_table_with_four_rows_and_legs_agrees_with_the_renderer(
    record_property: Say,
) -> None:
    legs = (
        Box(f"leg {x} {y}", (x, y, 0.0), (x + 0.05, y + 0.05, 0.4))
        for x in (0.04, 1.11)
        for y in (0.04, 0.51)
    )
    pitch = 1 / 30
    rows = (
        row((0.1, 0.03, 0.395), 30, pitch),
        row((0.1, 0.57, 0.395), 30, pitch),
        row((0.03, 0.1, 0.395), 12, pitch, axis=1),
        row((1.17, 0.1, 0.395), 12, pitch, axis=1),
    )
    scene = Scene((Box("top", (0.0, 0.0, 0.40), (1.2, 0.6, 0.43)), *legs), rows, ())
    # Round a leg and its shadows; legs fill pixels of their own.
    check(scene, patch((-0.26, 0.54), (-0.26, 0.29), (16, 11)), samples=67**2, say=record_property)


def test_light_by_way_of_a_top_agrees_with_the_renderer_within_a_tenth(
    record_property: Say,
) -> None:
    up = row((0.2, 0.2, 0.3), 20, 0.02, facing=(0.0, 0.0, 1.0))
    scene = Scene((Box("top", (0.0, 0.0, 0.40), (0.8, 0.4, 0.43)),), (up,), ())
    grid = patch((-0.1, 0.9), (-0.1, 0.5), (5, 3))
    theirs = rendered(scene, grid, 149**2, bounces=1)
    assert theirs.noise.max() < 0.02
    floor = bounced_maps(scene, lighting(scene), outline(scene))[0]
    ours = floor.at(grid.middles_m().reshape(-1, 3)).sum(axis=0).reshape(theirs.lux.shape)
    record_property("worst patch", f"{np.abs(ours / theirs.lux - 1.0).max():.1%}")
    assert ours == pytest.approx(theirs.lux, rel=0.1)
