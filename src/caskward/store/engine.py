"""Connections that keep their word: what they commit is on disk, and a writer has the book to itself.

SQLite is driven by hand: its driver begins nothing by itself, `Link.reading` begins a plain transaction (one
moment of the book, whoever writes meanwhile) and `Link.writing` an immediate one (the lock is taken at once,
so that nothing that was read can be out of date when it is written).
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event, make_url
from sqlalchemy.engine.interfaces import DBAPIConnection, DBAPICursor
from sqlalchemy.exc import ArgumentError, DBAPIError
from sqlalchemy.pool import ConnectionPoolEntry

from caskward.errors import BookFolderShut, BookPlaceUnclear, NoServerDriver, SqliteTooOld
from caskward.store.faults import refusal_of
from caskward.store.place import Place

OLDEST_SQLITE = (3, 38, 0)  # STRICT tables, and JSON always there
BUSY_S = 20.0
_WRITES = "caskward_writes"


class Link:
    """A place and the way to it; it opens nothing before it is used."""

    def __init__(self, place: Place, *, busy_s: float = BUSY_S) -> None:
        """`busy_s`: how long to wait for another writer [s]."""
        self.place, self.busy_s = place, busy_s
        self.engine = _file_engine(place.file, busy_s) if place.file else _server_engine(place, busy_s)
        driver: Any = self.engine.dialect.dbapi
        self._driver_error: type[Exception] = driver.Error

    @property
    def on_server(self) -> bool:
        """Whether the book is kept by PostgreSQL."""
        return self.place.file is None

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """One moment of the book, unchanged until the block ends."""
        with self._said_plainly(), self.engine.connect() as connection:
            if self.on_server:
                connection.execution_options(isolation_level="REPEATABLE READ", postgresql_readonly=True)
            with connection.begin():
                yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """A transaction that is on disk when the block ends, or has never been."""
        with self._said_plainly(), self.engine.connect() as connection:
            connection.execution_options(**{_WRITES: True})
            with connection.begin():
                yield connection

    @contextmanager
    def by_hand(self) -> Iterator[DBAPICursor]:
        """SQLite's own cursor outside of any transaction, for what cannot be done within one."""
        with (
            self._said_plainly(),
            closing(self.engine.raw_connection()) as borrowed,
            closing(borrowed.cursor()) as cursor,
        ):
            yield cursor

    def close(self) -> None:
        """Let go of file or server."""
        self.engine.dispose()

    @contextmanager
    def _said_plainly(self) -> Iterator[None]:
        try:
            yield
        except DBAPIError as error:
            raise refusal_of(error.orig or error, self.place, self.busy_s) from error
        except self._driver_error as error:
            raise refusal_of(error, self.place, self.busy_s) from error


# SQLite --------------------------------------------------------------------------------------------


def _file_engine(file: Path, busy_s: float) -> Engine:
    if sqlite3.sqlite_version_info < OLDEST_SQLITE:
        raise SqliteTooOld(sqlite3.sqlite_version, ".".join(str(part) for part in OLDEST_SQLITE))
    engine = create_engine(
        URL.create("sqlite", database=str(file)),
        connect_args={"timeout": busy_s, "isolation_level": None, "check_same_thread": False},
    )
    event.listen(engine, "connect", _make_durable)
    event.listen(engine, "begin", _begin_by_hand)
    return engine


def _make_durable(connection: DBAPIConnection, _: ConnectionPoolEntry) -> None:
    cursor = connection.cursor()
    # FULL: the log is on disk before a commit returns. fullfsync: on a Mac, past the drive's own cache too.
    for pragma in ("synchronous = FULL", "fullfsync = ON", "foreign_keys = ON", "recursive_triggers = ON"):
        cursor.execute(f"PRAGMA {pragma}")
    cursor.close()


def _begin_by_hand(connection: Connection) -> None:
    writes = connection.get_execution_options().get(_WRITES, False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def is_there(file: Path) -> bool:
    """Whether there is such a file; raises `BookFolderShut` where one may not even look."""
    try:
        return file.exists()
    except OSError as error:
        raise BookFolderShut(str(file), f"{error.strerror}: {file.parent}") from error


def make_folder(file: Path) -> None:
    """Make the folder that a book's file lies in, if it is not there."""
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BookFolderShut(str(file), f"{error.strerror}: {error.filename}") from error


# PostgreSQL ----------------------------------------------------------------------------------------


def _server_engine(place: Place, busy_s: float) -> Engine:
    try:
        url = make_url(place.address or "").set(drivername="postgresql+psycopg")
        # A maker's own options stay, such as one farm's schema among several: ?options=-csearch_path=farm
        own = url.normalized_query.get("options", ())
        engine = create_engine(
            url,
            pool_pre_ping=True,
            # What is read after the lock is what the writer before us left, whatever the server's default is.
            isolation_level="READ COMMITTED",
            # A server may be set up to answer before its log is on disk; a book may not.
            connect_args={
                "connect_timeout": 10,
                "options": " ".join(
                    (*own, "-c synchronous_commit=on", f"-c lock_timeout={int(1000 * busy_s)}")
                ),
            },
        )
    except (ArgumentError, ValueError) as error:
        raise BookPlaceUnclear(str(place)) from error
    except ImportError as error:
        raise NoServerDriver(str(error)) from error
    return engine
