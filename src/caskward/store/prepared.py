"""Statements that every entry needs: compiled once for each database, then handed to the driver as they are.

They are written in SQLAlchemy's words like all others. What is saved is its work around each execution, which
together is more than what SQLite needs to check, write and index an entry.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy import Connection, Dialect
from sqlalchemy.sql.compiler import SQLCompiler
from sqlalchemy.sql.elements import ClauseElement


class Prepared:
    """A statement whose values are plain text, whole numbers or None, so that nothing need be converted."""

    def __init__(self, statement: ClauseElement) -> None:
        self._statement = statement
        self._compiled: dict[str, _Compiled] = {}

    def rows(self, connection: Connection, **values: Any) -> list[tuple[Any, ...]]:
        """The rows that the statement gives with these values."""
        known = self._for(connection.dialect)
        cursor = connection.connection.cursor()
        try:
            cursor.execute(known.text, known.ordered(values))
            return list(cursor.fetchall())
        finally:
            cursor.close()

    def write(self, connection: Connection, rows: Sequence[Mapping[str, Any]]) -> None:
        """Execute the statement once for each row of values."""
        if not rows:
            return
        known = self._for(connection.dialect)
        cursor = connection.connection.cursor()
        try:
            if len(rows) == 1:
                cursor.execute(known.text, known.ordered(rows[0]))
            else:
                cursor.executemany(known.text, [known.ordered(row) for row in rows])
        finally:
            cursor.close()

    def _for(self, dialect: Dialect) -> _Compiled:
        known = self._compiled.get(dialect.name)
        if known is None:
            known = self._compiled[dialect.name] = _Compiled(self._statement, dialect)
        return known


class _Compiled:
    """A statement's text for one database, and how that takes its values."""

    def __init__(self, statement: ClauseElement, dialect: Dialect) -> None:
        compiled = statement.compile(dialect=dialect)
        assert isinstance(compiled, SQLCompiler)
        self.text = str(compiled)
        self._names = compiled.positiontup
        self._fixed = {name: value for name, value in compiled.params.items() if value is not None}

    def ordered(self, values: Mapping[str, Any]) -> Any:
        """Values as the driver wants them: in order where it counts question marks, else by name."""
        given = self._fixed | dict(values) if self._fixed else values
        return given if self._names is None else tuple([given[name] for name in self._names])
