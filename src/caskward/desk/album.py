"""Photos and notes of a batch or a cask: what the desk keeps beside the book, and where.

Words, time and name stand in the book; here are the pictures, each under a random name, and for each note the
number of its entry. The book's copy has no picture in it, but the hash of each.
"""

from __future__ import annotations

import hashlib
import json
import re
import secrets
from contextlib import suppress
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Final

from caskward.desk import files
from caskward.desk.picture import KINDS, Picture
from caskward.errors.photos import PhotosFull, PhotosTooLarge

FOLDER: Final = "photos"
MOST_OF_ONE, MOST_IN_ALL = 60, 5_000
MOST_BYTES: Final = 8_000_000_000
"""Of all pictures together: some thousand of a phone's."""
_ID = re.compile(r"[0-9a-f]{32}")
_SHELF_LETTERS = 24
_SHELF = re.compile(r"[0-9a-f]{24}")


@dataclass(frozen=True, slots=True)
class Item:
    """A note of a batch or a cask.

    id: its random name; number: of its entry, 0 while it is being entered; key: of that deed. ending: of its
    picture, or empty. stage: or empty. wide, high [pixels] and sha256 are of the picture.
    """

    id: str
    number: int
    stage: str = ""
    ending: str = ""
    wide: int = 0
    high: int = 0
    sha256: str = ""
    key: str = ""


class Album:
    """Everything of one desk."""

    def __init__(self, folder: Path) -> None:
        """`folder`: the desk's own."""
        self._folder = folder / FOLDER

    def of(self, about: str) -> tuple[Item, ...]:
        """All of a batch or a cask, the newest first. about: `batch/rye 5`, `cask/3`."""
        shelf = self._folder / shelf_of(about)
        found = (self._item(path) for path in shelf.glob("*.json")) if shelf.is_dir() else ()
        return tuple(sorted((one for one in found if one), key=lambda one: (-one.number, one.id)))

    def check_room(self, about: str) -> None:
        """Raises `PhotosFull` where no more are kept."""
        if len(self.of(about)) >= MOST_OF_ONE:
            raise PhotosFull(MOST_OF_ONE, "of this one")
        if sum(1 for _ in self._folder.glob("*/*.json")) >= MOST_IN_ALL:
            raise PhotosFull(MOST_IN_ALL, "at this desk")
        if sum(path.stat().st_size for path in self._folder.glob("*/*")) >= MOST_BYTES:
            raise PhotosTooLarge(MOST_BYTES)

    def put(self, about: str, picture: Picture) -> tuple[str, str]:
        """Keep a picture before the book knows of it; its random name and its hash."""
        name = secrets.token_hex(16)
        files.write(self._folder / shelf_of(about) / f"{name}.{picture.ending}", picture.content)
        return name, hashlib.sha256(picture.content).hexdigest()

    def note(self, about: str, item: Item) -> None:
        """Keep what the book's entry does not say."""
        content = json.dumps({**asdict(item), "about": about}, ensure_ascii=False)
        files.write(self._folder / shelf_of(about) / f"{item.id}.json", content.encode())

    def remove(self, about: str, name: str) -> None:
        """Take a picture and its note off; nothing where there is none."""
        if _ID.fullmatch(name):
            for ending in ("json", *KINDS):
                with suppress(OSError):
                    (self._folder / shelf_of(about) / f"{name}.{ending}").unlink()

    def file(self, shelf: str, name: str, ending: str) -> bytes | None:
        """A picture's content; None where there is none of these names."""
        if not _SHELF.fullmatch(shelf) or not _ID.fullmatch(name) or ending not in KINDS:
            return None
        return files.read(self._folder / shelf / f"{name}.{ending}")

    @staticmethod
    def _item(path: Path) -> Item | None:
        try:
            found = json.loads(files.read(path) or b"")
            found.pop("about", None)
            return Item(**found)
        except (ValueError, TypeError, AttributeError):
            return None


def shelf_of(about: str) -> str:
    """The folder of a batch or a cask: a name that no name can break out of."""
    return hashlib.sha256(about.encode()).hexdigest()[:_SHELF_LETTERS]
