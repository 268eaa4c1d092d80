"""Files in which a learned still and closed batches are kept: read by a plan and by what runs a still."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from caskward.errors import UnreadableNotes, UnwritableFile, WouldLoseNotes
from caskward.planning.learned_file import read_learned as learned_file_of_batches
from caskward.planning.learned_gear import LearnedGear
from caskward.planning.learned_still import MARK, LearnedHabits, read_learned


def learned_file(path: Path) -> LearnedHabits:
    """What a still's runs taught, from its file.

    Raises:
        UnreadableNotes: it cannot be opened or is not text. NotALearnedStill: it holds something else.
    """
    return read_learned(text_of(path), str(path))


def learned_batches(path: Path) -> LearnedGear:
    """What closed batches taught, from its file.

    Raises:
        UnreadableNotes: it cannot be opened or is not text. NotLearnedBatches: it holds something else.
    """
    return learned_file_of_batches(text_of(path), str(path))


def save(text: str, path: Path, mark: str = MARK) -> None:
    """Write what was learned; only a file of the same kind, one with the mark, is written over.

    Raises:
        WouldLoseNotes: a file that holds something else. UnwritableFile: it cannot be written.
    """
    if path.exists() and mark not in text_of(path):
        raise WouldLoseNotes(str(path))
    try:
        path.write_text(text, encoding="utf-8")
    except OSError as error:
        raise UnwritableFile(str(path), error.strerror or "it cannot be written") from None


def today() -> str:
    """The day on which something is saved."""
    return datetime.now().astimezone().date().isoformat()


def text_of(path: Path) -> str:
    """A file's text.

    Raises:
        UnreadableNotes: it cannot be opened or is not text.
    """
    try:
        return path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError:
        raise UnreadableNotes(str(path), "it is not plain text (UTF-8)") from None
    except OSError as error:
        raise UnreadableNotes(str(path), error.strerror or "it cannot be opened") from None
