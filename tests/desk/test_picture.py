"""Photos by their content alone: what is kept of them, what is left out, what is refused.

The three pictures in `pictures/` were drawn by a browser for these tests, without a colour profile.
"""

from __future__ import annotations

import struct
import zlib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskward.desk.picture import MOST_SIDE, picture
from caskward.desk.picture_chunks import PNG
from caskward.errors import InputError
from caskward.errors.photos import BrokenPicture, NotAPicture, PictureTooLarge

FOLDER = Path(__file__).parent / "pictures"
DRAWN = {ending: (FOLDER / f"drawn.{ending}").read_bytes() for ending in ("jpg", "png", "webp")}
SECRET = b"Low Marl Farm 51.234N"


def segment(marker: int, body: bytes) -> bytes:
    return struct.pack(">BBH", 0xFF, marker, len(body) + 2) + body


def exif(turned: int, order: str = "<") -> bytes:
    """EXIF with how it is turned, a place, and a preview."""
    mark = b"II\x2a\x00" if order == "<" else b"MM\x00\x2a"
    entries = struct.pack(f"{order}HHIHH", 0x0112, 3, 1, turned, 0) + struct.pack(
        f"{order}HHII", 0x8825, 4, 1, 60
    )
    body = mark + struct.pack(f"{order}IH", 8, 2) + entries + struct.pack(f"{order}I", 0)
    return b"Exif\x00\x00" + body + SECRET + DRAWN["jpg"]


def with_segments(*segments: bytes) -> bytes:
    return DRAWN["jpg"][:2] + b"".join(segments) + DRAWN["jpg"][2:]


def chunk(name: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))


@pytest.mark.parametrize("ending", DRAWN)
def test_a_picture_that_tells_nothing_is_kept_as_it_is(ending) -> None:
    kept = picture(DRAWN[ending])
    assert (kept.ending, kept.wide, kept.high) == (ending, 24, 16)
    assert kept.content == DRAWN[ending]


def test_a_jpeg_loses_its_place_its_camera_and_what_hangs_behind() -> None:
    told = with_segments(
        segment(0xE1, exif(1)), segment(0xE1, b"http://ns.adobe.com/xap/1.0/\x00" + SECRET),
        segment(0xED, b"Photoshop 3.0\x00" + SECRET), segment(0xE2, b"MPF\x00" + SECRET),
        segment(0xFE, SECRET),
    )  # fmt: skip
    kept = picture(told + SECRET + DRAWN["jpg"]).content
    assert SECRET not in kept
    assert kept == DRAWN["jpg"]


@pytest.mark.parametrize("order", ["<", ">"])
@pytest.mark.parametrize("turned", [2, 3, 6, 8])
def test_a_jpeg_stays_turned_as_it_was(turned, order) -> None:
    kept = picture(with_segments(segment(0xE1, exif(turned, order)))).content
    assert SECRET not in kept
    assert struct.pack(">HHIHH", 0x0112, 3, 1, turned, 0) in kept
    assert len(kept) == len(DRAWN["jpg"]) + 36, "the turn alone"
    assert picture(kept).content == kept


def test_a_png_loses_its_words_and_what_hangs_behind() -> None:
    head = len(PNG) + 25
    told = DRAWN["png"][:head] + b"".join(
        chunk(name, SECRET) for name in (b"eXIf", b"tEXt", b"zTXt", b"iTXt", b"tIME")
    )
    assert picture(told + DRAWN["png"][head:] + SECRET).content == DRAWN["png"]


def test_a_webp_loses_its_words_and_says_so_no_more() -> None:
    canvas = struct.pack("<I", 23)[:3] + struct.pack("<I", 15)[:3]
    extended = b"VP8X" + struct.pack("<I", 10) + bytes([0x08 | 0x04, 0, 0, 0]) + canvas
    words = b"".join(name + struct.pack("<I", len(SECRET)) + SECRET + b"\x00" for name in (b"EXIF", b"XMP "))
    body = b"WEBP" + extended + DRAWN["webp"][12:] + words
    kept = picture(b"RIFF" + struct.pack("<I", len(body)) + body).content
    assert SECRET not in kept
    assert kept[20] == 0, "its flags"
    assert kept[30:] == DRAWN["webp"][12:]
    moving = body.replace(extended, extended[:8] + bytes([0x02]) + extended[9:])
    with pytest.raises(BrokenPicture):
        picture(b"RIFF" + struct.pack("<I", len(moving)) + moving)


@pytest.mark.parametrize(
    "content",
    [b"", b"<script>alert(1)</script>", b"GIF89a" + b"\0" * 40, b"%PDF-1.7", b"<svg xmlns='a'/>", b"MZ\x90",
     b"RIFF\0\0\0\0WAVE", b"\0\0\0\x18ftypheic"],
)  # fmt: skip
def test_what_is_no_picture_is_refused_whatever_it_is(content) -> None:
    with pytest.raises(NotAPicture, match="whatever its name says"):
        picture(content)


@pytest.mark.parametrize("ending", DRAWN)
def test_a_picture_that_ends_too_early_is_refused(ending) -> None:
    whole = DRAWN[ending]
    for end in range(12, len(whole) - (0 if ending != "webp" else 1)):
        with pytest.raises(BrokenPicture):
            picture(whole[:end])


