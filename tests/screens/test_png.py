"""A PNG file that others read as the same pixels."""

import io
import struct
import zlib

import numpy as np
import pytest

from lightcalc.screens.png import png_bytes


def noise(height: int, width: int) -> np.ndarray:
    return np.random.default_rng(7).integers(0, 256, (height, width, 3), dtype=np.uint8)


def test_pillow_reads_the_same_pixels() -> None:
    image = pytest.importorskip("PIL.Image")
    for size in ((1, 1), (480, 640), (3, 5), (1, 7), (9, 1)):
        pixels = noise(*size)
        read = image.open(io.BytesIO(png_bytes(pixels)))
        assert read.mode == "RGB"
        assert np.array_equal(np.asarray(read), pixels)


def test_chunks_and_checksums_are_those_of_iso_15948() -> None:
    pixels = noise(4, 6)
    file = png_bytes(pixels)
    assert file[:8] == bytes((137, 80, 78, 71, 13, 10, 26, 10))
    kinds, place, packed = [], 8, b""
    while place < len(file):
        (length,) = struct.unpack(">I", file[place : place + 4])
        body = file[place + 4 : place + 8 + length]
        (check,) = struct.unpack(">I", file[place + 8 + length : place + 12 + length])
        assert zlib.crc32(body) == check
        kinds.append(body[:4])
        packed += body[4:] if body[:4] == b"IDAT" else b""
        place += 12 + length
    assert kinds == [b"IHDR", b"sRGB", b"IDAT", b"IEND"]
    rows = np.frombuffer(zlib.decompress(packed), dtype=np.uint8).reshape(4, 1 + 6 * 3)
    assert (rows[:, 0] == 2).all()  # each row less the row above
    assert np.array_equal(rows[:, 1:].cumsum(axis=0, dtype=np.uint8).reshape(4, 6, 3), pixels)


def test_a_smooth_picture_packs_well() -> None:
    pixels = np.repeat(np.arange(200, dtype=np.uint8)[:, None], 300, axis=1)
    assert len(png_bytes(np.stack([pixels] * 3, axis=2))) < 2000


def test_what_is_no_picture_is_refused() -> None:
    for wrong in (np.zeros((2, 2)), np.zeros((2, 2, 4)), np.zeros((0, 2, 3)), np.zeros((2, 2, 3))):
        with pytest.raises(ValueError, match="height x width x 3"):
            png_bytes(wrong)
