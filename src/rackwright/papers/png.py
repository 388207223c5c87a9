"""PNG down to one bit a dot, for label printers: black and white, nothing between.

Reads what the typst renderer writes (8-bit RGB or RGBA, not interlaced) and writes the smallest honest
PNG: one bit grey, with the resolution inside. Formats: PNG specification, ISO/IEC 15948 (memory).
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

__all__ = ["read_png", "to_one_bit", "write_grey"]

_MAGIC = b"\x89PNG\r\n\x1a\n"
Bytes = NDArray[np.uint8]


def to_one_bit(png: bytes, dpi: int) -> bytes:
    """The same picture in black and white, split at half grey; transparent counts as white."""
    dots = read_png(png)
    grey = dots[..., :3].astype(np.uint16).sum(axis=2) // 3
    if dots.shape[2] == 4:
        grey = np.where(dots[..., 3] < 128, 255, grey)
    return write_grey(grey >= 128, dpi)


def write_grey(white: NDArray[np.bool_], dpi: int) -> bytes:
    """A 1-bit PNG of a (height, width) array, True = white."""
    height, width = white.shape
    rows = np.packbits(white, axis=1)
    data = np.hstack([np.zeros((height, 1), np.uint8), rows]).tobytes()
    per_metre = round(dpi / 0.0254)
    return (
        _MAGIC
        + _chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0))
        + _chunk(b"pHYs", struct.pack(">IIB", per_metre, per_metre, 1))
        + _chunk(b"IDAT", zlib.compress(data, 9))
        + _chunk(b"IEND", b"")
    )


def read_png(png: bytes) -> Bytes:
    """(height, width, 3 or 4) bytes of an 8-bit RGB or RGBA PNG. Raises ValueError for another kind."""
    chunks = list(_chunks(png))
    width, height, depth, colour, _, _, interlaced = struct.unpack(">IIBBBBB", chunks[0][1])
    if depth != 8 or colour not in (2, 6) or interlaced:
        raise ValueError("only 8-bit RGB or RGBA without interlacing is read")
    channels = 3 if colour == 2 else 4
    raw = zlib.decompress(b"".join(body for kind, body in chunks if kind == b"IDAT"))
    lines = np.frombuffer(raw, np.uint8).reshape(height, 1 + width * channels)
    out = np.zeros((height + 1, width, channels), np.uint8)  # one row of zeros above the first
    for y, line in enumerate(lines):
        out[y + 1] = _unfilter(int(line[0]), line[1:].reshape(width, channels), out[y])
    return out[1:]


def _unfilter(kind: int, line: Bytes, above: Bytes) -> Bytes:
    """Undo one row's filter: none, sub, up, average or Paeth."""
    if kind == 0:
        return line
    if kind == 1:
        return np.cumsum(line, axis=0, dtype=np.uint64).astype(np.uint8)
    if kind == 2:
        return line + above  # uint8 wraps, as the filter does
    channels = line.shape[1]
    residue, up = line.ravel().tolist(), above.ravel().tolist()
    row = [0] * channels + [0] * len(residue)
    for i, value in enumerate(residue):
        left, over = row[i], up[i]
        corner = up[i - channels] if i >= channels else 0
        guess = (left + over) // 2 if kind == 3 else _paeth(left, over, corner)
        row[i + channels] = (value + guess) & 255
    return np.array(row[channels:], np.uint8).reshape(line.shape)


def _paeth(left: int, over: int, corner: int) -> int:
    toward = left + over - corner
    near_left, near_over, near_corner = abs(toward - left), abs(toward - over), abs(toward - corner)
    if near_left <= near_over and near_left <= near_corner:
        return left
    return over if near_over <= near_corner else corner


def _chunks(png: bytes) -> Iterator[tuple[bytes, bytes]]:
    if not png.startswith(_MAGIC):
        raise ValueError("not a PNG")
    at = len(_MAGIC)
    while at < len(png):
        size, kind = struct.unpack(">I4s", png[at : at + 8])
        yield kind, png[at + 8 : at + 8 + size]
        at += 12 + size


def _chunk(kind: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
