"""An entry as JSON, in one form only: the bytes that are hashed, and the lines of an exported book.

Keys in order of their code points, no spaces, UTF-8, text in Unicode's composed form (NFC), whole numbers,
times in UTC with six decimals and a Z. `format` names this form, so that a later one can stand beside it.
"""

from __future__ import annotations

import json
from dataclasses import fields
from datetime import UTC, datetime
from typing import Any

from caskward.book.entry import Deed, Entry, Posting, Reading
from caskward.book.frozen import FrozenMap, thawed
from caskward.errors import CaskwardError
from caskward.errors.book import UnreadableEntry

FORMAT = 1

_READING = tuple(part.name for part in fields(Reading))
_DEED_KEYS = frozenset(
    "author batch corrects details done_at key kind note postings readings site".split()  # noqa: SIM905
)
_ENTRY_KEYS = _DEED_KEYS | {"before", "format", "hash", "number", "recorded_at"}


def canonical(value: object) -> str:
    """Plain JSON data in the one form."""
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def moment_text(moment: datetime) -> str:
    """A moment in UTC: `2026-11-25T18:47:45.000000Z`; as text it sorts as in time."""
    return moment.astimezone(UTC).isoformat(timespec="microseconds").removesuffix("+00:00") + "Z"


def moment_from_text(written: str) -> datetime:
    """The moment that `moment_text` wrote, and no other writing of it."""
    moment = datetime.fromisoformat(written)
    if moment.tzinfo is None or moment_text(moment) != written:
        raise ValueError(written)
    return moment


def deed_data(deed: Deed) -> dict[str, Any]:
    """What was done, as plain JSON data; of an entry too, without its place in the book."""
    return {
        "author": deed.author,
        "batch": deed.batch,
        "corrects": deed.corrects,
        "details": thawed(deed.details),
        "done_at": moment_text(deed.done_at),
        "key": deed.key,
        "kind": deed.kind,
        "note": deed.note,
        "postings": [[part.account, part.commodity, part.amount] for part in deed.postings],
        "readings": [{name: getattr(one, name) for name in _READING} for one in deed.readings],
        "site": deed.site,
    }


def same_deed(one: Deed, other: Deed) -> bool:
    """Whether both say the same, be they in the book or not."""
    return canonical(deed_data(one)) == canonical(deed_data(other))


def hashed_data(deed: Deed, number: int, recorded_at: datetime, before: str) -> dict[str, Any]:
    """All that an entry's hash covers: everything but the hash itself."""
    place = {"before": before, "format": FORMAT, "number": number, "recorded_at": moment_text(recorded_at)}
    return deed_data(deed) | place


def entry_line(entry: Entry) -> str:
    """An entry as one line of an exported book, without the line's end."""
    data = hashed_data(entry, entry.number, entry.recorded_at, entry.before)
    return canonical(data | {"hash": entry.hash})


def entry_from_line(line: str, where: str = "The line") -> Entry:
    """The entry that `entry_line` wrote. Its hash is taken as it stands; `chain` proves it.

    Raises `UnreadableEntry`, which says `where`.
    """
    try:
        data = json.loads(line, object_pairs_hook=_each_key_once)
        return entry_from_data(data)
    except json.JSONDecodeError as problem:
        why = f"its text was changed or cut at its character {problem.pos + 1}"
        raise UnreadableEntry(where, why) from None
    except (ValueError, TypeError, KeyError) as problem:
        raise UnreadableEntry(where, str(problem) or "it is not JSON") from None
    except CaskwardError as problem:
        raise UnreadableEntry(where, str(problem).rstrip(".")) from None


def entry_from_data(data: object) -> Entry:
    """An entry from plain JSON data as in `entry_line`; what it lacks or has too much raises `ValueError`."""
    if not isinstance(data, dict) or set(data) != _ENTRY_KEYS:
        raise ValueError("its keys are not those of an entry")
    if data["format"] != FORMAT or isinstance(data["format"], bool):
        raise ValueError(f"it is written in form {data['format']!r}, and this program reads form {FORMAT}")
    return Entry(
        **_deed_fields(data),
        number=data["number"],
        recorded_at=moment_from_text(data["recorded_at"]),
        before=data["before"],
        hash=data["hash"],
    )


def deed_from_data(data: object) -> Deed:
    """A deed from plain JSON data as `deed_data` makes them."""
    if not isinstance(data, dict) or set(data) != _DEED_KEYS:
        raise ValueError("its keys are not those of a deed")
    return Deed(**_deed_fields(data))


def _deed_fields(data: dict[str, Any]) -> dict[str, Any]:
    plain = {key: data[key] for key in _DEED_KEYS - {"details", "done_at", "postings", "readings"}}
    return plain | {
        "done_at": moment_from_text(data["done_at"]),
        "details": FrozenMap(data["details"]),
        "postings": tuple(Posting(*part) for part in data["postings"]),
        "readings": tuple(Reading(**part) for part in data["readings"]),
    }


def _each_key_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        raise ValueError("a key stands twice")
    return found
