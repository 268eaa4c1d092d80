"""What is wrong with a file itself, by its own check and its indexes, and with the entries written last."""

from __future__ import annotations

from collections.abc import Iterator

from sqlalchemy import Connection

from caskward.book.chain import breaks
from caskward.book.finding import Finding
from caskward.errors import EntryDamaged
from caskward.store.reading import head_of
from caskward.store.rows import entries_of, rows_between
from caskward.store.tables import entries, postings, readings

LOOKED_AT_BYTES = 4_000_000
"""A file up to this size is looked over whole before it is written in: some hundredths of a second."""
_NEWEST = 50
"""So many entries are proved before another is built on them."""


def file_damage(connection: Connection, most: int = 5) -> Iterator[Finding]:
    """What SQLite's own check says of pages and indexes, up to so many findings."""
    if connection.dialect.name == "sqlite":
        said = [str(row[0]) for row in connection.exec_driver_sql(f"PRAGMA integrity_check({most})")]
        for problem in said if said != ["ok"] else ():
            yield Finding("file", None, f"The file is damaged: {problem}.")


def small_file_damage(connection: Connection) -> str:
    """What is wrong with a file that is small enough to be looked over at once; else nothing."""
    pages, page = (
        connection.exec_driver_sql(f"PRAGMA {name}").scalar_one() for name in ("page_count", "page_size")
    )
    if pages * page > LOOKED_AT_BYTES:
        return ""
    return next((found.sentence.rstrip(".") for found in file_damage(connection, 1)), "")


def prove_newest(connection: Connection) -> None:
    """Raise `EntryDamaged` where one of the newest entries is not as it was recorded."""
    head = head_of(connection)
    last = head.number if head else 0
    newest = list(entries_of(rows_between(connection, max(0, last - _NEWEST - 1), last)))
    first = newest.pop(0) if last > _NEWEST else None
    for broken in breaks(newest, first):
        raise EntryDamaged(broken.number or last, "the chain of hashes breaks there")


def strayed(connection: Connection) -> Iterator[Finding]:
    """Entries of which an index says something else than their rows, so that a look would miss them."""
    for table in (entries.name, postings.name, readings.name):
        for index in connection.exec_driver_sql(f"PRAGMA index_list({table})").mappings().all():
            if index["origin"] != "pk":
                yield from _apart(connection, table, index["name"])


def _apart(connection: Connection, table: str, index: str) -> Iterator[Finding]:
    columns = [row[2] for row in connection.exec_driver_sql(f"PRAGMA index_info({index})")]
    asked = ", ".join(f'"{column}"' for column in columns)
    by_index = connection.exec_driver_sql(f"SELECT number, {asked} FROM {table} INDEXED BY {index}")
    # All columns are asked for, or SQLite reads them out of the index once more.
    by_row = connection.exec_driver_sql(f"SELECT * FROM {table} NOT INDEXED").mappings()
    rows = {(row["number"], *(row[column] for column in columns)) for row in by_row}
    for number in sorted({row[0] for row in rows ^ {tuple(row) for row in by_index}}):
        sentence = f"Entry {number} is listed by {columns[0]} as something else than what its rows say."
        yield Finding("file", number, sentence)
