"""What a photo is by its first bytes, and the same picture without what it tells of its maker.

A file is believed by its content alone. It is taken apart and put together again from the parts that a still
picture needs, so that nothing else rides along: no place, no camera, no second picture, no file behind it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from caskward.desk import picture_chunks, picture_jpeg
from caskward.desk.picture_jpeg import Broken
from caskward.errors.photos import BrokenPicture, NotAPicture, PictureTooLarge

MOST_SIDE: Final = 12_000
MOST_MEGAPIXELS: Final = 60
KINDS: Final = {"jpg": "image/jpeg", "png": "image/png", "webp": "image/webp"}
"""The ending that a kept file has, and what it is always served as."""
_NAMES: Final = {"jpg": "JPEG", "png": "PNG", "webp": "WebP"}
_CLEANERS: Final[dict[str, Callable[[bytes], tuple[bytes, int, int]]]] = {
    "jpg": picture_jpeg.cleaned,
    "png": picture_chunks.png,
    "webp": picture_chunks.webp,
}


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture that may be kept. ending: of its file; wide, high [pixels]."""

    content: bytes
    ending: str
    wide: int
    high: int


def picture(content: bytes) -> Picture:
    """A picture from what was sent.

    Raises:
        NotAPicture, BrokenPicture, PictureTooLarge: it is not kept, and why.
    """
    ending = _ending(content)
    try:
        cleaned, wide, high = _CLEANERS[ending](content)
    except Broken:
        raise BrokenPicture(_NAMES[ending]) from None
    if max(wide, high) > MOST_SIDE or wide * high > MOST_MEGAPIXELS * 1_000_000:
        raise PictureTooLarge(wide, high, MOST_SIDE, MOST_MEGAPIXELS)
    return Picture(cleaned, ending, wide, high)


def _ending(content: bytes) -> str:
    if content.startswith(b"\xff\xd8\xff"):
        return "jpg"
    if content.startswith(picture_chunks.PNG):
        return "png"
    if content[:4] == b"RIFF" and content[8:12] == b"WEBP":
        return "webp"
    raise NotAPicture
