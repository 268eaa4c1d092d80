"""A JPEG without what it tells of its maker: place, camera, times, previews. How it is turned is kept.

Only the segments that a picture needs are written again, in their order, up to the end of the first image;
of its header 14 bytes. A colour profile is left out: it has room for anything, and says by what it was made.
Markers as ITU-T T.81 has them, JFIF's header as ITU-T T.871, orientation as EXIF (CIPA DC-008) has it, all
*from memory*.
"""

from __future__ import annotations

import re
import struct
from typing import Final

_SOI, _EOI, _SOS = 0xD8, 0xD9, 0xDA
_FRAMES: Final = frozenset({0xC0, 0xC1, 0xC2})
"""Baseline, extended and progressive: those that browsers show."""
_SCAN_ENDS: Final = re.compile(rb"\xff[^\x00\xff\xd0-\xd7]", re.DOTALL)
"""A marker that is no stuffed byte, no fill byte and no restart."""
_TABLES: Final = frozenset({0xC4, 0xDB, 0xDD})
_ALONE: Final = frozenset({0x01, *range(0xD0, 0xD8)})
_APP0, _APP1, _APP14 = 0xE0, 0xE1, 0xEE
_EXIF, _JFIF, _ADOBE = b"Exif\x00\x00", b"JFIF\x00", b"Adobe"
_JFIF_BYTES, _ADOBE_BYTES = 14, 12
_ORIENTATION, _SHORT = 0x0112, 3
_TURNS: Final = range(2, 9)
_MOST_MARKERS, _MOST_SCANS, _MOST_FILL = 1000, 64, 64
"""A camera's picture has a few dozen markers, and up to about ten scans."""


class Broken(ValueError):
    """It does not hang together."""


def cleaned(content: bytes) -> tuple[bytes, int, int]:
    """The picture alone, its width and its height [pixels]; raises `Broken`."""
    out, at, size, scans = bytearray(b"\xff\xd8"), 2, (0, 0), 0
    told: set[int] = set()
    for _ in range(_MOST_MARKERS):
        marker, at = _marker(content, at)
        if marker == _EOI:
            break
        if marker in _ALONE:
            continue
        segment, at = _segment(content, at)
        if marker in _FRAMES:
            size = _size(segment, size)
        if marker in _FRAMES or marker in _TABLES:
            out += _written(marker, segment)
        elif marker == _SOS:
            begins, at, scans = at, _end_of_scan(content, at), scans + 1
            out += _written(marker, segment) + content[begins:at]
            _check_scan(size, scans)
        elif marker not in told and (said := _said(marker, segment)):
            told.add(marker)
            out += _written(marker, said)
    else:
        raise Broken
    if not scans:
        raise Broken
    return bytes(out + b"\xff\xd9"), *size


def _marker(content: bytes, at: int) -> tuple[int, int]:
    """The next marker, behind any fill bytes."""
    if content[at : at + 1] != b"\xff":
        raise Broken
    filled = content[at : at + _MOST_FILL]
    at += len(filled) - len(filled.lstrip(b"\xff"))
    if at >= len(content) or content[at] in (0, 0xFF):
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


def _said(marker: int, segment: bytes) -> bytes:
    """What a segment beside the picture says that is needed to show it, and nothing of the rest."""
    if marker == _APP0 and segment.startswith(_JFIF) and len(segment) >= _JFIF_BYTES:
        return segment[: _JFIF_BYTES - 2] + b"\x00\x00"  # no preview
    if marker == _APP14 and segment.startswith(_ADOBE) and len(segment) >= _ADOBE_BYTES:
        return segment[:_ADOBE_BYTES]
    if marker == _APP1 and segment.startswith(_EXIF):
        turned = _orientation(segment[len(_EXIF) :])
        return _only_turned(turned) if turned in _TURNS else b""
    return b""


def _check_scan(size: tuple[int, int], scans: int) -> None:
    """A scan comes after its picture's size, and there are not too many."""
    if not all(size) or scans > _MOST_SCANS:
        raise Broken


def _size(frame: bytes, before: tuple[int, int]) -> tuple[int, int]:
    if len(frame) < 6 or any(before):  # of a second picture: one would be measured, the other shown
        raise Broken
    high, wide = struct.unpack_from(">HH", frame, 1)
    return wide, high


def _end_of_scan(content: bytes, at: int) -> int:
    """Where the coded picture ends."""
    found = _SCAN_ENDS.search(content, at)
    if found is None:
        raise Broken
    return found.start()


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
