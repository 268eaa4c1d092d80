"""Several people on one server: the same deeds, the same promises."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from dataclasses import replace

import pytest

from caskward.services.book import look, verbs
from caskward.services.book.opened import to_write
from tests.store.server import Server, server

from .conftest import EVENING, MAUD, asked_of

pytestmark = pytest.mark.needs_tool("initdb")


@pytest.fixture(scope="module")
def running() -> Iterator[Server]:
    """A server for this module."""
    with server() as found:
        yield found


def test_many_hands_at_once_keep_one_account(running):
    """Each of four people pours ten times, and each of them sends every line twice."""
    place, people, pours = running.address("postgres"), 4, 10
    with to_write(place, now=lambda: EVENING) as book:
        for line in (
            "declare tub 1 600 L",
            'receive 100 L 60 % at 20 C on oiml-2 into tub 1 from "Old Mill"',
        ):
            verbs.done_in(book, asked_of(line), MAUD)
    failed: list[Exception] = []

    def hand(who: int) -> None:
        doing = replace(MAUD, by=f"hand {who}")
        try:
            with to_write(place, now=lambda: EVENING) as own:
                for turn in range(pours):
                    keyed = replace(doing, key=f"{who}-{turn}")
                    asked = asked_of(f"move tub 1 jar {who} 500 mL")
                    first, again = (verbs.done_in(own, asked, keyed) for _ in range(2))
                    assert again.repeated
                    assert again.entry == first.entry
        except Exception as error:
            failed.append(error)

    threads = [threading.Thread(target=hand, args=(who,)) for who in range(people)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failed == []
    with to_write(place, now=lambda: EVENING) as book:
        balances = look.balances(book)
        assert book.head().number == 2 + people * pours
    assert balances["vessel/tub 1"]["bulk"] == pytest.approx(80_000_000, abs=10)
    assert all(balances[f"jar/{who}"]["bulk"] == 5_000_000 for who in range(people))
