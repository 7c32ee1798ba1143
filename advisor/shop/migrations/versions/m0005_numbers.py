"""Version 5 of the store: the number of a job that was pressed is given to no other."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"


def upgrade() -> None:
    """Copy the pressed jobs into a table that never gives a number twice."""
    op.rename_table("pressed_job", "pressed_job_before")
    op.drop_index("pressed_job_by_key", "pressed_job_before")
    columns = (
        sa.Column("key", sa.String(64), nullable=False),
        sa.Column("job", sa.String(80), nullable=False),
        sa.Column("plan", sa.JSON, nullable=False),
        sa.Column("shelf", sa.JSON, nullable=False),
        sa.Column("taken", sa.JSON, nullable=False),
        sa.Column("pressed_at", sa.DateTime, nullable=False),
    )
    op.create_table(
        "pressed_job",
        sa.Column("number", sa.Integer, primary_key=True),
        *columns,
        sqlite_autoincrement=True,
    )
    op.create_index("pressed_job_by_key", "pressed_job", ["key"])
    names = ", ".join(("number", *(column.name for column in columns)))
    op.execute(f"INSERT INTO pressed_job ({names}) SELECT {names} FROM pressed_job_before")
    op.drop_table("pressed_job_before")
