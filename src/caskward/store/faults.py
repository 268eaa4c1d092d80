"""What a database says when it cannot, as a sentence for the person who keeps the book."""

from __future__ import annotations

import sqlite3

from caskward.errors import (
    BookBusy,
    BookDamaged,
    BookFolderShut,
    CaskwardError,
    DiskTrouble,
    NoRoomForBook,
    NotABook,
    ReadOnlyBook,
    ServerNotReached,
)
from caskward.store.place import Place

# The low byte of SQLite's extended codes is the kind of fault.
_KIND = 0xFF
_BUSY = {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}

# PostgreSQL's SQLSTATE, whole or by its class (appendix A of its manual).
_NO_ROOM = {"53100"}
_READ_ONLY = {"25006", "42501"}
_LOCKED = {"55P03", "40P01"}
_BROKEN_CLASSES = {"XX", "58"}
_UNREACHED_CLASSES = {"08", "57", "28", "3D", "53"}


def refusal_of(error: BaseException, place: Place, waited_s: float) -> CaskwardError:
    """The house's own error for a driver's; `waited_s`: how long a lock is waited for [s]."""
    if isinstance(error, sqlite3.Error):
        return of_file(error, str(place), waited_s)
    return _of_server(error, str(place), waited_s)


def of_file(error: sqlite3.Error, shown: str, waited_s: float) -> CaskwardError:
    """The house's own error for one of SQLite's."""
    code = getattr(error, "sqlite_errorcode", 0) & _KIND
    if code in _BUSY:
        return BookBusy(shown, waited_s)
    if code == sqlite3.SQLITE_CANTOPEN:
        return BookFolderShut(shown, "the file cannot be opened")
    by_code: dict[int, type[NoRoomForBook | ReadOnlyBook | NotABook]] = {
        sqlite3.SQLITE_FULL: NoRoomForBook,
        sqlite3.SQLITE_READONLY: ReadOnlyBook,
        sqlite3.SQLITE_PERM: ReadOnlyBook,
        sqlite3.SQLITE_NOTADB: NotABook,
    }
    if code in by_code:
        return by_code[code](shown)
    if code == sqlite3.SQLITE_CORRUPT:
        return BookDamaged(shown, str(error))
    return DiskTrouble(shown, str(error))


def _of_server(error: BaseException, shown: str, waited_s: float) -> CaskwardError:
    state: str = getattr(error, "sqlstate", None) or ""
    why = _first_line(error)
    if state in _NO_ROOM:
        return NoRoomForBook(shown)
    if state in _READ_ONLY:
        return ReadOnlyBook(shown)
    if state in _LOCKED:
        return BookBusy(shown, waited_s)
    if state[:2] in _BROKEN_CLASSES:
        return BookDamaged(shown, why)
    if not state or state[:2] in _UNREACHED_CLASSES:
        return ServerNotReached(shown, _unreached(why))
    return DiskTrouble(shown, why)


_UNREACHED = (
    (("refused",), "nothing answers at its address and port"),
    (("timeout", "timed out"), "it does not answer in time"),
    (("name or service", "resolve", "nodename"), "no machine goes by the name in its address"),
    (("too many", "slots"), "it has no room for one more connection"),
    (("password", "authentication", "role ", "pg_hba"), "it does not take the name or password"),
    (("starting up", "shutting down", "shutdown"), "it is just starting or stopping"),
    (("does not exist",), "it has no database of that name"),
    (("no route", "unreachable"), "no way leads to it over the network"),
    (("no such file",), "no server listens there"),
    (("ssl", "certificate"), "no safe connection to it can be made"),
)
"""What a driver's words mean to the person who keeps the book; the first that fits."""


def _unreached(why: str) -> str:
    said = why.casefold()
    for signs, meaning in _UNREACHED:
        if any(sign in said for sign in signs):
            return meaning
    return "the connection to it was cut or not made"


def _first_line(error: BaseException) -> str:
    said = str(error).strip().splitlines() or [type(error).__name__]
    return said[0].rstrip(".")
