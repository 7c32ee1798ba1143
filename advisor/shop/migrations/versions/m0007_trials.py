"""Version 7 of the store: how each bond line was pressed, and the log counted by stack."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"


def upgrade() -> None:
    """Add what was not asked before, and count what is logged so far."""
    op.add_column("logged_press", sa.Column("colour", sa.String(7)))
    op.add_column("logged_bond", sa.Column("under", sa.String(800)))
    op.add_column("logged_bond", sa.Column("colour", sa.String(7)))
    op.add_column("logged_bond", sa.Column("setpoint_c", sa.Float))
    op.add_column("logged_bond", sa.Column("dwell_s", sa.Float))
    # What lies straight on the cloth has nothing under that; of the rest nobody asked.
    op.execute(
        "UPDATE logged_bond SET under = '' WHERE below = "
        "(SELECT fabric FROM logged_press WHERE logged_press.number = logged_bond.number)"
    )
    op.create_table(
        "logged_count",
        sa.Column("number", sa.Integer, primary_key=True),
        sa.Column("film", sa.String(60), nullable=False),
        sa.Column("below", sa.String(60), nullable=False),
        sa.Column("under", sa.String(800)),
        sa.Column("cloth", sa.String(60), nullable=False),
        sa.Column("press", sa.String(60), nullable=False),
        sa.Column("film_colour", sa.String(7)),
        sa.Column("cloth_colour", sa.String(7)),
        sa.Column("setpoint_c", sa.Float),
        sa.Column("dwell_s", sa.Float),
        sa.Column("outcome", sa.String(20), nullable=False),
        sa.Column("washes", sa.Integer, nullable=False),
        sa.Column("garments", sa.Integer, nullable=False),
    )
    # In this order a verdict reads them, and needs no more than the index.
    op.create_index(
        "logged_count_by_trial",
        "logged_count",
        ["film", "below", "under", "cloth", "press", "film_colour", "cloth_colour", "setpoint_c",
         "dwell_s", "outcome", "washes", "garments"],
    )  # fmt: skip
    op.execute(
        "INSERT INTO logged_count (film, below, under, cloth, press, outcome, washes, garments) "
        "SELECT film, below, under, fabric, press, outcome, washes, sum(garments) "
        "FROM logged_bond JOIN logged_press USING (number) "
        "GROUP BY film, below, under, fabric, press, outcome, washes"
    )
