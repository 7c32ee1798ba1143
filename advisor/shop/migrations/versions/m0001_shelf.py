"""Version 1 of the store: what the shop entered of its shelf."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Make the first table."""
    op.create_table(
        "shelf_entry",
        sa.Column("number", sa.Integer, primary_key=True),
        sa.Column("kind", sa.String(20), nullable=False),
        sa.Column("name", sa.String(60), nullable=False),
        sa.Column("values", sa.JSON, nullable=False),
        sa.Column("entered_at", sa.DateTime, nullable=False),
        sa.UniqueConstraint("kind", "name", name="one_entry_per_thing"),
    )
