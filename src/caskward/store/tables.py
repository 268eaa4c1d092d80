"""The tables as statements are written against them; `migrations` makes them.

Truth is in `entries`, `postings` and `readings`, which the database itself refuses to change: an entry's hash
covers every column of its rows but `after`. The other tables are projections, which follow from them.
"""

from __future__ import annotations

from sqlalchemy import BigInteger, Column, Integer, MetaData, Table, Text
from sqlalchemy.types import TypeEngine

REVISION = "0002"
"""The newest form of the tables, which this program writes."""

VERSION_TABLE = "schema_version"
APPLICATION_ID = 0x43534B57  # CSKW, in the head of every SQLite file: what kind of file this is

metadata = MetaData()
# In order of bytes on both databases, so that a name's beginning is a range.
_TEXT: TypeEngine[str] = Text().with_variant(Text(collation="C"), "postgresql")
_WHOLE: TypeEngine[int] = BigInteger().with_variant(Integer(), "sqlite")


def _text(name: str, *, key: bool = False, empty: bool = False) -> Column[str]:
    return Column(name, _TEXT, primary_key=key, nullable=empty)


def _whole(name: str, *, key: bool = False, empty: bool = False) -> Column[int]:
    return Column(name, _WHOLE, primary_key=key, nullable=empty, autoincrement=False)


entries = Table(
    "entries",
    metadata,
    _whole("number", key=True),
    _text("key"),
    _whole("format"),
    _text("kind"),
    _text("done_at"),
    _text("recorded_at"),
    _text("author"),
    _text("site"),
    _text("batch", empty=True),
    _whole("corrects", empty=True),
    _text("details"),
    _text("note"),
    _text("before"),
    _text("hash"),
)

postings = Table(
    "postings",
    metadata,
    _whole("number", key=True),
    _whole("line", key=True),
    _text("account"),
    _text("commodity"),
    _whole("amount"),
    _whole("after"),  # what is in the account then: a page of it needs no sum over all that came before
)

readings = Table(
    "readings",
    metadata,
    _whole("number", key=True),
    _whole("line", key=True),
    _text("quantity"),
    _text("typed"),
    _text("value"),
    _text("unit"),
    _text("instrument"),
    _text("temp_c", empty=True),
    _text("calibrated_at_c", empty=True),
    _text("tolerance", empty=True),
)

balances = Table(
    "balances",
    metadata,
    _text("account", key=True),
    _text("commodity", key=True),
    _whole("amount"),
)

rooms = Table("rooms", metadata, _text("account", key=True), _whole("volume_ul"))

batches = Table("batches", metadata, _text("batch", key=True), _text("standing"))
