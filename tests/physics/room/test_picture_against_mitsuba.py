"""A whole picture against a path tracer that renders the same scene: Mitsuba 3, live.

W. Jakob and others, Mitsuba 3 renderer (https://mitsuba-renderer.org). Direct light only, so that
both have the same physics; the lamp is a small Lambertian square.
"""

from typing import Any

import numpy as np
import pytest

from lightcalc.physics.room.camera import camera
from lightcalc.physics.room.glow import glow
from lightcalc.physics.room.picture import linear_picture, stage
from lightcalc.physics.room.scene import Box, Eye, Floor, Row, Scene, Wall

mi = pytest.importorskip("mitsuba")

WIDTH, HEIGHT = 160, 120
SIDE = 0.01
WOOD = (0.4, 0.3, 0.2)
FLOOR, WALL = (0.3, 0.25, 0.2), (0.6, 0.6, 0.55)
LAMP = (0.55, 0.12, 0.38)
LUMENS = 100.0
EYE = Eye("sofa", (0.2, -1.6, 1.1), (0.5, 0.1, 0.25))


def boxes() -> tuple[Box, ...]:
    top = Box("top", (0.0, 0.0, 0.40), (1.0, 0.4, 0.43), WOOD)
    legs = [(0.02, 0.02), (0.93, 0.02), (0.02, 0.33), (0.93, 0.33)]
    return top, *(
        Box(f"leg {k}", (x, y, 0.0), (x + 0.05, y + 0.05, 0.40), WOOD)
        for k, (x, y) in enumerate(legs)
    )


def ours() -> np.ndarray:
    row = Row("lamp", (LAMP,), (0.0, 0.0, -1.0), LUMENS, 1.0, 0.01, SIDE)
    scene = Scene(boxes(), (row,), (EYE,), (), Floor(FLOOR, 0.0), Wall(0.8, WALL), room_lux=0.0)
    return linear_picture(stage(scene, glow(scene)), camera(EYE, WIDTH, HEIGHT))


def theirs(seed: int) -> np.ndarray:
    mi.set_variant("scalar_rgb")
    move = mi.ScalarTransform4f

    def matt(colour: tuple[float, ...]) -> dict[str, Any]:
        return {"type": "diffuse", "reflectance": {"type": "rgb", "value": list(colour)}}

    def plane(centre: tuple[float, ...], target: tuple[float, ...], size: float) -> Any:
        up = [1, 0, 0]
        return move().look_at(origin=list(centre), target=list(target), up=up) @ move().scale(size)

    radiance = LUMENS / np.pi / SIDE**2
    scene: dict[str, Any] = {
        "type": "scene",
        "integrator": {"type": "path", "max_depth": 2},
        "sensor": {
            "type": "perspective",
            "fov": 50.0,
            "fov_axis": "x",
            "to_world": move().look_at(list(EYE.place), list(EYE.looks_at), [0, 0, 1]),
            "film": {
                "type": "hdrfilm",
                "width": WIDTH,
                "height": HEIGHT,
                "rfilter": {"type": "box"},
                "component_format": "float32",
                "pixel_format": "rgb",
            },
            "sampler": {"type": "independent", "sample_count": 64, "seed": seed},
        },
        "floor": {"type": "rectangle", "to_world": plane((0, 0, 0), (0, 0, 1), 4.5),
                  "bsdf": matt(FLOOR)},
        "wall": {"type": "rectangle", "to_world": plane((0, 0.8, 0), (0, 0, 0), 4.5),
                 "bsdf": matt(WALL)},
        "lamp": {"type": "rectangle", "to_world": plane(LAMP, (LAMP[0], LAMP[1], 0), SIDE / 2),
                 "emitter": {"type": "area", "radiance": {"type": "rgb", "value": radiance}}},
    }  # fmt: skip
    for box in boxes():
        low, high = np.array(box.low), np.array(box.high)
        shape = move().translate(list((low + high) / 2)) @ move().scale(list((high - low) / 2))
        scene[box.name] = {"type": "cube", "to_world": shape, "bsdf": matt(box.colour)}
    return np.array(mi.render(mi.load_dict(scene), seed=seed))


def test_a_picture_is_that_of_a_path_tracer() -> None:
    got, wanted, again = ours(), theirs(1), theirs(2)
    bright = wanted.mean(axis=2).max() * 0.01
    light = (wanted + again).mean(axis=2) / 2.0
    noise = np.abs(wanted - again).mean(axis=2) / np.maximum(light, bright)
    off = np.abs(got.mean(axis=2) - light) / np.maximum(light, bright)
    assert np.median(noise) < 0.02
    assert np.median(off[light > bright]) < 0.01
    # Edges, and the rims of shadows within a cell of the light maps, are what differs.
    assert (off < 0.05).mean() > 0.9
    assert got.sum() == pytest.approx(wanted.sum(), rel=0.01)
