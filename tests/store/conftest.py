"""Every promise of the store is tested on both databases: `place` is a new place on each in turn."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import count
from pathlib import Path

import pytest

from caskward.store.journal import Journal, open_journal
from caskward.store.place import Place, place_of
from tests.store.acts import EVENING
from tests.store.server import Server, server

BOTH = ["sqlite", pytest.param("postgresql", marks=pytest.mark.needs_tool("initdb"))]
_turns = count(1)


@pytest.fixture(scope="session")
def postgres() -> Iterator[Server]:
    """A server for the whole session."""
    with server() as running:
        yield running


@pytest.fixture
def server_place(postgres: Server) -> Callable[[], Place]:
    """Makes a new schema at each call, which is all that a book sees of a database."""
    import psycopg

    def new() -> Place:
        name = f"book_{next(_turns)}"
        with psycopg.connect(postgres.address("postgres"), autocommit=True) as connection:
            connection.execute(f"CREATE SCHEMA {name}")
        return place_of(f"{postgres.address('postgres')}&options=-csearch_path%3D{name}")

    return new


@pytest.fixture
def new_place(request: pytest.FixtureRequest, tmp_path: Path) -> Callable[[str], Place]:
    """Makes a new place on the named database at each call."""

    def new(kind: str) -> Place:
        if kind == "postgresql":
            made: Place = request.getfixturevalue("server_place")()
            return made
        return Place(file=tmp_path / f"book {next(_turns)}.sqlite")

    return new


@pytest.fixture(params=BOTH)
def place(request: pytest.FixtureRequest, new_place: Callable[[str], Place]) -> Place:
    """A new place on each of the two databases."""
    return new_place(request.param)


@pytest.fixture
def journal(place: Place) -> Iterator[Journal]:
    """An empty book on each of the two databases, on an evening of the invented year."""
    with open_journal(place, now=lambda: EVENING) as opened:
        yield opened


@pytest.fixture
def file_place(tmp_path: Path) -> Place:
    """A new place for a file."""
    return Place(file=tmp_path / "book.sqlite")


@pytest.fixture
def file_journal(file_place: Place) -> Iterator[Journal]:
    """An empty book in a file."""
    with open_journal(file_place, now=lambda: EVENING) as opened:
        yield opened
