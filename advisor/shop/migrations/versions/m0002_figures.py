"""Version 2 of the store: the figures that quotes reckon with."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Add the table of figures."""
    op.create_table(
        "shop_figure",
        sa.Column("name", sa.String(40), primary_key=True),
        sa.Column("value", sa.JSON, nullable=False),
    )
