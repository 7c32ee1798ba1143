"""Tables of the shop's store, as any database that SQLAlchemy knows can hold them.

An entry is kept as the few values that the shop gave, not spread over columns: what a film or a
press is made of is said once, by its model in `rules.facts`, and an older entry is completed by the
catalogue of today.
"""

from __future__ import annotations

from sqlalchemy import (
    JSON,
    Column,
    Date,
    DateTime,
    Float,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    String,
    Table,
    UniqueConstraint,
)

__all__ = [
    "TABLES", "VERSION", "cut_jobs", "entries", "figures", "logged_bonds", "logged_counts",
    "logged_presses", "pressed_jobs",
]  # fmt: skip

VERSION = "0007"
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
    sqlite_autoincrement=True,
)
"""Jobs as they were pressed, in that order: the plan, what was known of its films, fabrics and
press, and the film that was counted off the shelf. A number that was taken back is given to no
other. Times are in UTC."""

cut_jobs = Table(
    "cut_job",
    TABLES,
    Column("key", String(64), primary_key=True),
    Column("taken", JSON, nullable=False),
)
"""What a job takes of film as it was nested and cut last; the key is that of a pressed job."""

logged_presses = Table(
    "logged_press",
    TABLES,
    Column("number", Integer, primary_key=True),
    Column("fabric", String(60), nullable=False),
    Column("press", String(60), nullable=False),
    Column("garments", Integer, nullable=False),
    Column("washes", Integer, nullable=False),
    Column("note", String(500), nullable=False),
    Column("pressed_on", Date, nullable=False),
    Column("colour", String(7)),
    sqlite_autoincrement=True,
)
"""Garments that were pressed alike and then washed, in the order in which they were told; a number
that was removed is given to no other."""

logged_bonds = Table(
    "logged_bond",
    TABLES,
    Column(
        "number", Integer, ForeignKey("logged_press.number", ondelete="CASCADE"), primary_key=True
    ),
    Column("place", Integer, primary_key=True),
    Column("film", String(60), nullable=False),
    Column("below", String(60), nullable=False),
    Column("outcome", String(20), nullable=False),
    Column("under", String(800)),
    Column("colour", String(7)),
    Column("setpoint_c", Float),
    Column("dwell_s", Float),
    Index("logged_bond_by_films", "film", "below"),
)
"""What became of each bond line of them, the lowest first; under it, with commas, bottom first."""

logged_counts = Table(
    "logged_count",
    TABLES,
    Column("number", Integer, primary_key=True),
    Column("film", String(60), nullable=False),
    Column("below", String(60), nullable=False),
    Column("under", String(800)),
    Column("cloth", String(60), nullable=False),
    Column("press", String(60), nullable=False),
    Column("film_colour", String(7)),
    Column("cloth_colour", String(7)),
    Column("setpoint_c", Float),
    Column("dwell_s", Float),
    Column("outcome", String(20), nullable=False),
    Column("washes", Integer, nullable=False),
    Column("garments", Integer, nullable=False),
    Index(
        "logged_count_by_trial",
        "film",
        "below",
        "under",
        "cloth",
        "press",
        "film_colour",
        "cloth_colour",
        "setpoint_c",
        "dwell_s",
        "outcome",
        "washes",
        "garments",
    ),
)
"""The garments of the log by all that tells one trial from another, so that no verdict has to count
the log again; kept with each entry that is told or taken out."""