def test_a_picture_may_not_have_more_pixels_than_are_shown() -> None:
    for wide, high in ((MOST_SIDE + 1, 1), (9000, 9000), (2**31, 2**31)):
        head = chunk(b"IHDR", struct.pack(">II", wide, high) + b"\x08\x02\0\0\0")
        bomb = PNG + head + chunk(b"IDAT", zlib.compress(b"\0")) + chunk(b"IEND", b"")
        with pytest.raises(PictureTooLarge, match=f"{wide:,} by {high:,}"):
            picture(bomb)


def test_a_png_whose_sums_are_wrong_is_refused() -> None:
    spoilt = bytearray(DRAWN["png"])
    spoilt[60] ^= 1
    with pytest.raises(BrokenPicture):
        picture(bytes(spoilt))


def test_a_jpegs_header_loses_its_preview_and_its_colour_profile() -> None:
    preview = b"JFIF\x00\x01\x01\x00\x00\x01\x00\x01" + bytes([2, 2]) + SECRET[:12]
    whole = DRAWN["jpg"][:2] + segment(0xE0, preview) + DRAWN["jpg"][20:]
    assert picture(whole).content == DRAWN["jpg"], "14 bytes of it stay"
    told = with_segments(
        segment(0xE2, b"ICC_PROFILE\x00\x01\x01" + SECRET),
        segment(0xEE, b"Adobe\x00\x64\0\0\0\0\x01" + SECRET),
        segment(0xE0, b"JFXX\x00\x10" + DRAWN["jpg"]), segment(0xE1, exif(6)), segment(0xE1, exif(3)),
    )  # fmt: skip
    kept = picture(told).content
    assert SECRET[:12] not in kept
    assert kept.count(b"\xff\xd8") == 1, "one picture"
    assert kept.count(b"Exif") == 1
    assert segment(0xEE, b"Adobe\x00\x64\0\0\0\0\x01") in kept, "how its colours are coded"


@pytest.mark.parametrize("ending", ["png", "webp"])
def test_other_pictures_lose_their_colour_profile(ending) -> None:
    if ending == "png":
        head = len(PNG) + 25
        told = DRAWN["png"][:head] + chunk(b"iCCP", SECRET) + DRAWN["png"][head:]
    else:
        canvas = struct.pack("<I", 23)[:3] + struct.pack("<I", 15)[:3]
        extended = b"VP8X" + struct.pack("<I", 10) + bytes([0x20, 0, 0, 0]) + canvas
        body = b"WEBP" + extended + b"ICCP" + struct.pack("<I", len(SECRET)) + SECRET + b"\x00"
        told = b"RIFF" + struct.pack("<I", len(body) + len(DRAWN["webp"]) - 12) + body + DRAWN["webp"][12:]
    kept = picture(told).content
    assert SECRET not in kept
    assert ending == "png" or kept[20] == 0, "its flags"


def frame(wide: int, high: int) -> bytes:
    return segment(0xC0, struct.pack(">BHHB", 8, high, wide, 1) + b"\x01\x11\x00")


def test_a_picture_has_one_size_and_says_it_first() -> None:
    """A small one in front, and a huge one that a browser would then show."""
    huge = struct.pack(">II", 60_000, 60_000) + b"\x08\x02\0\0\0"
    png, webp = DRAWN["png"], DRAWN["webp"]
    head = len(PNG) + 25
    twice = b"WEBP" + 2 * webp[12:]
    for whole in (
        with_segments(frame(60_000, 60_000)),
        DRAWN["jpg"][:-2] + frame(60_000, 60_000) + b"\xff\xd9",
        with_segments(segment(0xDA, b"\x01\x01\x00\x00\x3f\x00")),
        png[:head] + chunk(b"IHDR", huge) + png[head:],
        PNG + chunk(b"tEXt", b"a") + png[len(PNG) :],
        PNG + chunk(b"IHDR", huge[:12]) + png[head:],
        b"RIFF" + struct.pack("<I", len(twice)) + twice,
    ):
        with pytest.raises(BrokenPicture):
            picture(whole)


@pytest.mark.parametrize(
    "content",
    [
        DRAWN["jpg"][:2] + segment(0xFE, b"") * 3_000_000,
        DRAWN["jpg"][:2] + b"\xff" * 12_000_000,
        DRAWN["jpg"][:2] + frame(8, 8) + segment(0xDA, b"\x01\x01\x00\x00\x3f\x00") * 1000,
        DRAWN["jpg"][:-2] + b"\xff\x00" * 6_000_000,
        DRAWN["png"][: len(PNG) + 25] + chunk(b"tEXt", b"") * 1_000_000,
        b"RIFF" + struct.pack("<I", 12_000_004) + b"WEBP" + (b"abcd" + b"\0" * 4) * 1_500_000,
    ],
    ids=("segments", "fill bytes", "scans", "stuffed bytes", "chunks of a PNG", "chunks of a WebP"),
)
def test_many_small_pieces_are_not_all_looked_at(content, monkeypatch) -> None:
    looked = []
    monkeypatch.setattr(struct, "unpack_from", _counted(struct.unpack_from, looked))
    with pytest.raises(BrokenPicture):
        picture(content)
    assert len(looked) < 50_000


def _counted(do, looked: list):
    def counted(*given):
        looked.append(1)
        return do(*given)

    return counted


@given(st.sampled_from(sorted(DRAWN)), st.binary(max_size=40), st.integers(0, 900), st.integers(0, 40))
def test_whatever_is_changed_it_is_kept_whole_or_refused(ending, put, at, cut) -> None:
    whole = DRAWN[ending]
    changed = whole[: at % len(whole)] + put + whole[at % len(whole) + cut :]
    try:
        kept = picture(changed)
    except InputError:
        return
    assert picture(kept.content) == kept, "what was kept is kept again as it is"
