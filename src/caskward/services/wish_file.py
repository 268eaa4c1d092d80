"""A plan's file from its table: TOML as a maker would write it, read back as the same table."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Iterator, Mapping
from typing import Any

from caskward.errors import NotToml

Table = dict[str, Any]
_BARE = re.compile(r"[A-Za-z0-9_-]+\Z")


def table_of(text: str) -> Table:
    """The table of a plan's file.

    Raises:
        NotToml: it is none, and where.
    """
    try:
        return tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise NotToml(str(error)) from None


def as_text(table: Mapping[str, Any]) -> str:
    """A table as a plan's file: plain keys first, then each part under its own name."""
    return "\n".join(_lines(table, ())).strip("\n") + "\n"


def _lines(table: Mapping[str, Any], path: tuple[str, ...]) -> Iterator[str]:
    for key, value in table.items():
        if not _is_part(value):
            yield f"{_key(key)} = {_value(value)}"
    for key, value in table.items():
        where = (*path, key)
        name = ".".join(map(_key, where))
        if isinstance(value, Mapping):
            yield from ("", f"[{name}]", *_lines(value, where))
        elif _is_part(value):
            for row in value:
                yield from ("", f"[[{name}]]", *_row(row))


def _row(row: Mapping[str, Any]) -> Iterator[str]:
    for key, value in row.items():
        yield f"{_key(key)} = {_value(value)}"


def _is_part(value: object) -> bool:
    """Whether a value stands under a name of its own: a table, or a row of tables."""
    if isinstance(value, list):
        return bool(value) and all(isinstance(one, Mapping) for one in value)
    return isinstance(value, Mapping)


def _key(key: str) -> str:
    return key if _BARE.match(key) else _text(key)


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return _text(value)
    if isinstance(value, Mapping):
        inner = ", ".join(f"{_key(key)} = {_value(one)}" for key, one in value.items())
        return f"{{ {inner} }}" if inner else "{}"
    if isinstance(value, list):
        return f"[{', '.join(_value(one) for one in value)}]"
    if isinstance(value, int | float):
        return repr(value)
    return str(value.isoformat())


def _text(text: str) -> str:
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
