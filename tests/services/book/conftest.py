"""A book of Low Marl Farm in a file, on an evening of an invented spring, and hands that write in it."""

from __future__ import annotations

import shlex
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest

from caskward.services.book import verbs
from caskward.services.book.acting import Doing, Recorded
from caskward.services.book.asked import Asked
from caskward.services.book.opened import Book, to_write

EVENING = datetime(2026, 3, 20, 18, 30, tzinfo=timezone(timedelta(hours=1)))
MAUD = Doing(by="Maud", now=lambda: EVENING)


@pytest.fixture
def place(tmp_path: Path) -> str:
    """Where the book is."""
    return str(tmp_path / "book.sqlite")


@pytest.fixture
def book(place: str) -> Iterator[Book]:
    """An empty book."""
    with to_write(place, now=lambda: EVENING) as opened:
        yield opened


def asked_of(line: str, **options: str | tuple[str, ...]) -> Asked:
    """A deed from one line, parted as a shell does; options by name."""
    verb, *parts = shlex.split(line)
    values = {
        name.replace("_", "-"): (given,) if isinstance(given, str) else given
        for name, given in options.items()
    }
    return Asked(verb, tuple(parts), values)


Do = Callable[..., Recorded]


@pytest.fixture
def do(book: Book) -> Do:
    """Record a deed: `do("move tub 1 to pot still 120 L")`, with `doing` for who and when."""

    def record(line: str, doing: Doing = MAUD, **options: str | tuple[str, ...]) -> Recorded:
        return verbs.done_in(book, asked_of(line, **options), doing)

    return record


@pytest.fixture
def farm(do: Do) -> Do:
    """The farm with its vessels, an open batch, materials, and wash in a tub: 180 L of 8 %vol at 20 °C."""
    for line in (
        "declare tub 1 600 L",
        "declare pot still 150 L",
        "declare tank 100 L",
        "declare cask 12 50 L",
    ):
        do(line)
    do("begin rye 5")
    do('receive 50 kg rye, 20 kg malt from "Hill Farm"')
    do("mash 35 kg rye, 12 kg malt into tub 1 180 L")
    do("convert tub 1 180 L 8 % at 20 C on oiml-2")
    return do


def later(minutes: float) -> Doing:
    """Maud, so many minutes before the evening."""
    return replace(MAUD, at=(EVENING - timedelta(minutes=minutes)).isoformat())
