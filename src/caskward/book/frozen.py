"""Details of an entry: JSON that cannot change, without fractions, in one normal form."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Mapping
from typing import Union

from caskward.errors.book import BadField

Json = Union[None, bool, int, str, tuple["Json", ...], "FrozenMap"]
"""What an entry may carry: no floats, whose digits differ from one program to another."""

LARGEST = 10**18 - 1
"""A whole number of 18 digits: so that sums of a few still fit 64 bits."""
_KEPT_CONTROLS = "\n\t"


class FrozenMap(Mapping[str, Json]):
    """A mapping that cannot be changed, can be pickled, and equals any mapping of the same content."""

    __slots__ = ("_items",)

    def __init__(self, items: Mapping[str, object] | None = None) -> None:
        self._items = {text(key, "key of a detail"): frozen(value) for key, value in (items or {}).items()}

    @classmethod
    def of(cls, items: Mapping[str, object]) -> FrozenMap:
        """The mapping frozen; one that is so already is not gone through again."""
        return items if isinstance(items, FrozenMap) else cls(items)

    def __getitem__(self, key: str) -> Json:
        return self._items[key]

    def __iter__(self) -> Iterator[str]:
        return iter(self._items)

    def __len__(self) -> int:
        return len(self._items)

    def __hash__(self) -> int:
        return hash(frozenset(self._items.items()))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Mapping) and self._items == dict(other)

    def __repr__(self) -> str:
        return f"FrozenMap({self._items!r})"

    def __reduce__(self) -> tuple[type[FrozenMap], tuple[dict[str, object]]]:
        return FrozenMap, (dict(self._items),)


def frozen(value: object) -> Json:
    """The value with lists as tuples and mappings as `FrozenMap`; raises `BadField` for what is no such."""
    if isinstance(value, str):
        return text(value, "text in the details")
    if value is None or isinstance(value, (bool, FrozenMap)):
        return value
    if isinstance(value, int):
        return whole(value, "number in the details")
    if isinstance(value, (list, tuple)):
        return tuple(frozen(part) for part in value)
    if isinstance(value, Mapping):
        return FrozenMap(value)
    raise BadField("details", value, "text, whole numbers, yes or no, lists; a fraction is written as text")


def thawed(value: Json) -> object:
    """The value as plain dicts and lists, as `json` writes them."""
    if isinstance(value, FrozenMap):
        return {key: thawed(part) for key, part in value._items.items()}
    return [thawed(part) for part in value] if isinstance(value, tuple) else value


def text(value: object, field: str, *, empty: bool = True, longest: int = 100_000) -> str:
    """Text in Unicode's composed form, without control signs that a database or a screen would choke on."""
    if not isinstance(value, str):
        raise BadField(field, value, "text")
    composed = value if value.isascii() else unicodedata.normalize("NFC", value)
    if not composed.isprintable() and any(map(_is_control, composed)):
        raise BadField(field, value, "text without control signs")
    if not empty and (not composed or composed != composed.strip()):
        raise BadField(field, value, "text that neither is empty nor begins or ends with a space")
    if len(composed) > longest:
        raise BadField(field, composed[:40] + "...", f"at most {longest} signs long")
    return composed


def _is_control(sign: str) -> bool:
    return unicodedata.category(sign) in ("Cc", "Cs") and sign not in _KEPT_CONTROLS


def whole(value: object, field: str) -> int:
    """A whole number that every database can keep [at most 18 digits]."""
    if isinstance(value, bool) or not isinstance(value, int) or abs(value) > LARGEST:
        raise BadField(field, value, "a whole number of at most 18 digits")
    return value
