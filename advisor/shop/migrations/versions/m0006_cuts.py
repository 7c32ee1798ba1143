"""Version 6 of the store: what jobs took of film as they were cut."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"


def upgrade() -> None:
    """Add the table of jobs that were nested and cut."""
    op.create_table(
        "cut_job",
        sa.Column("key", sa.String(64), primary_key=True),
        sa.Column("taken", sa.JSON, nullable=False),
    )
