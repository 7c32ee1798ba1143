"""Version 3 of the store: jobs as they were pressed, and what they took off the shelf."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    """Add the table of pressed jobs."""
    op.create_table(
        "pressed_job",
        sa.Column("number", sa.Integer, primary_key=True),
        sa.Column("key", sa.String(64), nullable=False),
        sa.Column("job", sa.String(80), nullable=False),
        sa.Column("plan", sa.JSON, nullable=False),
        sa.Column("shelf", sa.JSON, nullable=False),
        sa.Column("taken", sa.JSON, nullable=False),
        sa.Column("pressed_at", sa.DateTime, nullable=False),
    )
    op.create_index("pressed_job_by_key", "pressed_job", ["key"])
