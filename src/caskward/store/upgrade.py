"""A book in today's form: made where there is none, brought up to date if older, refused if newer."""

from __future__ import annotations

import os
import sqlite3
from contextlib import suppress
from enum import Enum
from pathlib import Path

from sqlalchemy import Connection, inspect, text

from caskward.errors import BookFromLater, NoBookYet, NotABook
from caskward.store.engine import Link, is_there, make_folder
from caskward.store.locking import alone
from caskward.store.projections import rebuild
from caskward.store.setaside import copy_aside
from caskward.store.tables import APPLICATION_ID, REVISION, VERSION_TABLE

MIGRATIONS = Path(__file__).parent / "migrations"


class Form(Enum):
    """What is found at a place."""

    NONE = "none"
    TODAYS = "today's"
    OTHER = "older or newer"


def make_ready(link: Link, *, create: bool = True, aside: bool = True) -> None:
    """See to it that the link leads to a book in today's form.

    `create`: make one where there is none. An older file is copied aside first if `aside`. Raises
    `NoBookYet`, `NotABook`, `BookFromLater`, or what the disk or server says.
    """
    file = link.place.file
    if file is not None and not is_there(file):
        if not create:
            raise NoBookYet(str(link.place))
        make_folder(file)
    with link.reading() as connection:
        form = _form(connection, link)
    if form is Form.TODAYS:
        _keep_a_log(link)
        return
    if form is Form.NONE and not create:
        raise NoBookYet(str(link.place))
    if file is not None and form is Form.NONE:
        _mark(link)
    with link.writing() as connection:
        alone(connection)
        _bring_up_to_date(connection, link, aside)
    if file is not None:
        _sync_folder(file.parent)


def known_revisions() -> tuple[str, ...]:
    """The forms that this program can read, oldest first."""
    from alembic.script import ScriptDirectory

    script = ScriptDirectory(str(MIGRATIONS))
    return tuple(step.revision for step in reversed(list(script.walk_revisions())))


def revision_of(connection: Connection) -> str | None:
    """The form of the book that is open, None if nothing says it."""
    said = connection.execute(text(f"SELECT version_num FROM {VERSION_TABLE}")).scalar_one_or_none()
    return None if said is None else str(said)


def _form(connection: Connection, link: Link) -> Form:
    tables = set(inspect(connection).get_table_names())
    if not tables:
        return Form.NONE
    if VERSION_TABLE not in tables or (not link.on_server and not _is_marked(connection)):
        raise NotABook(str(link.place))
    return Form.TODAYS if revision_of(connection) == REVISION else Form.OTHER


def _is_marked(connection: Connection) -> bool:
    return bool(connection.exec_driver_sql("PRAGMA application_id").scalar_one() == APPLICATION_ID)


def _mark(link: Link) -> None:
    """Say in the head of a new file what it is, and that it keeps a log of what it writes (WAL)."""
    with link.by_hand() as cursor:
        cursor.execute("PRAGMA journal_mode = WAL")
        cursor.execute(f"PRAGMA application_id = {APPLICATION_ID}")


def _keep_a_log(link: Link) -> None:
    """A backup that is used as the book itself keeps none yet; one that may only be read needs none."""
    if link.place.file is not None:
        with link.by_hand() as cursor:
            cursor.execute("PRAGMA journal_mode")
            if cursor.fetchone() != ("wal",):
                with suppress(sqlite3.OperationalError):
                    cursor.execute("PRAGMA journal_mode = WAL")


def _bring_up_to_date(connection: Connection, link: Link, aside: bool) -> None:
    # Asked again: somebody else may have done it between the first look and the lock.
    form = _form(connection, link)
    if form is Form.TODAYS:
        return
    if form is Form.OTHER:
        revision = revision_of(connection) or "unknown"
        if revision not in known_revisions():
            raise BookFromLater(str(link.place), revision, REVISION)
        if link.place.file is not None and aside:
            copy_aside(link.place.file, f"before-form-{REVISION}")
    _take_steps(connection, REVISION)
    rebuild(connection)


def _take_steps(connection: Connection, until: str) -> None:
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    config.attributes.update(connection=connection, version_table=VERSION_TABLE)
    command.upgrade(config, until)


def _sync_folder(folder: Path) -> None:
    """A new file is only there after a power cut if its folder was written too."""
    with suppress(OSError):  # not every system lets a folder be opened
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
