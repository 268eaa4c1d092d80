"""A JPEG without what it tells of its maker: place, camera, times, previews. How it is turned is kept.

Only the segments that a picture needs are written again, in their order, up to the end of the first image.
Markers as ITU-T T.81 has them, orientation as EXIF (CIPA DC-008) has it, both *from memory*.
"""

from __future__ import annotations

import struct
from typing import Final

_SOI, _EOI, _SOS = 0xD8, 0xD9, 0xDA
_FRAMES: Final = frozenset({0xC0, 0xC1, 0xC2})
"""Baseline, extended and progressive: those that browsers show."""
_WITHIN_SCAN: Final = frozenset({0x00, 0xFF, *range(0xD0, 0xD8)})
"""After 0xFF: a stuffed byte, a fill byte, a restart."""
_NEEDED: Final = frozenset({*_FRAMES, 0xC4, 0xDB, 0xDD})
_ALONE: Final = frozenset({0x01, *range(0xD0, 0xD8)})
_APP0, _APP1, _APP2, _APP14 = 0xE0, 0xE1, 0xE2, 0xEE
_EXIF: Final = b"Exif\x00\x00"
_KEPT_APPS: Final = {_APP0: b"JFIF\x00", _APP2: b"ICC_PROFILE\x00", _APP14: b"Adobe"}
_ORIENTATION, _SHORT = 0x0112, 3
_TURNS: Final = range(2, 9)


class Broken(ValueError):
    """It does not hang together."""


def cleaned(content: bytes) -> tuple[bytes, int, int]:
    """The picture alone, its width and its height [pixels]; raises `Broken`."""
    out, at, size, scanned = bytearray(b"\xff\xd8"), 2, (0, 0), False
    while True:
        marker, at = _marker(content, at)
        if marker == _EOI:
            break
        if marker in _ALONE:
            continue
        segment, at = _segment(content, at)
        if marker in _FRAMES:
            size = _size(segment)
        kept = _kept(marker, segment)
        if kept:
            out += _written(marker, kept)
        if marker == _SOS:
            end = _end_of_scan(content, at)
            out += _written(marker, segment) + content[at:end]
            at, scanned = end, True
    if not scanned or not all(size):
        raise Broken
    return bytes(out + b"\xff\xd9"), *size


def _marker(content: bytes, at: int) -> tuple[int, int]:
    """The next marker, behind any fill bytes."""
    if content[at : at + 1] != b"\xff":
        raise Broken
    while content[at : at + 1] == b"\xff":
        at += 1
    if at >= len(content) or content[at] == 0:
        raise Broken
    return content[at], at + 1


def _segment(content: bytes, at: int) -> tuple[bytes, int]:
    if at + 2 > len(content):
        raise Broken
    (length,) = struct.unpack_from(">H", content, at)
    if length < 2 or at + length > len(content):
        raise Broken
    return content[at + 2 : at + length], at + length


def _written(marker: int, segment: bytes) -> bytes:
    return struct.pack(">BBH", 0xFF, marker, len(segment) + 2) + segment


def _kept(marker: int, segment: bytes) -> bytes:
    """The segment as it is written again; nothing of one that is left out. A scan is written by itself."""
    if marker in _NEEDED:
        return segment
    if marker == _APP1 and segment.startswith(_EXIF):
        turned = _orientation(segment[len(_EXIF) :])
        return _only_turned(turned) if turned in _TURNS else b""
    begins = _KEPT_APPS.get(marker)
    return segment if begins and segment.startswith(begins) else b""


def _size(frame: bytes) -> tuple[int, int]:
    if len(frame) < 6:
        raise Broken
    high, wide = struct.unpack_from(">HH", frame, 1)
    return wide, high


def _end_of_scan(content: bytes, at: int) -> int:
    """Where the coded picture ends: at the next marker that is no stuffed byte and no restart."""
    while True:
        at = content.find(b"\xff", at)
        if at < 0 or at + 1 >= len(content):
            raise Broken
        after = content[at + 1]
        if after not in _WITHIN_SCAN:
            return at
        at += 1 if after == 0xFF else 2


def _orientation(tiff: bytes) -> int:
    """How EXIF says that it is turned, 1 to 8; 0 where it does not."""
    order = {b"II": "<", b"MM": ">"}.get(tiff[:2])
    if order is None:
        return 0
    try:
        (first,) = struct.unpack_from(f"{order}I", tiff, 4)
        (count,) = struct.unpack_from(f"{order}H", tiff, first)
        for n in range(min(count, 100)):
            tag, kind, _, value = struct.unpack_from(f"{order}HHIH", tiff, first + 2 + 12 * n)
            if tag == _ORIENTATION and kind == _SHORT:
                return int(value)
    except struct.error:
        return 0
    return 0


def _only_turned(turned: int) -> bytes:
    """An EXIF block that says this alone."""
    entry = struct.pack(">HHIHH", _ORIENTATION, _SHORT, 1, turned, 0)
    return _EXIF + b"MM\x00\x2a" + struct.pack(">IH", 8, 1) + entry + struct.pack(">I", 0)
