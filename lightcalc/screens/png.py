"""Write a picture as PNG (ISO/IEC 15948), with what the standard library has: zlib does the work.

::

    signature | IHDR: size, 8 bits, colour | IDAT: rows, each less the row above, deflated | IEND
"""

from __future__ import annotations

import struct
import zlib

import numpy as np
import numpy.typing as npt

_SIGNATURE = b"\x89PNG\r\n\x1a\n"
_EIGHT_BITS, _TRUE_COLOUR, _UP_FILTER, _PERCEPTUAL = 8, 2, 2, 0
# Deflate's higher efforts take several times as long for a few per cent.
_EFFORT = 3


def png_bytes(pixels: npt.NDArray[np.uint8]) -> bytes:
    """PNG file of sRGB pixels (height, width, 3).

    Raises ValueError for anything but three colours of bytes, or for no pixels.

    >>> png_bytes(np.zeros((1, 1, 3), dtype=np.uint8))[1:4]
    b'PNG'
    """
    if pixels.ndim != 3 or pixels.shape[2] != 3 or not pixels.size or pixels.dtype != np.uint8:
        raise ValueError("A picture must be height x width x 3 bytes, with a pixel at least.")
    height, width, _ = pixels.shape
    rows = np.empty((height, 1 + 3 * width), dtype=np.uint8)
    rows[:, 0] = _UP_FILTER
    rows[0, 1:] = pixels[0].ravel()
    # Bytes wrap around, as the filter has it.
    rows[1:, 1:] = (pixels[1:] - pixels[:-1]).reshape(height - 1, 3 * width)
    header = struct.pack(">IIBBBBB", width, height, _EIGHT_BITS, _TRUE_COLOUR, 0, 0, 0)
    return b"".join(
        (
            _SIGNATURE,
            _chunk(b"IHDR", header),
            _chunk(b"sRGB", bytes([_PERCEPTUAL])),
            _chunk(b"IDAT", zlib.compress(rows.tobytes(), _EFFORT)),
            _chunk(b"IEND", b""),
        )
    )


def _chunk(kind: bytes, content: bytes) -> bytes:
    """Length, kind, content, and the checksum of the last two."""
    return (
        struct.pack(">I", len(content))
        + kind
        + content
        + struct.pack(">I", zlib.crc32(kind + content))
    )
