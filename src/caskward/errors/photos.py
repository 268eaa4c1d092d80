"""Photos that the desk does not take, and why."""

from __future__ import annotations

from caskward.errors.common import InputError


class NoPhotoNoWords(InputError):
    """Neither a picture nor a word was sent."""

    def __init__(self) -> None:
        super().__init__("There is nothing to keep yet. Choose a photo, or say something in words.")


class NotAPicture(InputError):
    """A file that is no JPEG, PNG or WebP picture, whatever its name says."""

    def __init__(self) -> None:
        super().__init__(
            "That file is no JPEG, PNG or WebP picture, whatever its name says; nothing was kept. Save the "
            "photo as JPEG and send that."
        )


class BrokenPicture(InputError):
    """A picture that ends too early, or does not hang together."""

    def __init__(self, kind: str) -> None:
        super().__init__(
            f"That {kind} picture is not whole, so nothing was kept. Open it on the device it comes from, "
            "save it again and send that."
        )


class PictureTooLarge(InputError):
    """A picture with more pixels than the desk keeps."""

    def __init__(self, wide: int, high: int, most_side: int, most_megapixels: int) -> None:
        super().__init__(
            f"That picture has {wide:,} by {high:,} pixels. At most {most_side:,} on a side and "
            f"{most_megapixels} million in all are kept. Make it smaller and send it again."
        )


class PhotosFull(InputError):
    """As many photos as are kept of one thing, or in all."""

    def __init__(self, most: int, of: str) -> None:
        super().__init__(
            f"There are {most:,} photos and notes {of} already, and no more are kept. "
            "A maker can take some away."
        )


class PhotosTooLarge(InputError):
    """All pictures together take more than the desk keeps."""

    def __init__(self, most_bytes: int) -> None:
        super().__init__(
            f"The photos of this desk take {most_bytes / 1e9:.0f} GB, and no more are kept. "
            "Take some away first."
        )
