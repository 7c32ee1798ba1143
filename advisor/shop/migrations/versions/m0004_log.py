"""Version 4 of the store: the log of what became of the garments that were pressed."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    """Add the tables of logged presses and of their bond lines."""
    op.create_table(
        "logged_press",
        sa.Column("number", sa.Integer, primary_key=True),
        sa.Column("fabric", sa.String(60), nullable=False),
        sa.Column("press", sa.String(60), nullable=False),
        sa.Column("garments", sa.Integer, nullable=False),
        sa.Column("washes", sa.Integer, nullable=False),
        sa.Column("note", sa.String(500), nullable=False),
        sa.Column("pressed_on", sa.Date, nullable=False),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "logged_bond",
        sa.Column(
            "number",
            sa.Integer,
            sa.ForeignKey("logged_press.number", ondelete="CASCADE"),
            primary_key=True,
        ),
        sa.Column("place", sa.Integer, primary_key=True),
        sa.Column("film", sa.String(60), nullable=False),
        sa.Column("below", sa.String(60), nullable=False),
        sa.Column("outcome", sa.String(20), nullable=False),
    )
    op.create_index("logged_bond_by_films", "logged_bond", ["film", "below"])
