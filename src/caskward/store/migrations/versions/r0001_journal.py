"""The journal: entries, their postings and readings, which nobody may change; balances follow from them."""

from __future__ import annotations

from alembic import op
from sqlalchemy import (
    BigInteger,
    Column,
    ForeignKeyConstraint,
    Integer,
    PrimaryKeyConstraint,
    Text,
    UniqueConstraint,
)
from sqlalchemy.types import TypeEngine

from caskward.store.migrations.guards_0001 import set_guards

revision = "0001"
down_revision = None

TEXT: TypeEngine[str] = Text().with_variant(Text(collation="C"), "postgresql")
WHOLE: TypeEngine[int] = BigInteger().with_variant(Integer(), "sqlite")


def text(name: str, *, empty: bool = False) -> Column[str]:
    """A column of text."""
    return Column(name, TEXT, nullable=empty)


def whole(name: str, *, empty: bool = False) -> Column[int]:
    """A column of whole numbers of 64 bits."""
    return Column(name, WHOLE, nullable=empty, autoincrement=False)


def upgrade() -> None:
    """Make the tables, and the guards on those that are never changed."""
    _entries()
    _postings()
    _readings()
    op.create_table(
        "balances",
        text("account"),
        text("commodity"),
        whole("amount"),
        PrimaryKeyConstraint("account", "commodity"),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    set_guards(op.get_bind())


def _entries() -> None:
    op.create_table(
        "entries",
        whole("number"),
        text("key"),
        whole("format"),
        text("kind"),
        text("done_at"),
        text("recorded_at"),
        text("author"),
        text("site"),
        text("batch", empty=True),
        whole("corrects", empty=True),
        text("details"),
        text("note"),
        text("before"),
        text("hash"),
        PrimaryKeyConstraint("number"),
        UniqueConstraint("key"),
        UniqueConstraint("corrects"),
        ForeignKeyConstraint(["corrects"], ["entries.number"]),
        sqlite_strict=True,
    )


def _postings() -> None:
    op.create_table(
        "postings",
        whole("number"),
        whole("line"),
        text("account"),
        text("commodity"),
        whole("amount"),
        whole("after"),
        PrimaryKeyConstraint("number", "line"),
        ForeignKeyConstraint(["number"], ["entries.number"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index("postings_of_account", "postings", ["account", "number", "line"])


def _readings() -> None:
    op.create_table(
        "readings",
        whole("number"),
        whole("line"),
        text("quantity"),
        text("typed"),
        text("value"),
        text("unit"),
        text("instrument"),
        text("temp_c", empty=True),
        text("calibrated_at_c", empty=True),
        text("tolerance", empty=True),
        PrimaryKeyConstraint("number", "line"),
        ForeignKeyConstraint(["number"], ["entries.number"]),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
