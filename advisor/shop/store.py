"""The shop's store: one SQLite file, opened at the version of today.

What an earlier version wrote is brought up to date, all of it or nothing, before anything is read.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event, inspect, text
from sqlalchemy.exc import DBAPIError

from advisor.shop.place import STORE_NAME
from advisor.shop.tables import VERSION
from rules.errors import BadInputError

__all__ = ["open_store"]

_WAITS_S = 10
"""How long one process waits for another that is writing, s."""


@contextmanager
def open_store(path: Path) -> Iterator[Connection]:
    """The store's connection, in one transaction: all that is done with it is kept, or nothing.

    Args:
        path: the store's file; it and its folder are made where they are missing.

    Raises:
        BadInputError: it cannot be read or written, is no store, or is of a later version.
    """
    if path.is_dir():
        raise BadInputError(
            f"is a folder; name a file in it, such as {path / STORE_NAME}", source=str(path)
        )
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadInputError(f"cannot be made: {error.strerror}", source=str(path)) from None
    engine = _engine(path)
    try:
        with engine.begin() as connection:
            _bring_up_to_date(connection, path)
            yield connection
    except DBAPIError as error:
        reason = f"{error.orig}"
        if "not a database" in reason:
            reason = "it is another kind of file; name the shop's store, or a file yet to be made"
        elif "unable to open" in reason:
            reason = "it may not be written there; name a file in a folder of your own"
        raise BadInputError(f"cannot be used: {reason}", source=str(path)) from None
    finally:
        engine.dispose()


def _engine(path: Path) -> Engine:
    url = URL.create("sqlite", database=str(path))
    engine = create_engine(url, connect_args={"timeout": _WAITS_S})

    @event.listens_for(engine, "connect")
    def set_up(connection: Any, _: Any) -> None:
        # The driver would end the transaction of its own accord before each change of a table.
        connection.isolation_level = None
        connection.execute("PRAGMA foreign_keys = ON")
        connection.execute("PRAGMA journal_mode = WAL")

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        connection.exec_driver_sql("BEGIN IMMEDIATE")

    return engine


def _bring_up_to_date(connection: Connection, path: Path) -> None:
    tables = inspect(connection).get_table_names()
    version = None
    if "alembic_version" in tables:
        version = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
    elif tables:
        raise BadInputError("is a database of something else", source=str(path))
    if version == VERSION:
        return
    # Only here, since a store of today needs none of it.
    from alembic.config import Config
    from alembic.runtime.environment import EnvironmentContext
    from alembic.script import ScriptDirectory

    config = Config()
    scripts_at = str(Path(__file__).parent / "migrations")
    config.set_main_option("script_location", scripts_at.replace("%", "%%"))
    scripts = ScriptDirectory.from_config(config)
    known = [script.revision for script in scripts.walk_revisions()]
    if version is not None and version not in known:
        raise BadInputError(
            f"was written by a later Presslore (version {version} of the store, {VERSION} here); "
            "bring Presslore up to date",
            source=str(path),
        )

    def upgrade(revision: Any, _: Any) -> Any:
        return scripts._upgrade_revs(VERSION, revision)

    with EnvironmentContext(config, scripts, fn=upgrade) as environment:
        environment.configure(connection=connection, transactional_ddl=True)
        environment.run_migrations()
