"""Where the shop's store lies: the user's data folder, or wherever the shop says."""

from __future__ import annotations

import os
from pathlib import Path

__all__ = ["STORE", "STORE_NAME", "store_path"]

STORE = "PRESSLORE_STORE"
"""The environment variable that names the store's file."""

STORE_NAME = "shop.sqlite"
"""What the store is called where nobody calls it otherwise."""


def store_path() -> Path:
    """The file of the store; it need not be there yet."""
    named = os.environ.get(STORE)
    if named:
        return Path(named).expanduser()
    # Only here, as most runs are told nothing and find nothing there.
    from platformdirs import user_data_path

    return user_data_path("presslore", appauthor=False) / STORE_NAME
