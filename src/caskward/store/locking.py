"""One writer at a time, also where the database would let many write side by side."""

from __future__ import annotations

from sqlalchemy import Connection, text

# Any two numbers, the same in every Caskward: with them PostgreSQL names the lock.
_LOCK = (0x43534B57, 0x626F6F6B)
_TAKE = text(f"SELECT pg_advisory_xact_lock({_LOCK[0]}, {_LOCK[1]})")


def alone(connection: Connection) -> None:
    """Wait until no other writes, and be the only writer until the transaction ends.

    In SQLite a transaction that writes is the only one from its beginning.
    """
    if connection.dialect.name == "postgresql":
        connection.execute(_TAKE)
