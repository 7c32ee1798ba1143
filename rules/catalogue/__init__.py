"""The catalogue: reads the data that ships (and a shop's own) into typed facts."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache, partial
from pathlib import Path
from types import MappingProxyType
from typing import Any, TypeVar

from pydantic import ValidationError

from rules.catalogue.documents import read_yaml
from rules.errors import BadInputError, UnknownNameError
from rules.facts.fabric import Fabric, Fibre
from rules.facts.fact import Fact
from rules.facts.film import Film
from rules.facts.garment import Garment
from rules.facts.material import Material
from rules.facts.press import Press
from rules.facts.sheet import Sheet

__all__ = ["Catalogue", "first_problem", "load_catalogue"]

FOLDER = Path(__file__).parent
Known = TypeVar("Known", bound=Fact)


@dataclass(frozen=True, slots=True)
class Catalogue:
    """Everything that is on the shelf, each by its id, in the order of the files."""

    films: Mapping[str, Film]
    fabrics: Mapping[str, Fabric]
    garments: Mapping[str, Garment]
    presses: Mapping[str, Press]
    sheets: Mapping[str, Sheet]
    fibres: Mapping[str, Fibre]
    materials: Mapping[str, Material]

    def film(self, name: str) -> Film:
        """The film called ``name``; ``UnknownNameError`` offers the nearest names."""
        return _named("film", name, self.films)

    def fabric(self, name: str) -> Fabric:
        """The fabric called ``name``, or that of the garment called so."""
        if name in self.garments:
            return self.garments[name].fabric
        if name not in self.fabrics:
            raise UnknownNameError("fabric or garment", name, [*self.fabrics, *self.garments])
        return self.fabrics[name]

    def garment(self, name: str) -> Garment:
        """The garment called ``name``."""
        return _named("garment", name, self.garments)

    def press(self, name: str) -> Press:
        """The press called ``name``."""
        return _named("press", name, self.presses)

    def sheet(self, name: str) -> Sheet:
        """The cover sheet or pad called ``name``."""
        return _named("sheet", name, self.sheets)


def _named(kind: str, name: str, known: Mapping[str, Known], *, source: str = "") -> Known:
    try:
        return known[name]
    except KeyError:
        raise UnknownNameError(kind, str(name), known, source=source) from None


def first_problem(error: ValidationError, *, source: str) -> BadInputError:
    """The first thing wrong with a document, as one line: field, value, limit."""
    problem = error.errors(include_url=False)[0]
    field = ".".join(str(part) for part in problem["loc"] if part not in {"knob", "cylinder"})
    message = problem["msg"].removeprefix("Value error, ")
    message = message[:1].lower() + message[1:]
    given = problem.get("input")
    if isinstance(given, str | int | float | bool) and problem["type"] != "missing":
        shown = repr(given) if len(repr(given)) <= 60 else repr(given)[:57] + "…"
        message = f"{shown}: {message}"
    return BadInputError(message, source=source, field=field)


@cache
def load_catalogue(*shop_folders: Path) -> Catalogue:
    """The built-in catalogue with each shop folder's own entries laid over it.

    A shop folder has the same layout as the built-in one; an entry with the same id replaces it.
    A film's colours may be written as a mapping of name to sRGB, a fabric's fibres as one of id to
    percent.

    Raises:
        BadInputError: a folder or file cannot be read, or an entry is wrong (file, field,
            value, limit).

    >>> load_catalogue().film("matte-smooth").family
    'smooth'
    """
    for shop_folder in shop_folders:
        if not shop_folder.is_dir():
            raise BadInputError("is not a folder", source=str(shop_folder))
    folders = (FOLDER, *shop_folders)
    materials = _read(folders, "materials", Material)
    fibres = _read(folders, "fibres", Fibre)
    fabrics = _read(folders, "fabrics", Fabric, resolve=partial(_with_fibres, fibres=fibres))
    return Catalogue(
        films=_read(folders, "films", Film, resolve=_with_colours),
        fabrics=fabrics,
        garments=_read(
            folders, "garments", Garment, resolve=partial(_with_fabric, fabrics=fabrics)
        ),
        presses=_read(folders, "presses", Press),
        sheets=_read(folders, "sheets", Sheet),
        fibres=fibres,
        materials=materials,
    )


def _read(
    folders: Iterable[Path], kind: str, model: type[Known], *, resolve: Any = None
) -> Mapping[str, Known]:
    found: dict[str, Known] = {}
    for folder in folders:
        here: set[str] = set()
        for path in _files(folder, kind):
            document = read_yaml(path)
            if not isinstance(document, dict) or not isinstance(document.get(kind), list):
                raise BadInputError(f"needs a list called {kind!r}", source=str(path))
            shared = {name: value for name, value in document.items() if name != kind}
            basis = shared.pop("basis", "generic")
            for position, entry in enumerate(document[kind]):
                if not isinstance(entry, dict):
                    raise BadInputError(
                        "is not a mapping", source=path.name, field=f"{kind}.{position}"
                    )
                label = f"{path.name}: {entry.get('id', f'{kind}.{position}')}"
                fields = {"basis_default": basis, **shared, **entry}
                if resolve:
                    fields = resolve(fields, label)
                try:
                    fact = model.model_validate(fields)
                except ValidationError as error:
                    raise first_problem(error, source=label) from None
                name: str = fact.id  # type: ignore[attr-defined]
                if name in here:
                    raise BadInputError(f"{name!r} stands here twice", source=str(path))
                here.add(name)
                found[name] = fact
    return MappingProxyType(found)


def _files(folder: Path, kind: str) -> list[Path]:
    single = folder / f"{kind}.yaml"
    return sorted((folder / kind).glob("*.yaml")) + ([single] if single.exists() else [])


def _with_colours(entry: dict[str, Any], label: str) -> dict[str, Any]:
    colours = entry.get("colours")
    if not isinstance(colours, dict):
        return entry
    return {**entry, "colours": [{"name": name, "srgb": srgb} for name, srgb in colours.items()]}


def _with_fibres(
    entry: dict[str, Any], label: str, *, fibres: Mapping[str, Fibre]
) -> dict[str, Any]:
    shares = entry.get("fibres")
    if not isinstance(shares, dict):
        return entry
    return {
        **entry,
        "fibres": [
            {"fibre": _named("fibre", name, fibres, source=label), "pct": pct}
            for name, pct in shares.items()
        ],
    }


def _with_fabric(
    entry: dict[str, Any], label: str, *, fabrics: Mapping[str, Fabric]
) -> dict[str, Any]:
    name = entry.get("fabric")
    if not isinstance(name, str):
        return entry
    return {**entry, "fabric": _named("fabric", name, fabrics, source=label)}
