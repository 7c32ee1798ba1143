"""Tables of the shop's store, as any database that SQLAlchemy knows can hold them.

An entry is kept as the few values that the shop gave, not spread over columns: what a film or a
press is made of is said once, by its model in `rules.facts`, and an older entry is completed by the
catalogue of today.
"""

from __future__ import annotations

from sqlalchemy import (
    JSON,
    Column,
    DateTime,
    Index,
    Integer,
    MetaData,
    String,
    Table,
    UniqueConstraint,
)

__all__ = ["TABLES", "VERSION", "entries", "figures", "pressed_jobs"]

VERSION = "0003"
"""The newest migration, which makes the tables as they stand here."""

TABLES = MetaData()

entries = Table(
    "shelf_entry",
    TABLES,
    Column("number", Integer, primary_key=True),
    Column("kind", String(20), nullable=False),
    Column("name", String(60), nullable=False),
    Column("values", JSON, nullable=False),
    Column("entered_at", DateTime, nullable=False),
    UniqueConstraint("kind", "name", name="one_entry_per_thing"),
)
"""What the shop entered, in that order; times are in UTC."""

figures = Table(
    "shop_figure",
    TABLES,
    Column("name", String(40), primary_key=True),
    Column("value", JSON, nullable=False),
)
"""What the shop's quotes reckon with, where it has said so."""

pressed_jobs = Table(
    "pressed_job",
    TABLES,
    Column("number", Integer, primary_key=True),
    Column("key", String(64), nullable=False),
    Column("job", String(80), nullable=False),
    Column("plan", JSON, nullable=False),
    Column("shelf", JSON, nullable=False),
    Column("taken", JSON, nullable=False),
    Column("pressed_at", DateTime, nullable=False),
    Index("pressed_job_by_key", "key"),
)
"""Jobs as they were pressed, in that order: the plan, what was known of its films, fabrics and
press, and the film that was counted off the shelf. Times are in UTC."""
