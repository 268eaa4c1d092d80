"""Strict reading of one TOML table: every key is asked for once, and what is left over is an error."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Mapping
from typing import Any, NoReturn, TypeVar

from caskward.errors import MissingValue, UnknownName, WrongShape

T = TypeVar("T")
_MISSING: Any = object()


class Section:
    """One table of a maker's file; knows its place for the sentences, and which keys were asked for."""

    def __init__(self, where: str, table: object, needs_unit: tuple[Callable[..., Any], ...] = ()) -> None:
        """Take the table called `where`; anything but a table is refused.

        `needs_unit` are readers that refuse a bare number, for makers whose units are not ours.
        """
        if not isinstance(table, Mapping):
            raise WrongShape(where, table, "a table of keys")
        self._where, self._table, self._asked = where, table, list[str]()
        self._needs_unit = needs_unit

    def has(self, key: str) -> bool:
        """True where the maker wrote this key; the key counts as known from here on."""
        self._asked.append(key)
        return key in self._table

    def take(self, key: str, read: Callable[..., T], example: str, default: T = _MISSING) -> T:
        """The value of a key, read by `read(value, what=place)`; missing without a default is refused."""
        if not self.has(key):
            if default is _MISSING:
                self._refuse_missing(key, f"{key} = {example}")
            return default
        value = self._table[key]
        if read in self._needs_unit and isinstance(value, int | float):
            raise WrongShape(self.said(key), value, f"an amount with its unit in quotes, such as {example}")
        return read(value, what=self.said(key))

    def section(self, key: str, needed: bool = False, example: str = "") -> Section | None:
        """A table inside this one."""
        if self.has(key):
            return Section(self.place(key), self._table[key], self._needs_unit)
        if needed:
            self._refuse_missing(key, f"[{key}] with {example}", what=f"a table [{key}]")
        return None

    def _refuse_missing(self, key: str, example: str, what: str = "") -> NoReturn:
        """Say what is missing, or which key was meant for it."""
        unasked = [written for written in self._table if written not in self._asked]
        meant = difflib.get_close_matches(key, unasked, n=1, cutoff=0.7)
        if meant:
            raise UnknownName(self._what_is_unknown(), meant[0], key)
        raise MissingValue(f"[{self._where}]" if self._where else "The file", what or key, example)

    def _what_is_unknown(self) -> str:
        return f"key in [{self._where}]" if self._where else "key at the top of the file"

    def sections(self, key: str) -> list[Section]:
        """An array of tables inside this one; none where it is missing."""
        if not self.has(key):
            return []
        rows = self._table[key]
        if not isinstance(rows, list):
            raise WrongShape(
                self.place(key), rows, f"one or more tables, each begun with [[{self.place(key)}]]"
            )
        return [Section(f"{self.place(key)} {i}", row, self._needs_unit) for i, row in enumerate(rows, 1)]

    def mapping(self, key: str) -> Mapping[str, Any]:
        """A table inside this one whose keys the maker chooses; empty where it is missing."""
        if not self.has(key):
            return {}
        if not isinstance(self._table[key], Mapping):
            raise WrongShape(self.place(key), self._table[key], "a table of keys")
        return dict(self._table[key])

    def raw(self, key: str) -> object:
        """The value as TOML has it; None where it is missing."""
        return self._table[key] if self.has(key) else None

    def place(self, key: str) -> str:
        """Where a key stands, as the maker would find it."""
        return f"{self._where}.{key}" if self._where else key

    def said(self, key: str) -> str:
        """A key as a sentence about its value begins."""
        return f"{key} in [{self._where}]" if self._where else key

    def done(self) -> None:
        """Refuse what nobody asked for, naming the nearest key that is known."""
        for key in self._table:
            if key not in self._asked:
                close = difflib.get_close_matches(key, self._asked, n=1, cutoff=0.5)
                known = tuple(dict.fromkeys(self._asked))
                raise UnknownName(self._what_is_unknown(), key, close[0] if close else None, known)


def text(given: object, *, what: str) -> str:
    """A string that is not empty."""
    if not isinstance(given, str) or not given.strip():
        raise WrongShape(what, given, "words in quotes")
    return given.strip()


def flag(given: object, *, what: str) -> bool:
    """True or false."""
    if not isinstance(given, bool):
        raise WrongShape(what, given, "true or false, without quotes")
    return given


def whole(least: int, most: int) -> Callable[..., int]:
    """A reader of whole numbers between two bounds."""

    def read(given: object, *, what: str) -> int:
        if not isinstance(given, int) or isinstance(given, bool) or not least <= given <= most:
            raise WrongShape(what, given, f"a whole number from {least} to {most}, without quotes")
        return given

    return read


def one_of(*allowed: str) -> Callable[..., str]:
    """A reader of one word out of a few."""

    def read(given: object, *, what: str) -> str:
        if given not in allowed:
            raise WrongShape(what, given, " or ".join(f'"{word}"' for word in allowed))
        return str(given)

    return read
