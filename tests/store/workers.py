"""What other processes do to a book in the tests; they start with all that is slow loaded already."""

from __future__ import annotations

import multiprocessing
from multiprocessing.connection import Connection
from multiprocessing.context import ForkServerContext
from pathlib import Path

from caskward.store.journal import open_journal
from caskward.store.place import Place, place_of
from tests.store import acts


def context() -> ForkServerContext:
    """How processes are started: from one that has loaded this module."""
    chosen = multiprocessing.get_context("forkserver")
    chosen.set_forkserver_preload(["tests.store.workers"])
    return chosen


def named(given: str) -> Place:
    """The place, which travels to another process as text."""
    return place_of(given) if given.startswith("postgresql") else Place(file=Path(given))


def spoken(place: Place) -> str:
    """A place as text."""
    return place.address or str(place.file)


def write_until_killed(given: str, trial: int, pipe: Connection) -> None:
    """Enter deeds one after the other and say the key of each as soon as it is acknowledged."""
    with open_journal(named(given), now=lambda: acts.EVENING) as journal:
        for turn in range(100_000):
            entry = journal.append(acts.moved(f"trial {trial} deed {turn}", ml=1, note="x" * 200))
            pipe.send(entry.key)


def write_a_share(given: str, who: int, count: int) -> list[tuple[str, int]]:
    """Enter deeds of one's own, and between them deeds that every other worker enters too."""
    found: list[tuple[str, int]] = []
    with open_journal(named(given), now=lambda: acts.EVENING) as journal:
        for turn in range(count):
            own = acts.moved(f"{who} of {turn}", target=f"jar/{who}", ml=1)
            shared = acts.moved(f"everybody's {turn}", target="jar/0", ml=2)
            found += [(deed.key, journal.append(deed).number) for deed in (own, shared)]
    return found


def note_steadily(given: str, pipe: Connection) -> None:
    """Enter deeds until something comes through the pipe; then say how many there are."""
    with open_journal(named(given), now=lambda: acts.EVENING) as journal:
        turn = 0
        while turn < 3 or not pipe.poll():
            journal.append(acts.moved(f"steady {turn}", ml=1))
            turn += 1
            if turn == 3:
                pipe.send("writing")
        pipe.send(turn)
