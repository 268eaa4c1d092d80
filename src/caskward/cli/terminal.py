"""The terminal: how wide it is, whether it has colours, which letters it can show, and writing to it."""

from __future__ import annotations

import contextlib
import json
import os
import re
import shutil
import sys
import threading
import unicodedata
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Literal, TextIO

NARROWEST, WIDEST = 60, 100
"""Text is laid out between these widths [columns]; beyond the widest, lines are hard to follow."""

Style = Literal["bold", "dim", "caution", "spirit", "grain", "lost", "oak", "feints"]

# Select-graphic-rendition codes of ECMA-48 with the 256 colours of xterm, mid-tones for light and dark alike.
_CODES: dict[Style, str] = {
    "bold": "1",
    "dim": "2",
    "caution": "38;5;172",
    "spirit": "38;5;37",
    "grain": "38;5;136",
    "lost": "38;5;167",
    "oak": "38;5;137",
    "feints": "38;5;103",
}
_A_COMMAND = re.compile(r"\bcaskward(?= (plan|materials|gauge|proof|card|still|tub|book|desk)\b)")
_LOOK_ALIKES = dict(zip("█▓▒░│▲─·–−•°×±’‘“”µ€£", "#=-.|^----* x~''\"\"uEL", strict=True))


@dataclass(frozen=True)
class Terminal:
    """What text can be laid out for: a width in columns, with colour or without."""

    width: int
    colour: bool

    def paint(self, text: str, style: Style) -> str:
        """The text in a style, unchanged where there is no colour."""
        return f"\x1b[{_CODES[style]}m{text}\x1b[0m" if self.colour and text else text


def terminal() -> Terminal:
    """The terminal that standard output goes to; a pipe is as wide as COLUMNS says, and has no colour."""
    columns = shutil.get_terminal_size((WIDEST, 24)).columns
    return Terminal(max(NARROWEST, min(columns, WIDEST)), _has_colour())


def _has_colour() -> bool:
    if os.environ.get("NO_COLOR"):
        return False
    if os.environ.get("FORCE_COLOR", "0") not in ("", "0"):
        return True
    old_windows = os.name == "nt" and not (os.environ.get("WT_SESSION") or os.environ.get("TERM"))
    return (
        sys.stdout is not None
        and sys.stdout.isatty()
        and os.environ.get("TERM") != "dumb"
        and not old_windows
    )


def put(text: str) -> None:
    """Write to standard output; when the reader has gone (`| head`), the rest falls silent."""
    _write(sys.stdout, text)


def put_json(text: str) -> None:
    """Write JSON; where letters cannot be shown it escapes them instead of replacing them."""
    put(text if _holds(text, sys.stdout) else json.dumps(json.loads(text), indent=2))


def complain(sentence: str) -> None:
    """Write a sentence to standard error."""
    _write(sys.stderr, sentence)


def _write(stream: TextIO | None, text: str) -> None:
    if stream is None:  # closed before we began
        return
    try:
        stream.write(text if _holds(text, stream) else look_alike(text, stream.encoding or "ascii"))
        stream.write("\n")
        stream.flush()
    except BrokenPipeError:
        with open(os.devnull, "w", encoding="ascii") as nowhere:  # noqa: PTH123 - a device, not a path
            os.dup2(nowhere.fileno(), stream.fileno())


def _holds(text: str, stream: TextIO | None) -> bool:
    try:
        if stream is None:
            return True
        text.encode(stream.encoding or "ascii")
    except (UnicodeEncodeError, LookupError):
        return False
    return True


def look_alike(text: str, encoding: str) -> str:
    """The text with every letter that the encoding lacks replaced by one that looks like it, same width."""
    return "".join(_letter(letter, encoding) for letter in text)


def _letter(letter: str, encoding: str) -> str:
    try:
        letter.encode(encoding)
    except (UnicodeEncodeError, LookupError):
        bare = unicodedata.normalize("NFKD", letter)[:1]
        return _LOOK_ALIKES.get(letter) or (bare if bare.isascii() and bare.isprintable() else "?")
    return letter


@contextlib.contextmanager
def patience(words: str, after_s: float = 1.0) -> Iterator[Callable[[str], None]]:
    """Say after a while [s] that work goes on, and take it back when done; only where a person looks on.

    What is yielded says what is being worked on, in the place of what stood there.
    """
    if sys.stderr is None or not sys.stderr.isatty() or os.environ.get("TERM") == "dumb":
        yield lambda _: None
        return
    line = _Line(words)
    timer = threading.Timer(after_s, line.begin)
    timer.start()
    try:
        yield line.say
    finally:
        timer.cancel()
        timer.join()
        line.clear()


class _Line:
    """One line of standard error that is written over."""

    def __init__(self, words: str) -> None:
        self.words, self.shown, self.lock = words, "", threading.Lock()
        self.begun = False

    def begin(self) -> None:
        """From now on it is seen."""
        with self.lock:
            self.begun = True
            self._show(self.words)

    def say(self, words: str) -> None:
        """Other words from now on."""
        with self.lock:
            self.words = words
            if self.begun:
                self._show(words)

    def clear(self) -> None:
        """Leave nothing behind."""
        if self.shown:
            self._show("")
            sys.stderr.write("\r")
            sys.stderr.flush()

    def _show(self, words: str) -> None:
        """Within one line of a narrow terminal, or it could not be taken back."""
        words = words[: shutil.get_terminal_size().columns - 1]
        sys.stderr.write("\r" + words.ljust(len(self.shown)))
        sys.stderr.flush()
        self.shown = words


def my_name() -> str:
    """What a person types to start Caskward here: `caskward`, or run.py in a copy of the source."""
    beside_source = Path(__file__).resolve().parents[3] / "run.py"
    return "python3 run.py" if beside_source.exists() else "caskward"


def in_my_words(sentence: str) -> str:
    """A sentence whose commands begin with what a person types here."""
    return _A_COMMAND.sub(my_name(), sentence)
