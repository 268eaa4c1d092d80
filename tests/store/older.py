"""Books in an older form, as the program of that time left them."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import Connection, insert, select

from caskward.store.engine import Link
from caskward.store.journal import open_journal
from caskward.store.place import Place
from caskward.store.tables import APPLICATION_ID, VERSION_TABLE, balances, entries, postings, readings
from caskward.store.upgrade import MIGRATIONS

DATA = Path(__file__).parent / "data"
FIRST_FORM = DATA / "book_0001.sqlite"


def write_first_form(source: Place, target: Place) -> None:
    """Lay down the entries of a book in the form 0001; so was `data/book_0001.sqlite`, of `history(40)`."""
    link = Link(target)
    if target.file:
        with link.by_hand() as cursor:
            cursor.execute("PRAGMA journal_mode = WAL")
            cursor.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    with open_journal(source, create=False) as journal:
        last = journal.head()
        assert last is not None
        with journal.link.reading() as there, link.writing() as here:
            _take_first_step(here)
            for number in range(1, last.number + 1):
                for table in (entries, postings, readings):
                    rows = there.execute(select(table).where(table.c.number == number)).mappings().all()
                    if rows:
                        here.execute(insert(table), [dict(row) for row in rows])
            here.execute(insert(balances), [dict(row) for row in there.execute(select(balances)).mappings()])
    link.close()


def _take_first_step(connection: Connection) -> None:
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    config.attributes.update(connection=connection, version_table=VERSION_TABLE)
    command.upgrade(config, "0001")
