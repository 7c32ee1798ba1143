"""Written: entries of a catalogue as their files hold them, before they are checked."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from rules.catalogue.documents import read_yaml
from rules.errors import BadInputError
from rules.facts.basis import Basis

__all__ = ["KINDS", "Written", "written_in_all"]

KINDS = ("materials", "fibres", "fabrics", "films", "garments", "presses", "sheets", "colours")
"""What a catalogue holds; what others are made of comes before them."""


@dataclass(frozen=True)
class Written:
    """One entry as somebody wrote it: all of its values, or a few with the rest left open.

    Attributes:
        label: where it stands, for a complaint.
        fields: what it says.
        basis: what its values rest on where it says no more.
    """

    label: str
    fields: Mapping[str, Any]
    basis: Basis = "generic"


def written_in_all(folders: Iterable[Path]) -> dict[str, list[Written]]:
    """Every entry of folders by its kind, in the order of the files.

    Raises:
        BadInputError: a folder or a file cannot be read, a file has no list of its kind, or a
            folder names an id twice.
    """
    entries: dict[str, list[Written]] = {kind: [] for kind in KINDS}
    for folder in folders:
        if not folder.is_dir():
            raise BadInputError("is not a folder", source=str(folder))
        for kind, found in entries.items():
            found += _of_kind(folder, kind)
    return entries


def _of_kind(folder: Path, kind: str) -> list[Written]:
    found: list[Written] = []
    here: set[str] = set()
    for path in _files(folder, kind):
        document = read_yaml(path)
        if not isinstance(document, dict) or not isinstance(document.get(kind), list):
            raise BadInputError(f"needs a list called {kind!r}", source=str(path))
        shared = {name: value for name, value in document.items() if name != kind}
        basis = shared.pop("basis", "generic")
        for entry in _mappings(document[kind], kind, path):
            name = str(entry.get("id", f"{kind}.{len(found)}"))
            if name in here:
                raise BadInputError(f"{name!r} stands here twice", source=str(path))
            here.add(name)
            found.append(Written(f"{path.name}: {name}", {**shared, **entry}, basis))
    return found


def _mappings(entries: Sequence[Any], kind: str, path: Path) -> Sequence[dict[str, Any]]:
    for position, entry in enumerate(entries):
        if not isinstance(entry, dict):
            raise BadInputError("is not a mapping", source=path.name, field=f"{kind}.{position}")
    return entries


def _files(folder: Path, kind: str) -> list[Path]:
    single = folder / f"{kind}.yaml"
    return sorted((folder / kind).glob("*.yaml")) + ([single] if single.exists() else [])
