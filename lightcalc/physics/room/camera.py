r"""A pinhole camera in the place of an eye: which way each pixel looks, and where a point lands.

::

                      . right end of the picture
                 .    |
      eye  *----------+---------> forward, through the middle of the picture
            \    .    |
             \        . left end        focal_px: from the eye to the picture, in pixels

Pixels are counted from the upper left corner; a pixel's middle is at a half. Straight lines stay
straight, so a square towards the rim looks drawn out to whoever sits too far from the picture.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from lightcalc.physics.room.scene import Eye

Array = npt.NDArray[np.float64]

# About what an eye takes in of a piece without turning; a lens of 39 mm on 36 mm film.
USUAL_VIEW_DEG = 50.0
WIDTH_PX, HEIGHT_PX = 640, 480


class Landing(NamedTuple):
    """Where points land, each of shape (n,); `depth_m` is along the way the camera looks."""

    x_px: Array
    y_px: Array
    depth_m: Array


@dataclass(frozen=True, eq=False)
class Camera:
    """A picture's frame: unit vectors forward, right and up, and the picture's measures."""

    place: Array
    forward: Array
    right: Array
    up: Array
    focal_px: float
    width_px: int
    height_px: int

    def directions(self, x_px: npt.ArrayLike, y_px: npt.ArrayLike) -> Array:
        """Give the ways (n, 3), not of unit length, in which places (n,) of the picture look."""
        across = np.asarray(x_px, dtype=np.float64)[..., None] - self.width_px / 2.0
        down = np.asarray(y_px, dtype=np.float64)[..., None] - self.height_px / 2.0
        return np.asarray(self.focal_px * self.forward + across * self.right - down * self.up)

    def project(self, points: npt.ArrayLike) -> Landing:
        """Where points (n, 3) [m] land; not a number for those level with the eye or behind it."""
        offset = np.asarray(points, dtype=np.float64) - self.place
        depth = offset @ self.forward
        scale = self.focal_px / np.where(depth > 0.0, depth, np.nan)
        return Landing(
            self.width_px / 2.0 + offset @ self.right * scale,
            self.height_px / 2.0 - offset @ self.up * scale,
            depth,
        )

    def solid_angle_sr(self, x_px: npt.ArrayLike, y_px: npt.ArrayLike) -> Array:
        """Solid angle [sr] of the pixel around each place: cos^3 of the way off / focal^2."""
        across = (np.asarray(x_px, dtype=np.float64) - self.width_px / 2.0) / self.focal_px
        down = (np.asarray(y_px, dtype=np.float64) - self.height_px / 2.0) / self.focal_px
        return np.asarray((1.0 + across**2 + down**2) ** -1.5 / self.focal_px**2)

    def pixel_middles(self) -> tuple[Array, Array]:
        """Give the middles of all pixels, row by row, each of shape (height * width,)."""
        y, x = np.indices((self.height_px, self.width_px), dtype=np.float64) + 0.5
        return x.ravel(), y.ravel()


def camera(
    eye: Eye,
    width_px: int = WIDTH_PX,
    height_px: int = HEIGHT_PX,
    view_deg: float = USUAL_VIEW_DEG,
) -> Camera:
    """Put a camera in an eye's place, upright, `view_deg` wide from left to right.

    Who looks straight down or up has the x axis to the right. Raises ValueError when the eye is
    where it looks, or the view is not between 1 and 150 degrees.

    >>> seen = camera(Eye("sofa", (0.0, -2.0, 1.0), (0.0, 0.0, 1.0)))
    >>> [float(at[0]) for at in seen.project([(0.0, 0.0, 1.0)])]
    [320.0, 240.0, 2.0]
    """
    place = np.array(eye.place, dtype=np.float64)
    way = np.array(eye.looks_at, dtype=np.float64) - place
    length = float(np.linalg.norm(way))
    if length < 1e-9:
        raise ValueError(f"Eye {eye.name} looks at its own place; give it something to look at.")
    if not 1.0 <= view_deg <= 150.0:
        raise ValueError(f"The view is {view_deg} degrees wide; it must be 1 to 150.")
    forward = way / length
    right = np.array((forward[1], -forward[0], 0.0))
    sideways = float(np.linalg.norm(right))
    right = right / sideways if sideways > 1e-9 else np.array((1.0, 0.0, 0.0))
    focal_px = width_px / 2.0 / math.tan(math.radians(view_deg) / 2.0)
    up = np.cross(right, forward)
    return Camera(place, forward, right, up, focal_px, width_px, height_px)
