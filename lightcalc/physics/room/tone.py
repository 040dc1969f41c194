"""From luminances to the values of a screen: what the eye is adapted to, and the sRGB transfer.

A screen shows neither the 0.01 cd/m2 under a dark bench nor the million of a bare LED. Cones
answer with ``L / (L + s)`` (K. I. Naka, W. A. H. Rushton, J. Physiol. 185 (1966) 536), where
half of the answer is had at a luminance s that follows what the eye is adapted to. With ``s`` as
adaptation / key that is also the photographic operator of E. Reinhard, M. Stark, P. Shirley,
J. Ferwerda, Photographic tone reproduction, SIGGRAPH 2002 (both from memory). Each colour has
its own cones, so very bright coloured light tends to white, as to the eye.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

Image = npt.NDArray[np.float32]
Bytes = npt.NDArray[np.uint8]

# Shows the luminance adapted to at 18 % of full white, as the grey card of photographers.
KEY = 0.217
# Weights of red, green and blue in luminance: IEC 61966-2-1, from ITU-R BT.709 primaries.
LUMINANCE_WEIGHTS = np.array((0.2126, 0.7152, 0.0722), dtype=np.float32)
# The eye at night adapts no further within the minutes that someone looks at a piece.
LEAST_ADAPTATION_CD_M2 = 0.01
# So many times the luminance of the key's white shows as white, which keeps highlights crisp.
WHITE = 4.0
# What is looked at comes so far up the scale; at `WHITE` all is white.
BELOW_WHITE = 2.5


def luminance_of(colours: Image) -> Image:
    """Luminance [cd/m2], shape (...), of linear sRGB (..., 3) [cd/m2].

    >>> round(float(luminance_of(np.ones((1, 3), dtype=np.float32))[0]), 6)
    1.0
    """
    return np.asarray(colours @ LUMINANCE_WEIGHTS, dtype=np.float32)


def adaptation_cd_m2(colours: Image, looked_at_cd_m2: float = 0.0) -> float:
    """Luminance [cd/m2] that an eye adapts to before a picture (h, w, 3): the log-average.

    An eye that looks at something brighter adapts to that, so far that what it `looked_at_cd_m2`
    is shown below white: else a pattern in it, which the eye sees, would burn out.

    The few pixels of bare LEDs move it little, the way they move the eye's adaptation little.
    Compare two pictures at one adaptation, or the brighter will be shown darker than it is.

    >>> round(adaptation_cd_m2(np.full((2, 2, 3), 5.0, dtype=np.float32)), 4)
    5.0
    """
    light = np.maximum(luminance_of(colours), LEAST_ADAPTATION_CD_M2)
    average = float(np.exp(np.log(light).mean(dtype=np.float64)))
    return max(average, looked_at_cd_m2 * KEY / BELOW_WHITE)


def shown_share(colours: Image, adapted_to_cd_m2: float, key: float = KEY) -> Image:
    """Linear share of a screen's full white, 0 to 1, for luminances [cd/m2] of any shape.

    >>> shown_share(np.array([0.0, 10.0, 1e6]), 10.0, key=0.25).astype(float).round(3).tolist()
    [0.0, 0.203, 1.0]
    """
    scaled = np.asarray(colours, dtype=np.float32) * np.float32(key / adapted_to_cd_m2)
    share = scaled * (1.0 + scaled / WHITE**2) / (1.0 + scaled)
    return np.asarray(np.minimum(share, 1.0), dtype=np.float32)


def srgb_from_linear(share: npt.ArrayLike) -> Image:
    """Nonlinear sRGB value, 0 to 1, of linear shares 0 to 1 (IEC 61966-2-1).

    >>> srgb_from_linear([0.0, 0.0031308, 0.18, 1.0]).astype(float).round(4).tolist()
    [0.0, 0.0404, 0.4614, 1.0]
    """
    linear = np.clip(np.asarray(share, dtype=np.float32), 0.0, 1.0)
    curved = 1.055 * linear ** np.float32(1.0 / 2.4) - 0.055
    return np.asarray(np.where(linear <= 0.0031308, 12.92 * linear, curved), dtype=np.float32)


def screen_bytes(colours: Image, adapted_to_cd_m2: float, key: float = KEY) -> Bytes:
    """Bytes for a screen, same shape, of luminances [cd/m2] in linear sRGB."""
    share = shown_share(colours, adapted_to_cd_m2, key)
    return np.asarray(srgb_from_linear(share) * 255.0 + 0.5, dtype=np.uint8)
