"""The databases themselves refuse to change what is in the book, whoever asks and however."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import closing

import pytest
from sqlalchemy.exc import DBAPIError

from caskward.store.checking import check_book
from caskward.store.journal import Journal, open_journal
from caskward.store.place import Place, place_of
from tests.store import acts
from tests.store.acts import EVENING
from tests.store.conftest import BOTH
from tests.store.server import Server

CHANGES = [
    "UPDATE entries SET note = 'nothing'",
    "UPDATE entries SET number = 99 WHERE number = 3",
    "UPDATE postings SET amount = 1 WHERE number = 2",
    "UPDATE readings SET value = '99'",
    "DELETE FROM entries WHERE number = 3",
    "DELETE FROM postings",
    "DELETE FROM readings WHERE number = 2",
]
AN_ENTRY = (
    "entries (number, key, format, kind, done_at, recorded_at, author, site, batch, corrects, details, note,"
    " before, hash) VALUES ({number}, '{key}', 1, 'noted', 'x', 'x', 'x', '', NULL, {corrects}, '{{}}', '',"
    " 'x', 'x')"
)
A_POSTING = "INSERT INTO postings VALUES ({number}, {line}, 'jar/1', 'bulk', 5, 5)"
INSERTS = [
    # an old number, key or correction: with REPLACE each would delete the row that has it
    (3, "new", "NULL"),
    (7, "received", "NULL"),
    (7, "new", "4"),
    # a number left out
    (9, "new", "NULL"),
]


@pytest.fixture
def written(journal: Journal) -> Journal:
    """Six entries, the last of which corrects the fourth."""
    for deed in acts.history(3):
        journal.append(deed)
    old = journal.append(acts.moved("wrong"))
    journal.append(acts.moved("good"))
    journal.append(acts.corrected("right", old.number, old))
    return journal


def raw(journal: Journal, statement: str) -> None:
    with journal.link.engine.connect() as connection, connection.begin():
        connection.exec_driver_sql(statement)


@pytest.mark.parametrize("statement", CHANGES)
def test_change_and_deletion_are_refused(written: Journal, statement: str) -> None:
    before = list(written.entries())
    with pytest.raises(DBAPIError, match="what is in the book stays"):
        raw(written, statement)
    assert list(written.entries()) == before


@pytest.mark.parametrize("values", INSERTS)
@pytest.mark.parametrize("verb", ["INSERT", "INSERT OR REPLACE", "REPLACE", "INSERT OR IGNORE"])
def test_sqlite_slips_nothing_in(
    new_place: Callable[[str], Place], verb: str, values: tuple[object, ...]
) -> None:
    """By a connection that knows nothing of this house: no foreign keys, no recursive triggers."""
    place = new_place("sqlite")
    with open_journal(place, now=lambda: EVENING) as journal:
        journal.append_all(list(acts.history(3)))
        old = journal.append(acts.moved("wrong"))
        journal.append(acts.moved("good"))
        journal.append(acts.corrected("right", old.number, old))
        before = list(journal.entries())
        number, key, corrects = values
        row = AN_ENTRY.format(number=number, key=key, corrects=corrects)
        with closing(sqlite3.connect(str(place.file))) as stranger:
            with pytest.raises(sqlite3.DatabaseError, match="what is in the book stays"):
                stranger.execute(f"{verb} INTO {row}")
            for place_of_it in ({"number": 2, "line": 0}, {"number": 4, "line": 9}, {"number": 6, "line": 0}):
                with pytest.raises(sqlite3.DatabaseError, match="what is in the book stays"):
                    stranger.execute(A_POSTING.replace("INSERT", verb).format(**place_of_it))
            stranger.rollback()
        assert list(journal.entries()) == before
        assert check_book(journal.link).whole


@pytest.mark.needs_tool("initdb")
@pytest.mark.parametrize(
    "statement",
    [
        "TRUNCATE entries CASCADE",
        "TRUNCATE postings",
        A_POSTING.format(number=2, line=9),
        A_POSTING.format(number=2, line=0) + " ON CONFLICT (number, line) DO UPDATE SET amount = 5",
        A_POSTING.format(number=6, line=0) + " ON CONFLICT (number, line) DO UPDATE SET amount = 5",
        "INSERT INTO " + AN_ENTRY.format(number=9, key="n", corrects="NULL"),
        "INSERT INTO "
        + AN_ENTRY.format(number=3, key="n", corrects="NULL")
        + " ON CONFLICT (number) DO UPDATE SET note = 'changed'",
        "INSERT INTO "
        + AN_ENTRY.format(number=7, key="received", corrects="NULL")
        + " ON CONFLICT (key) DO UPDATE SET note = 'changed'",
    ],
)
def test_postgresql_slips_nothing_in(new_place: Callable[[str], Place], statement: str) -> None:
    with open_journal(new_place("postgresql"), now=lambda: EVENING) as journal:
        journal.append_all(list(acts.history(6)))
        before = list(journal.entries())
        with pytest.raises(DBAPIError, match="what is in the book stays"):
            raw(journal, statement)
        assert list(journal.entries()) == before


@pytest.mark.parametrize("kind", BOTH)
def test_a_guard_that_was_taken_away_is_found(new_place: Callable[[str], Place], kind: str) -> None:
    with open_journal(new_place(kind)) as journal:
        name = {"sqlite": "postings_no_UPDATE", "postgresql": "postings_stay"}[kind]
        raw(journal, f"DROP TRIGGER {name}" + (" ON postings" if kind == "postgresql" else ""))
        assert [finding.sentence.split()[2] for finding in check_book(journal.link).findings] == [name]


def test_tables_are_strict(file_journal: Journal) -> None:
    with file_journal.link.reading() as connection:
        rows = connection.exec_driver_sql(
            "SELECT name, strict FROM pragma_table_list WHERE schema = 'main' AND name NOT LIKE 'sqlite%'"
        ).all()
    kinds = {name: bool(strict) for name, strict in rows}
    assert kinds.pop("schema_version") is False  # Alembic's own
    assert set(kinds) == {"entries", "postings", "readings", "balances", "rooms", "batches"}
    assert all(kinds.values())


def test_what_is_committed_is_on_disk(file_journal: Journal) -> None:
    with file_journal.link.reading() as connection:
        assert connection.exec_driver_sql("PRAGMA journal_mode").scalar_one() == "wal"
        assert connection.exec_driver_sql("PRAGMA synchronous").scalar_one() == 2  # FULL
        assert connection.exec_driver_sql("PRAGMA foreign_keys").scalar_one() == 1


@pytest.mark.needs_tool("initdb")
def test_a_server_that_would_answer_early_is_made_to_wait(
    postgres: Server, server_place: Callable[[], Place]
) -> None:
    import psycopg

    with psycopg.connect(postgres.address("postgres"), autocommit=True) as connection:
        connection.execute("CREATE USER hasty SUPERUSER")
        connection.execute("ALTER USER hasty SET synchronous_commit = off")
        connection.execute("ALTER USER hasty SET default_transaction_isolation = 'serializable'")
    place = place_of((server_place().address or "").replace("keeper@", "hasty@"))
    with open_journal(place) as journal, journal.link.writing() as connection:
        assert connection.exec_driver_sql("SHOW synchronous_commit").scalar_one() == "on"
        assert connection.exec_driver_sql("SHOW transaction_isolation").scalar_one() == "read committed"
