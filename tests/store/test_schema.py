"""The tables as statements take them are the tables that the steps make."""

from __future__ import annotations

from sqlalchemy import inspect

from caskward.store.journal import Journal
from caskward.store.tables import REVISION, VERSION_TABLE, metadata
from caskward.store.upgrade import known_revisions


def test_the_newest_step_is_the_form_that_is_written() -> None:
    assert known_revisions()[-1] == REVISION
    assert known_revisions() == tuple(sorted(known_revisions()))


def test_tables_and_steps_agree(journal: Journal) -> None:
    with journal.link.reading() as connection:
        there = inspect(connection)
        assert set(there.get_table_names()) == {*metadata.tables, VERSION_TABLE}
        for name, table in metadata.tables.items():
            made = {column["name"]: column["nullable"] for column in there.get_columns(name)}
            assert made == {column.name: column.nullable for column in table.c}, name
            assert list(made) == [column.name for column in table.c]
            keys = there.get_pk_constraint(name)["constrained_columns"]
            assert keys == [column.name for column in table.primary_key], name
            kinds = {column["name"]: str(column["type"]).split()[0] for column in there.get_columns(name)}
            assert kinds == {
                column.name: str(column.type.compile(connection.dialect)).split()[0] for column in table.c
            }
