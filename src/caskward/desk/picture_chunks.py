"""PNG and WebP without what they tell beside the picture: only chunks that a still picture needs are kept.

Colour profiles are left out, as of a JPEG.

Chunks as the PNG specification and WebP's container specification have them, *from memory*.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterator
from typing import Final

from caskward.desk.picture_jpeg import Broken

PNG: Final = b"\x89PNG\r\n\x1a\n"
_PNG_KEPT: Final = frozenset(b"IHDR PLTE IDAT IEND tRNS gAMA cHRM sRGB cICP sBIT pHYs".split())
_WEBP_KEPT: Final = frozenset({b"VP8X", b"VP8 ", b"VP8L", b"ALPH"})
_MOVES, _TELLS = 0x02, 0x04 | 0x08 | 0x20
"""Flags of WebP's header: animation; XMP, EXIF and a colour profile."""
_MOST_CHUNKS: Final = 10_000
"""A camera's PNG has some thousand, of 8 kB each."""
_LOSSY, _LOSSLESS = b"\x9d\x01\x2a", 0x2F


def png(content: bytes) -> tuple[bytes, int, int]:
    """The picture alone, its width and its height [pixels]; raises `Broken`."""
    out, size, data = bytearray(PNG), (0, 0), False
    for n, (name, body) in enumerate(_png_chunks(content)):
        if (n == 0) != (name == b"IHDR") or n > _MOST_CHUNKS:  # its header first, and once
            raise Broken
        if n == 0:
            size = _head(body)
        data = data or name == b"IDAT"
        if name in _PNG_KEPT:
            out += struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))
        if name == b"IEND":
            break
    else:
        raise Broken
    if not data or not all(size):
        raise Broken
    return bytes(out), *size


def _head(body: bytes) -> tuple[int, int]:
    if len(body) != 13:
        raise Broken
    wide, high = struct.unpack_from(">II", body)
    return wide, high


def _png_chunks(content: bytes) -> Iterator[tuple[bytes, bytes]]:
    at = len(PNG)
    while at + 12 <= len(content):
        (length,) = struct.unpack_from(">I", content, at)
        end = at + 12 + length
        if end > len(content):
            raise Broken
        name, body = content[at + 4 : at + 8], content[at + 8 : end - 4]
        if struct.unpack_from(">I", content, end - 4)[0] != zlib.crc32(name + body):
            raise Broken
        yield name, body
        at = end


def webp(content: bytes) -> tuple[bytes, int, int]:
    """The picture alone, its width and its height [pixels]; one that moves is refused; raises `Broken`."""
    (length,) = struct.unpack_from("<I", content, 4)
    if length + 8 > len(content):
        raise Broken
    out, size = bytearray(), (0, 0)
    for n, (name, chunk) in enumerate(_webp_chunks(content[12 : length + 8])):
        if n > _MOST_CHUNKS or (name == b"VP8X" and n > 0):
            raise Broken
        if name not in _WEBP_KEPT:
            continue
        body = _quiet(chunk) if name == b"VP8X" else chunk
        if name in (b"VP8 ", b"VP8L"):
            if any(size):  # a second picture
                raise Broken
            size = _lossy(body) if name == b"VP8 " else _lossless(body)
        out += name + struct.pack("<I", len(body)) + body + b"\x00" * (len(body) % 2)
    if not all(size):
        raise Broken
    return b"RIFF" + struct.pack("<I", len(out) + 4) + b"WEBP" + bytes(out), *size


def _webp_chunks(content: bytes) -> Iterator[tuple[bytes, bytes]]:
    at = 0
    while at + 8 <= len(content):
        (length,) = struct.unpack_from("<I", content, at + 4)
        if at + 8 + length > len(content):
            raise Broken
        yield content[at : at + 4], content[at + 8 : at + 8 + length]
        at += 8 + length + length % 2


def _quiet(header: bytes) -> bytes:
    """The header without the word that something is told; raises `Broken` for a moving picture."""
    if len(header) != 10 or header[0] & _MOVES:
        raise Broken
    return bytes([header[0] & ~_TELLS & 0xFF]) + header[1:]


def _lossy(body: bytes) -> tuple[int, int]:
    if len(body) < 10 or body[3:6] != _LOSSY:
        raise Broken
    wide, high = struct.unpack_from("<HH", body, 6)
    return wide & 0x3FFF, high & 0x3FFF


def _lossless(body: bytes) -> tuple[int, int]:
    if len(body) < 5 or body[0] != _LOSSLESS:
        raise Broken
    (packed,) = struct.unpack_from("<I", body, 1)
    return (packed & 0x3FFF) + 1, (packed >> 14 & 0x3FFF) + 1
