"""Triggers by which the database itself refuses to change, delete, replace or slip in what is in the book.

In SQLite `INSERT OR REPLACE` deletes the row that is in its way without asking a trigger on deletion, so the
insertion itself is asked: a new entry must have the next number and share no key or correction with an older
one; a posting or reading must belong to the newest entry and stand on a free line.
"""

from __future__ import annotations

from sqlalchemy import Connection

_LINES = ("postings", "readings")
_KEPT = ("entries", *_LINES)

_SQLITE_CHANGE = """
CREATE TRIGGER {table}_no_{deed} BEFORE {deed} ON {table}
BEGIN SELECT RAISE(ABORT, 'what is in the book stays: {table} are never changed or deleted'); END
"""
_SQLITE_ENTRY = """
CREATE TRIGGER entries_follow BEFORE INSERT ON entries
WHEN NEW.number IS NOT (SELECT coalesce(max(number), 0) + 1 FROM entries)
  OR EXISTS (SELECT 1 FROM entries WHERE "key" = NEW."key")
  OR EXISTS (SELECT 1 FROM entries WHERE corrects = NEW.corrects)
BEGIN SELECT RAISE(ABORT, 'what is in the book stays: an entry follows on the newest one'); END
"""
_SQLITE_LINE = """
CREATE TRIGGER {table}_follow BEFORE INSERT ON {table}
WHEN NEW.number IS NOT (SELECT max(number) FROM entries)
  OR EXISTS (SELECT 1 FROM {table} WHERE number = NEW.number AND line = NEW.line)
BEGIN SELECT RAISE(ABORT, 'what is in the book stays: {table} belong to the newest entry'); END
"""

_POSTGRES_REFUSE = """
CREATE FUNCTION book_stays() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  RAISE EXCEPTION USING ERRCODE = 'restrict_violation',
    MESSAGE = 'what is in the book stays: ' || TG_TABLE_NAME || ' are never changed or deleted';
END $$
"""
_POSTGRES_CHANGE = """
CREATE TRIGGER {table}_stay BEFORE UPDATE OR DELETE OR TRUNCATE ON {table}
FOR EACH STATEMENT EXECUTE FUNCTION book_stays()
"""
_POSTGRES_FOLLOWS = """
CREATE FUNCTION book_follows() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE newest bigint := coalesce((SELECT max(number) FROM entries), 0);
BEGIN
  IF NEW.number IS DISTINCT FROM newest + (CASE WHEN TG_TABLE_NAME = 'entries' THEN 1 ELSE 0 END) THEN
    RAISE EXCEPTION USING ERRCODE = 'restrict_violation',
      MESSAGE = 'what is in the book stays: ' || TG_TABLE_NAME || ' follow on the newest entry';
  END IF;
  RETURN NEW;
END $$
"""
_POSTGRES_LINE = """
CREATE TRIGGER {table}_follow BEFORE INSERT ON {table}
FOR EACH ROW EXECUTE FUNCTION book_follows()
"""


def set_guards(connection: Connection) -> None:
    """Set all guards on the three tables, which have none."""
    for statement in _statements(connection.dialect.name):
        connection.exec_driver_sql(statement)


def _statements(dialect: str) -> list[str]:
    if dialect == "postgresql":
        each = (_POSTGRES_CHANGE, _POSTGRES_LINE)
        by_table = [text.format(table=table) for table in _KEPT for text in each]
        return [_POSTGRES_REFUSE, _POSTGRES_FOLLOWS, *by_table]
    changes = [_SQLITE_CHANGE.format(table=t, deed=deed) for t in _KEPT for deed in ("UPDATE", "DELETE")]
    return [*changes, _SQLITE_ENTRY, *(_SQLITE_LINE.format(table=table) for table in _LINES)]
