"""Sheets against a volumetric path tracer that follows light through the same slab, live.

W. Jakob and others, Mitsuba 3 renderer (https://mitsuba-renderer.org), integrator `volpath`:
smooth dielectric faces, a homogeneous medium, Henyey and Greenstein's scattering. Lengths are
millimetres there: its rays start some 1e-4 units off a face, which in metres would thin a slab
of 3 mm by 3 %. An orthographic sensor looks square on the slab at one spot of 0.02 mm; each of
its pixels is a sample of its own, so their spread gives the renderer's noise, told in every
message. Each pixel follows the light that reaches the eye backwards from there.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from lightcalc.physics.dots.lobes import row_glow_cd_m2, sheet_lobes
from lightcalc.physics.dots.sheet import Sheet, sheet_from_shares, sheet_shares, straight_share_at
from lightcalc.physics.dots.sheet_readings import share_within

mi = pytest.importorskip("mitsuba")

# Straight and scattered shares at 3 mm.
CLEAR = sheet_from_shares(0.003, straight=0.86, scattered=0.02)
TINTED = sheet_from_shares(0.003, straight=0.28, scattered=0.02)
OPAL = sheet_from_shares(0.003, straight=0.0005, scattered=0.55)
FROSTED = sheet_from_shares(0.003, straight=0.10, scattered=0.60)
# The opal without faces, as if in a bath of its own index.
MATCHED = replace(OPAL, refractive_index=1.0)
SHEETS = {
    "clear": CLEAR,
    "tinted": TINTED,
    "opal": OPAL,
    "frosted": FROSTED,
    "matched": MATCHED,
}

PIXELS = 8
PITCH_MM, SIDE_MM = 16.7, 5.0
# Beside the LED's square, where its straight image does not reach.
ASIDE_MM = 3.0
FAR_MM = 10_000.0
EVERY_SCATTERING = 1000


def _tell(what: str, ours: float, seen: float, noise: float) -> None:
    """Print a comparison; pytest shows it with -rP, or when it fails."""
    print(f"{what}: {ours:.6f}, renderer {seen:.6f} +- {noise:.6f}")  # noqa: T201


def _slab(sheet: Sheet, thickness_mm: float) -> dict[str, Any]:
    move = mi.ScalarTransform4f
    extinction = sheet.absorption_per_m + sheet.scattering_per_m
    faces: dict[str, Any] = {"type": "null"}
    if sheet.refractive_index > 1.0:
        faces = {"type": "dielectric", "int_ior": sheet.refractive_index, "ext_ior": 1.0}
    return {
        "type": "cube",
        "to_world": move().scale([1000, 1000, thickness_mm / 2]),
        "bsdf": faces,
        "interior": {
            "type": "homogeneous",
            "sigma_t": 1.0,
            "scale": extinction / 1000,
            "albedo": sheet.scattering_per_m / extinction,
            "phase": {"type": "hg", "g": sheet.asymmetry},
        },
    }


def _lamp(shape: str, place: Any, radiance: float = 1.0) -> dict[str, Any]:
    emitter = {"type": "area", "radiance": radiance}
    return {"type": shape, "to_world": place, "emitter": emitter}


def _seen(
    sheet: Sheet,
    thickness_mm: float,
    lamps: list[dict[str, Any]],
    samples: int,
    *,
    events: int = EVERY_SCATTERING,
    look: tuple[float, float, float] = (0.0, 0.0, 1.0),
    spot: tuple[float, float] = (0.0, 0.0),
) -> tuple[float, float]:
    """Luminance of a spot of the slab looked at along `look`, and its standard error."""
    move = mi.ScalarTransform4f
    target = [spot[0], spot[1], 0.0]
    eye = [at + 500.0 * way for at, way in zip(target, look, strict=True)]
    film = {"type": "hdrfilm", "width": PIXELS, "height": PIXELS, "rfilter": {"type": "box"}}
    film |= {"pixel_format": "luminance", "component_format": "float32"}
    scene = {
        "type": "scene",
        "integrator": {"type": "volpath", "max_depth": events, "rr_depth": EVERY_SCATTERING},
        "slab": _slab(sheet, thickness_mm),
        "sensor": {
            "type": "orthographic",
            "to_world": move().look_at(origin=eye, target=target, up=[0, 1, 0])
            @ move().scale([0.01, 0.01, 1]),
            "film": film,
            "sampler": {"type": "independent", "sample_count": 1},
        },
        **{f"lamp {k}": lamp for k, lamp in enumerate(lamps)},
    }
    image = mi.render(mi.load_dict(scene), spp=samples // PIXELS**2, seed=5)
    values = np.array(image)[..., 0].ravel()
    return float(values.mean()), float(values.std(ddof=1) / PIXELS)


@pytest.mark.parametrize(
    ("name", "thickness_mm", "samples"),
    [
        ("clear", 3.0, 200_000),
        ("clear", 10.0, 200_000),
        ("tinted", 3.0, 400_000),
        ("tinted", 6.0, 800_000),
        ("opal", 1.0, 800_000),
        ("opal", 2.0, 3_200_000),
        ("opal", 3.0, 12_800_000),
    ],
)
def test_as_much_of_a_beam_passes_straight(name: str, thickness_mm: float, samples: int) -> None:
    # A lamp too far and small for scattered light to find; 5 events hold the beam's bounces,
    # 3 those of a slab that leaves 1e-3 of them.
    mi.set_variant("scalar_rgb")
    place = mi.ScalarTransform4f().translate([0, 0, -FAR_MM]).scale(50.0)
    seen, noise = _seen(
        SHEETS[name],
        thickness_mm,
        [_lamp("rectangle", place)],
        samples,
        events=3 if name == "opal" else 5,
    )
    ours = sheet_shares(SHEETS[name], thickness_mm / 1000).straight
    _tell(f"straight {name} {thickness_mm}", ours, seen, noise)
    assert noise < 0.015 * seen
    assert ours == pytest.approx(seen, rel=0.02, abs=2 * noise)


@pytest.mark.parametrize("degrees", [0.0, 30.0, 60.0, 75.0])
def test_as_much_of_a_slanted_beam_passes_straight(degrees: float) -> None:
    # With polarisation, so that the second face meets what the first one left of each.
    mi.set_variant("scalar_spectral_polarized")
    move = mi.ScalarTransform4f
    way = (math.sin(math.radians(degrees)), 0.0, math.cos(math.radians(degrees)))
    # The sensor aims at the slab's middle, where the ray without the slab would go on straight.
    place = move().look_at(origin=[-FAR_MM * x for x in way], target=[0, 0, 0], up=[0, 1, 0])
    seen, noise = _seen(
        TINTED, 3.0, [_lamp("rectangle", place @ move().scale(80.0))], 400_000, events=7, look=way
    )
    ours = float(straight_share_at(TINTED, 0.003, way[2]))
    _tell(f"slanted {degrees}", ours, seen, noise)
    assert noise < 0.006 * seen
    assert ours == pytest.approx(seen, rel=0.01, abs=2 * noise)


@pytest.mark.parametrize("thickness_mm", [2.0, 6.0])
@pytest.mark.parametrize("name", ["clear", "tinted", "opal", "frosted", "matched"])
def test_as_much_light_passes_in_all_and_comes_back(name: str, thickness_mm: float) -> None:
    # A lamp that fills a half-space gives what a beam at the normal passes, or returns, in all.
    mi.set_variant("scalar_rgb")
    move = mi.ScalarTransform4f
    behind = _lamp("rectangle", move().translate([0, 0, -thickness_mm / 2 - 1]).scale(2000.0))
    before = _lamp(
        "rectangle", move().translate([0, 0, 1000]).rotate([1, 0, 0], 180).scale(100_000.0)
    )
    shares = sheet_shares(SHEETS[name], thickness_mm / 1000)
    for lamp, ours in [
        (behind, shares.straight + shares.scattered),
        (before, shares.reflected),
    ]:
        seen, noise = _seen(SHEETS[name], thickness_mm, [lamp], 40_000)
        _tell(f"shares {name} {thickness_mm}", ours, seen, noise)
        assert noise < 0.003
        assert ours == pytest.approx(seen, abs=0.002 + 2 * noise)


@pytest.mark.parametrize("degrees", [15.0, 45.0])
@pytest.mark.parametrize("name", ["opal", "frosted"])
def test_as_much_scattered_light_keeps_within_a_cone(name: str, degrees: float) -> None:
    mi.set_variant("scalar_rgb")
    radius = FAR_MM * math.tan(math.radians(degrees))
    disc = mi.ScalarTransform4f().translate([0, 0, -FAR_MM]).scale(radius)
    shares = sheet_shares(SHEETS[name], 0.003)
    cone = share_within(sheet_lobes(SHEETS[name], 0.003), degrees)
    seen, noise = _seen(SHEETS[name], 3.0, [_lamp("disk", disc)], 60_000)
    ours = shares.straight + shares.scattered * cone
    _tell(f"cone {name} {degrees}", ours, seen, noise)
    assert noise < 0.03 * seen
    assert ours == pytest.approx(seen, rel=0.10, abs=2 * noise)


def _ours_mm(sheet: Sheet, thickness_mm: float, distance_mm: float) -> tuple[float, float]:
    """Glow beside an LED and midway between two, averaged over the LEDs' squares."""
    nodes, weights = np.polynomial.legendre.leggauss(3)
    lobes = sheet_lobes(sheet, thickness_mm / 1000)
    places = np.array([0.0, PITCH_MM / 2])
    total = np.zeros(2)
    for x, wx in zip(nodes * SIDE_MM / 2, weights / 2, strict=True):
        for y, wy in zip(nodes * SIDE_MM / 2, weights / 2, strict=True):
            total += (
                wx
                * wy
                * row_glow_cd_m2(
                    lobes,
                    (places + x) / 1000,
                    distance_m=distance_mm / 1000,
                    pitch_m=PITCH_MM / 1000,
                    lumens_per_emitter=1.0,
                    beam_exponent=1.0,
                    y_m=(ASIDE_MM + y) / 1000,
                )
            )
    return float(total[0]), float(total[1])


