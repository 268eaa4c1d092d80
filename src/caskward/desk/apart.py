"""Reports over a long book, made by a process of their own, so that they take no page's time or memory.

The process reads what to make from its standard input and answers on its standard output, both pickled: it is
this program's own child, nothing else can reach it. It keeps the entries that it read, so that the next
report has only to read what is new. It ends with the desk, also when that is ended from outside.
"""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from typing import Any, BinaryIO, Final, cast

from caskward.errors import CaskwardError
from caskward.errors.desk_work import NotWorkedOut, PutAside
from caskward.services.book import looked
from caskward.services.book.looked import Looked

Make = Callable[[Looked], Any]
REST_S: Final = 900.0
"""Who looks at a report, records and looks again has it soon; after that the memory is worth more."""
_LOOKS_EVERY_S: Final = 2.0
_COMMAND: Final = (sys.executable, "-m", __name__)


class Apart:
    """The process, begun when it is needed and ended when it was not for a while; one report at a time."""

    def __init__(self, rest_s: float = REST_S) -> None:
        """`rest_s`: how long it stays without work [s]."""
        self._rest_s = rest_s
        self._clock: threading.Timer | None = None
        self._child: subprocess.Popen[bytes] | None = None
        self._turn, self._lock = threading.Lock(), threading.Lock()
        self._closing = False

    def made(self, place: str, make: Make) -> tuple[Any, int]:
        """A report, and the number of the newest entry in it.

        Args:
            place: where the book is. make: a function that can be pickled.

        Raises:
            CaskwardError: it cannot be had, and why. PutAside: the desk closes. NotWorkedOut: a fault.
        """
        asked = pickle.dumps((place, make))
        with self._turn:
            child = self._begun()
            try:
                cast(BinaryIO, child.stdin).write(asked)
                cast(BinaryIO, child.stdin).flush()
                found = pickle.load(cast(BinaryIO, child.stdout))
            except Exception as fault:
                # Ended, perhaps for its memory; what is left of half an answer is no answer to the next.
                self.rest()
                raise (PutAside() if self._closing else NotWorkedOut(fault)) from fault
            self._rest_later()
        if isinstance(found, CaskwardError):
            raise found
        report, up_to = found
        return report, up_to

    def rest(self) -> None:
        """End it; the next report begins another."""
        with self._lock:
            child, self._child = self._child, None
        if child is not None:
            child.kill()
            child.communicate()

    def close(self) -> None:
        """End it for good."""
        self._closing = True
        with self._lock:
            if self._clock is not None:
                self._clock.cancel()
        self.rest()

    def _rest_later(self) -> None:
        """It has just worked; what it keeps fills the memory, also while nothing is recorded."""
        with self._lock:
            if self._clock is not None:
                self._clock.cancel()
            self._clock = threading.Timer(self._rest_s, self._rest_if_idle)
            self._clock.daemon = True
            if not self._closing:
                self._clock.start()

    def _rest_if_idle(self) -> None:
        if self._turn.acquire(blocking=False):  # else it is at work, and rests after that
            try:
                self.rest()
            finally:
                self._turn.release()

    def _begun(self) -> subprocess.Popen[bytes]:
        with self._lock:
            if self._closing:
                raise PutAside
            if self._child is None:
                own = {"start_new_session": True} if os.name == "posix" else {}  # Ctrl+C is the desk's alone
                self._child = subprocess.Popen(
                    _COMMAND, stdin=subprocess.PIPE, stdout=subprocess.PIPE, **cast(Any, own)
                )
            return self._child


# The process -------------------------------------------------------------------------------------


def work(asked: BinaryIO, answers: BinaryIO) -> None:
    """Make report after report until nothing more is asked for."""
    kept: dict[str, Looked] = {}
    while True:
        try:
            place, make = pickle.load(asked)
        except EOFError:
            return
        answers.write(_answer(kept, place, make))
        answers.flush()


def _answer(kept: dict[str, Looked], place: str, make: Make) -> bytes:
    try:
        known = _known(kept, place)
        return pickle.dumps((make(known), known.entries[-1].number if known.entries else 0))
    except CaskwardError as error:
        return pickle.dumps(error)
    except Exception as fault:  # whoever waits is told, whatever it was
        return pickle.dumps(NotWorkedOut(fault))


def _known(kept: dict[str, Looked], place: str) -> Looked:
    """All entries: those of the last report, and what was entered since."""
    known = looked.look_on(kept[place], place) if place in kept else None
    kept.clear()  # before another is read: two at once would fill the memory
    kept[place] = looked.look(place) if known is None else known
    return kept[place]


def main() -> None:
    """What the child does; whatever a library prints does not get between its answers."""
    answers = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())
    threading.Thread(target=_end_with, args=(os.getppid(),), daemon=True).start()
    work(sys.stdin.buffer, answers)


def _end_with(desk: int) -> None:
    """End in the middle of a report, too, once nobody waits for it."""
    while os.getppid() == desk:
        time.sleep(_LOOKS_EVERY_S)
    os._exit(0)


if __name__ == "__main__":
    main()
