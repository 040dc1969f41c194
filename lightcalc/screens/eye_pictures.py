"""The picture from each eye of a look, as PNG."""

from __future__ import annotations

from collections.abc import Iterator

from lightcalc.answers.look.look import Looked, dots_cd_m2
from lightcalc.physics.room.picture import picture, stage
from lightcalc.physics.room.tone import adaptation_cd_m2, screen_bytes
from lightcalc.screens.png import png_bytes


def eye_pictures(looked: Looked, adapted_to: dict[str, float]) -> Iterator[tuple[str, bytes]]:
    """Yield each eye's name and its picture.

    `adapted_to` holds the luminance [cd/m2] that each eye is adapted to and is filled in for eyes
    that it lacks: pictures of several looks that share it can be compared.
    """
    ready = stage(looked.scene, looked.light)
    for eye in looked.scene.eyes:
        seen = picture(ready, eye)
        looked_at = dots_cd_m2(looked.look, eye.name)
        cd_m2 = adapted_to.setdefault(eye.name, adaptation_cd_m2(seen, looked_at))
        yield eye.name, png_bytes(screen_bytes(seen, cd_m2))