@pytest.mark.parametrize(
    ("name", "thickness_mm", "distance_mm", "samples", "factor"),
    [
        ("clear", 3.0, 6.0, 200_000, 1.1),
        ("clear", 3.0, 15.0, 400_000, 1.1),
        ("clear", 8.0, 6.0, 200_000, 1.1),
        ("tinted", 3.0, 6.0, 200_000, 1.1),
        ("tinted", 3.0, 15.0, 400_000, 1.1),
        ("tinted", 6.0, 6.0, 200_000, 1.1),
        ("frosted", 3.0, 6.0, 100_000, 1.2),
        ("frosted", 3.0, 15.0, 200_000, 1.4),
        ("opal", 2.0, 6.0, 80_000, 1.3),
        ("opal", 3.0, 6.0, 80_000, 1.3),
        ("opal", 3.0, 10.0, 130_000, 1.5),
        ("opal", 6.0, 5.0, 60_000, 1.5),
        ("matched", 3.0, 6.0, 60_000, 1.2),
    ],
)
def test_the_dots_in_the_glow_stand_out_as_much(
    name: str, thickness_mm: float, distance_mm: float, samples: int, factor: float
) -> None:
    mi.set_variant("scalar_rgb")
    move = mi.ScalarTransform4f
    leds = [
        _lamp(
            "rectangle",
            move()
            .translate([k * PITCH_MM, 0, -thickness_mm / 2 - distance_mm])
            .scale([SIDE_MM / 2, SIDE_MM / 2, 1]),
            1.0 / math.pi / (SIDE_MM / 1000) ** 2,
        )
        for k in range(-10, 11)
    ]
    (bright, noise_b), (dim, noise_d) = (
        _seen(SHEETS[name], thickness_mm, leds, samples, spot=(x, ASIDE_MM))
        for x in (0.0, PITCH_MM / 2)
    )
    contrast = (bright - dim) / (bright + dim)
    noise = 2 * math.hypot(dim * noise_b, bright * noise_d) / (bright + dim) ** 2
    ours_bright, ours_dim = _ours_mm(SHEETS[name], thickness_mm, distance_mm)
    ours = (ours_bright - ours_dim) / (ours_bright + ours_dim)
    what = f"dots {name} {thickness_mm} {distance_mm}"
    _tell(what, ours, contrast, noise)
    _tell(f"{what} bright", ours_bright, bright, noise_b)
    _tell(f"{what} dim", ours_dim, dim, noise_d)
    assert noise < 0.02
    assert ours < factor * (contrast + 2 * noise)
    assert ours > (contrast - 2 * noise) / factor
    assert ours_bright + ours_dim == pytest.approx(
        bright + dim, rel=0.15, abs=2 * math.hypot(noise_b, noise_d)
    )
