"""Wishes that are being typed: each is looked at roughly, then in full, beside the pages; the newest counts.

One form has one wish at a time. A newer one ends the work on the older between two steps.
"""

from __future__ import annotations

import hashlib
import threading
import time
from collections import OrderedDict
from collections.abc import Callable, Mapping
from typing import Final

from caskward.errors import CaskwardError
from caskward.errors.desk_work import NotWorkedOut
from caskward.services import wish_answer, wish_ways
from caskward.services.wish_answer import Outcome
from caskward.services.wish_ways import Way

MOST_KEPT: Final = 24
_AT_ONCE: Final = 2
_LAST_STEP_S: Final = 5.0


class Sketch:
    """What is known so far of one wish."""

    def __init__(self, text: str, files: Mapping[str, str]) -> None:
        """Raises `InputError` where the wish cannot be read."""
        self.text, self.files = text, dict(files)
        self.mark = mark_of(text, files)
        self.wish = wish_answer.read_wish(text, files)
        self.first: Outcome | None = None
        self.whole: Outcome | None = None
        self.ways: list[Way] = []
        self.failed = ""
        self.done = False
        self.wanted = True
        self.begun = False
        self.changed = threading.Condition()

    @property
    def best(self) -> Outcome | None:
        """The whole answer, else the first look."""
        return self.whole or self.first

    def wait(self, seconds: float, *, whole: bool = False) -> None:
        """Wait for the first look, or for everything."""
        with self.changed:
            self.changed.wait_for(lambda: self.done or (not whole and self.best is not None), seconds)

    def wait_for_whole(self, seconds: float) -> None:
        """Wait for the whole answer, but not for every way out."""
        with self.changed:
            self.changed.wait_for(lambda: self.done or self.whole is not None, seconds)

    def answer(self) -> None:
        """The first look, then the whole answer."""
        self._step(self._answer)

    def look_for_ways(self) -> None:
        """Ways out, where it cannot be done as it stands."""
        self._step(self._look_for_ways)
        with self.changed:
            # One that was given up is begun anew when it is wanted again.
            self.done = self.wanted
            self.changed.notify_all()

    def _answer(self) -> None:
        self._set(first=wish_answer.first_look(self.wish))
        if self.wanted:
            self._set(whole=wish_answer.in_full(self.wish))

    def _look_for_ways(self) -> None:
        if self.wanted and self.whole is not None and self.whole.stopped:
            for way in wish_ways.ways(self.text, self.wish, lambda: self.wanted):
                self._set(way=way)

    def _step(self, work: Callable[[], None]) -> None:
        try:
            work()
        except CaskwardError as error:
            self.failed = str(error)
        except Exception as error:  # a page that waits is told, whatever it was
            self.failed = str(NotWorkedOut(error))

    def _set(
        self, first: Outcome | None = None, whole: Outcome | None = None, way: Way | None = None
    ) -> None:
        with self.changed:
            self.first = first or self.first
            self.whole = whole or self.whole
            self.ways += [way] if way else []
            self.changed.notify_all()


def mark_of(text: str, files: Mapping[str, str]) -> str:
    """A wish's own word for addresses."""
    whole = hashlib.sha256(text.encode("utf-8", "replace"))
    for name in sorted(files):
        whole.update(f"\0{name}\0{files[name]}".encode("utf-8", "replace"))
    return whole.hexdigest()[:24]


class Sketches:
    """Every wish of this desk that is being typed, or was a while ago."""

    def __init__(self) -> None:
        self._kept: OrderedDict[str, Sketch] = OrderedDict()
        self._newest: OrderedDict[str, Sketch] = OrderedDict()
        self._lock = threading.Lock()
        self._turns = threading.Semaphore(_AT_ONCE)
        self._for_ways = threading.Semaphore(1)
        self._threads: list[threading.Thread] = []

    def of(self, form: str, text: str, files: Mapping[str, str]) -> Sketch:
        """The sketch of a form's wish, begun if it is new; the form's older one is given up.

        Raises:
            InputError: it cannot be read.
        """
        mark = mark_of(text, files)
        with self._lock:
            found = self._kept.get(mark)
            if found is None or not (found.wanted or found.done):
                found = self._kept[mark] = Sketch(text, files)
            self._only(form, found)
            if not found.begun:
                found.begun = True
                thread = threading.Thread(target=self._work, args=(found,), name="sketch", daemon=True)
                self._threads = [one for one in self._threads if one.is_alive()] + [thread]
                thread.start()
            return found

    def known(self, mark: str) -> Sketch | None:
        """A sketch that is still kept."""
        with self._lock:
            return self._kept.get(mark)

    def give_up(self, form: str) -> None:
        """What a form asked before is no longer wanted."""
        with self._lock:
            self._only(form, None)

    def close(self) -> None:
        """Nothing is wanted any more; waits a moment for what is being worked on to end its step."""
        with self._lock:
            for sketch in self._kept.values():
                sketch.wanted = False
            threads = list(self._threads)
        until = time.monotonic() + _LAST_STEP_S
        for thread in threads:
            thread.join(max(until - time.monotonic(), 0.0))

    def _only(self, form: str, sketch: Sketch | None) -> None:
        older = self._newest.pop(form, None)
        if sketch is not None:
            self._newest[form] = sketch
            self._kept.move_to_end(sketch.mark)
        if older is not None and older is not sketch and older not in self._newest.values():
            older.wanted = False
        while len(self._newest) > MOST_KEPT:
            self._newest.popitem(last=False)[1].wanted = False
        while len(self._kept) > MOST_KEPT:
            self._kept.popitem(last=False)[1].wanted = False

    def _work(self, sketch: Sketch) -> None:
        with self._turns:
            if sketch.wanted:
                sketch.answer()
        # Ways out take long: whoever types on must not wait for those of an older wish.
        with self._for_ways:
            sketch.look_for_ways()
