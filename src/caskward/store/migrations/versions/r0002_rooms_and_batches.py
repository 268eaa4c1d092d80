"""What a deed is judged by besides balances: declared volumes and batches; entries by batch and by time."""

from __future__ import annotations

from alembic import op
from sqlalchemy import BigInteger, CheckConstraint, Column, Integer, PrimaryKeyConstraint, Text
from sqlalchemy.types import TypeEngine

revision = "0002"
down_revision = "0001"

TEXT: TypeEngine[str] = Text().with_variant(Text(collation="C"), "postgresql")
WHOLE: TypeEngine[int] = BigInteger().with_variant(Integer(), "sqlite")


def upgrade() -> None:
    """Make both projections, empty, and the two indexes."""
    op.create_table(
        "rooms",
        Column("account", TEXT, nullable=False),
        Column("volume_ul", WHOLE, nullable=False),
        PrimaryKeyConstraint("account"),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "batches",
        Column("batch", TEXT, nullable=False),
        Column("standing", TEXT, nullable=False),
        PrimaryKeyConstraint("batch"),
        CheckConstraint("standing IN ('open', 'closed')"),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index("entries_of_batch", "entries", ["batch", "number"])
    op.create_index("entries_by_time", "entries", ["done_at", "number"])
