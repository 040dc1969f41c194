"""Where the LEDs' lumens go: floor, wall, boxes, inserts, or away into the room.

Rays leave the LEDs in the directions of their beams and carry equal shares of the light to what
they meet first. At an insert the straight share goes on, and lands elsewhere; what is scattered,
reflected or absorbed there is counted there. Light is counted where it first lands: what matt
faces send on is not followed.

Places and directions come from a sequence that fills them evenly (M. Roberts, "The unreasonable
effectiveness of quasirandom sequences", 2018, from memory), so that some ten thousand rays find
shares to about 0.3 % of all light.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from lightcalc.physics.dots.diffusion import Array
from lightcalc.physics.dots.sheet import Shares, sheet_shares
from lightcalc.physics.room.direct import Lighting
from lightcalc.physics.room.rays import Kind, blocked, nearest
from lightcalc.physics.room.scene import Row, Scene
from lightcalc.physics.room.sightline import slanted_straight_share

# Root of x^4 = x + 1; its powers give the three even sequences.
_ROOT = 1.2207440846057596
# After so many inserts next to nothing is left of a ray.
_MOST_INSERTS = 6


@dataclass(frozen=True)
class InsertLumens:
    """Light that falls on an insert and does not go straight on [lm].

    `straight` is what does go on; it is counted again where it lands.
    """

    name: str
    scattered: float
    reflected: float
    absorbed: float
    straight: float


@dataclass(frozen=True)
class Lumens:
    """Account of the LEDs' light [lm]; `boxes` goes by name, `left` is what meets nothing."""

    emitted: float
    floor: float
    wall: float
    boxes: dict[str, float]
    inserts: tuple[InsertLumens, ...]
    left: float

    @property
    def accounted(self) -> float:
        """Sum of all places where light ends."""
        stays = sum(i.scattered + i.reflected + i.absorbed for i in self.inserts)
        return self.floor + self.wall + sum(self.boxes.values()) + stays + self.left


class _Rays(NamedTuple):
    """Rays of shape (n, 3), of unit length along, with the lumens (n,) each carries."""

    starts: Array
    along: Array
    light: Array


@dataclass(eq=False)
class _Account:
    """Light by kind, by box, and by insert (inserts, 4), being added up."""

    kinds: Array
    boxes: Array
    inserts: Array


def lumens_account(scene: Scene, prepared: Lighting, rays: int = 16_384) -> Lumens:
    """Account for the light of all rows of a scene with about `rays` rays.

    >>> from lightcalc.physics.room.direct import lighting
    >>> down = Row("a", ((0.0, 0.0, 1.0),), (0, 0, -1), 100.0, 1.0, 0.01, 0.003)
    >>> scene = Scene((), (down,), ())
    >>> round(lumens_account(scene, lighting(scene)).floor, 6)
    100.0
    """
    account = _Account(
        np.zeros(len(Kind)), np.zeros(len(scene.boxes)), np.zeros((len(scene.inserts), 4))
    )
    emitted = 0.0
    for row in scene.rows:
        emitted += row.lumens * len(row.places)
        _follow(scene, prepared, account, _rays(row, math.ceil(rays / len(scene.rows))))
    return Lumens(
        emitted=emitted,
        floor=float(account.kinds[Kind.FLOOR]),
        wall=float(account.kinds[Kind.WALL]),
        boxes={box.name: float(x) for box, x in zip(scene.boxes, account.boxes, strict=True)},
        inserts=tuple(
            InsertLumens(insert.name, *(float(x) for x in shares))
            for insert, shares in zip(scene.inserts, account.inserts, strict=True)
        ),
        left=float(account.kinds[Kind.NOTHING]),
    )


def _rays(row: Row, count: int) -> _Rays:
    """Spread rays evenly over a row's LEDs and their beams."""
    steps = _ROOT ** -np.arange(1.0, 4.0)
    which, height, turn = (0.5 + np.arange(count)[:, None] * steps).T % 1.0
    places = np.array(row.places, dtype=np.float64)
    facing = np.array(row.facing, dtype=np.float64)
    facing /= np.linalg.norm(facing)
    aside = np.cross(facing, np.eye(3)[np.abs(facing).argmin()])
    aside /= np.linalg.norm(aside)
    cosine = height ** (1.0 / (row.exponent + 1.0))
    sine = np.sqrt(1.0 - cosine**2)
    angle = 2.0 * math.pi * turn
    along = np.outer(cosine, facing)
    along += np.outer(sine * np.cos(angle), aside)
    along += np.outer(sine * np.sin(angle), np.cross(facing, aside))
    light = np.full(count, row.lumens * len(places) / count)
    return _Rays(places[(which * len(places)).astype(np.intp)], along, light)


def _follow(scene: Scene, prepared: Lighting, account: _Account, rays: _Rays) -> None:
    """Add rays to the account; go on past inserts."""
    for _ in range(_MOST_INSERTS):
        hits = nearest(prepared.everything, rays.starts, rays.along)
        account.kinds += np.bincount(hits.kind, rays.light, len(Kind))
        on_box = hits.kind == Kind.BOX
        account.boxes += np.bincount(hits.index[on_box], rays.light[on_box], len(scene.boxes))
        onward = []
        for number in range(len(scene.inserts)):
            met = np.flatnonzero((hits.kind == Kind.INSERT) & (hits.index == number))
            along = rays.along[met]
            places = rays.starts[met] + hits.distance_m[met, None] * along
            arriving = _Rays(places, along, rays.light[met])
            onward.append(_through(scene, prepared, account, number, arriving))
        if not any(len(part.light) for part in onward):
            return
        rays = _Rays(*(np.concatenate(parts) for parts in zip(*onward, strict=True)))
    account.kinds[Kind.NOTHING] += rays.light.sum()


def _through(
    scene: Scene, prepared: Lighting, account: _Account, number: int, rays: _Rays
) -> _Rays:
    """Share out light that falls on an insert; give the rays that go on behind it.

    A ray that enters by the face and strikes the edge of the hole ends on the host.
    """
    opening = prepared.everything.openings[number]
    sheet = scene.inserts[number].sheet
    cosine = np.abs(rays.along[:, opening.axis])
    straight = slanted_straight_share(sheet, opening.thickness_m, cosine) * rays.light
    rest = _rest(sheet_shares(sheet, opening.thickness_m))
    account.inserts[number, :3] += (rays.light - straight).sum() * rest
    account.inserts[number, 3] += straight.sum()
    ends = rays.starts + (opening.thickness_m / np.maximum(cosine, 1e-6))[:, None] * rays.along
    struck = blocked(prepared.everything, rays.starts, ends)
    account.boxes[opening.host] += straight[struck].sum()
    return _Rays(ends[~struck], rays.along[~struck], straight[~struck])


def _rest(shares: Shares) -> Array:
    """Scattered, reflected and absorbed, as shares of what does not go straight on."""
    parts = np.array([shares.scattered, shares.reflected, shares.absorbed])
    return np.asarray(parts / parts.sum()) if parts.sum() > 0.0 else np.array([0.0, 0.0, 1.0])
