"""For whom the desk is opened, by which names it answers, and where it keeps what is its own."""

from __future__ import annotations

import os
import socket
from dataclasses import dataclass
from pathlib import Path

from caskward.services.book.opened import where

HOME_NAMES = ("localhost", "127.0.0.1", "[::1]")
MOST_BYTES = 256 * 1024
"""The most that one form may hold [bytes]; readings and notes need a hundredth of it."""
MOST_PHOTO_BYTES = 12_000_000
"""The most that the one form with a photo may hold [bytes]: what a phone's camera makes, and no film."""
PHOTOS = "/photos"
"""The one address that takes a file."""


@dataclass(frozen=True)
class Settings:
    """How a desk was started.

    folder: where its people and its secret are kept. lan: open to the network, so that everybody signs in.
    names: the host names that it answers to, without a port.
    """

    folder: Path
    port: int = 8080
    lan: bool = False
    names: tuple[str, ...] = HOME_NAMES
    most_bytes: int = MOST_BYTES
    most_photo_bytes: int = MOST_PHOTO_BYTES

    def most_sent(self, method: str, path: str) -> int:
        """The most that one request may hold [bytes]."""
        return self.most_photo_bytes if method == "POST" and path == PHOTOS else self.most_bytes

    @property
    def address(self) -> str:
        """The address to open, on a phone too if the desk is open to the network."""
        name = next((name for name in self.names if name not in HOME_NAMES), None) if self.lan else None
        return f"http://{name or 'localhost'}:{self.port}/"


def own_folder() -> Path:
    """Beside the book's file; for a book on a server, in the user's data folder."""
    file = where().file
    if file is not None:
        return file.parent / "desk"
    return data_folder() / "desk"


def data_folder() -> Path:
    """Caskward's own in the user's data folder, where a book lies that nobody put elsewhere."""
    named = os.environ.get("XDG_DATA_HOME", "")
    data = Path(named) if named and Path(named).is_absolute() else Path.home() / ".local" / "share"
    return data / "caskward"


def names_on_the_network() -> tuple[str, ...]:
    """This machine's address on its network first, then its names there."""
    found = [_own_address(), socket.gethostname(), f"{socket.gethostname()}.local"]
    return tuple(dict.fromkeys(name.lower() for name in found if name))


def _own_address() -> str:
    """The address that this machine would send from; nothing is sent to find it out."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # an address that documents only: RFC 5737
            return str(probe.getsockname()[0])
        except OSError:
            return ""
