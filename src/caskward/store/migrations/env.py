"""How Alembic takes a step: in the transaction that `store.upgrade` has begun, all steps or none."""

from __future__ import annotations

from alembic import context

context.configure(
    connection=context.config.attributes["connection"],
    version_table=context.config.attributes["version_table"],
    transactional_ddl=True,
)
context.run_migrations()
