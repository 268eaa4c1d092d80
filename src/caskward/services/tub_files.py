"""The log of a tub: a text file with one row of readings a line."""

from __future__ import annotations

from pathlib import Path

from caskward.errors import UnreadableFile
from caskward.services.tub_typed import log_rows


def log(path: Path) -> tuple[str, ...]:
    """Rows of a log, as typed.

    Raises:
        UnreadableFile: it cannot be opened or is not text.
    """
    try:
        content = path.read_bytes()
    except OSError as error:
        raise UnreadableFile(str(path), error.strerror or "it cannot be opened") from None
    return log_rows(content, str(path))
