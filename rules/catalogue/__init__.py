"""The catalogue: the data that ships, and a shop's own entries over it, as typed facts."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any, TypeVar

from pydantic import ValidationError

from rules.catalogue.complaints import all_problems, first_problem
from rules.catalogue.everyday import Words, as_word, load_words, meant, meant_of_film
from rules.catalogue.proposed import completed
from rules.catalogue.written import KINDS, Written, written_in_all
from rules.errors import BadInputError, UnknownNameError
from rules.facts.fabric import Fabric, Fibre
from rules.facts.fact import Fact, is_hex
from rules.facts.film import Film
from rules.facts.garment import Garment
from rules.facts.garment_colour import NamedColour, hex_colour, in_colour
from rules.facts.material import Material
from rules.facts.press import Press
from rules.facts.sheet import Sheet

__all__ = [
    "MODELS", "Catalogue", "all_problems", "fact_of", "first_problem", "laid_over",
    "load_catalogue", "with_folders",
]  # fmt: skip

FOLDER = Path(__file__).parent
MODELS: Mapping[str, type[Fact]] = MappingProxyType({
    "materials": Material, "fibres": Fibre, "fabrics": Fabric, "films": Film,
    "garments": Garment, "presses": Press, "sheets": Sheet, "colours": NamedColour,
})  # fmt: skip
Named = TypeVar("Named", bound=Fact)


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
    colours: Mapping[str, NamedColour]
    words: Mapping[str, Words] = field(default_factory=load_words)

    def by_kind(self) -> Mapping[str, Mapping[str, Any]]:
        """Everything by its kind and its id."""
        return {kind: getattr(self, kind) for kind in KINDS}

    def film(self, name: str) -> Film:
        """The film called ``name``; ``UnknownNameError`` offers the nearest names.

        >>> load_catalogue().film("puff").id
        'foam-raised'
        """
        return self.films[self._meant("film", name, self.films, "films")]

    def fabric(self, name: str) -> Fabric:
        """The fabric called ``name``, or that of the garment called so, or ``name:colour``.

        >>> fabric = load_catalogue().fabric("adult-tee:navy")
        >>> fabric.id, fabric.colour.srgb
        ('cotton-jersey-tee:navy', '#1c2a48')
        """
        ground, colon, colour = name.partition(":")
        garment = self.garment_of(ground)
        fabric = self.fabrics[self._ground(ground)] if garment is None else garment.fabric
        return in_colour(fabric, self.colour(colour)) if colon else fabric

    def garment_of(self, name: str) -> Garment | None:
        """The garment that ``name`` or ``name:colour`` means; ``None`` where it is a fabric."""
        return self.garments.get(self._ground(name.partition(":")[0]))

    def garment(self, name: str) -> Garment:
        """The garment called ``name``."""
        return self.garments[self._meant("garment", name, self.garments, "garments")]

    def colour(self, said: str) -> NamedColour:
        """The garment colour that someone gives by name or as a hex value.

        >>> known = load_catalogue()
        >>> [known.colour(said).id for said in ("Navy", "bottle green", "#1B2A49")]
        ['navy', 'forest', '#1b2a49']
        """
        word = str(as_word(said))
        if is_hex(word):
            return hex_colour(word)
        if word.startswith("#"):
            raise BadInputError(f"{said!r} is no colour; a hex value has six digits from 0 to f")
        try:
            return self.colours[self._meant("garment colour", word, self.colours, "colours")]
        except UnknownNameError as error:
            also = "a hex value such as #1b2a49 does as well"
            raise BadInputError(f"{error.reason}; {also}") from None

    def press(self, name: str) -> Press:
        """The press called ``name``."""
        return _named("press", name, self.presses)

    def sheet(self, name: str) -> Sheet:
        """The cover sheet or pad called ``name``."""
        return _named("sheet", name, self.sheets)

    def finish(self, said: str) -> str:
        """The finish that someone means.

        >>> load_catalogue().finish("glitter")
        'sparkle'
        """
        return meant_of_film("finish", said, self.words)

    def film_colour(self, said: str, *films: Film) -> str:
        """The name of a film's colour that someone means; a hex value stays as it is.

        Args:
            films: one of which comes in it; any film by default.
        """
        word = str(as_word(said))
        if is_hex(word):
            return word
        if not word:
            raise BadInputError("no colour follows the colon; write one, or leave the colon out")
        of = films or tuple(self.films.values())
        names = dict.fromkeys(colour.name for film in of for colour in film.colours)
        kind = f"colour of {films[0].id}" if len(films) == 1 else "colour of a film"
        return meant(kind, word, names, self.words["colours"])

    def _ground(self, name: str) -> str:
        """The garment or fabric meant; a garment brings the fabric that the same word may mean."""
        grounds = {**self.fabrics, **self.garments}
        if name in grounds:
            return name
        words: dict[str, tuple[str, ...]] = {}
        for word in {*self.words["fabrics"], *self.words["garments"]}:
            worn = self.words["garments"].get(word, ())
            made_of = {self.garments[one].fabric.id for one in worn if one in self.garments}
            cloth = (one for one in self.words["fabrics"].get(word, ()) if one not in made_of)
            words[word] = (*cloth, *worn)
        return meant("fabric or garment", name, grounds, words)

    def _meant(self, kind: str, name: str, known: Mapping[str, Fact], listed: str) -> str:
        return name if name in known else meant(kind, name, known, self.words[listed])


def _named(kind: str, name: str, known: Mapping[str, Named], *, source: str = "") -> Named:
    try:
        return known[name]
    except KeyError:
        raise UnknownNameError(kind, str(name), known, source=source) from None


@cache
def load_catalogue(*shop_folders: Path) -> Catalogue:
    """The built-in catalogue with each shop folder's own entries laid over it.

    A shop folder has the same layout as the built-in one; an entry with the same id replaces it.
    A film's colours may be written as a mapping of name to sRGB, a fabric's fibres as one of id to
    percent. An entry may leave values out; `rules.catalogue.proposed` says what fills them.

    Raises:
        BadInputError: a folder or file cannot be read, or an entry is wrong (file, field,
            value, limit).

    >>> load_catalogue().film("matte-smooth").family
    'smooth'
    """
    if not shop_folders:
        return laid_over(_NOTHING, written_in_all([FOLDER]))
    return with_folders(load_catalogue(), shop_folders)


def with_folders(known: Catalogue, folders: Sequence[Path]) -> Catalogue:
    """A catalogue with the entries and the everyday words of a shop's folders laid over it.

    Raises:
        BadInputError: as `load_catalogue`.
    """
    words = load_words(*folders)
    return replace(laid_over(known, written_in_all(folders)), words=words)


def laid_over(known: Catalogue, entries: Mapping[str, Iterable[Written]]) -> Catalogue:
    """A catalogue with entries laid over it, by kind; what is made of them changes with them.

    Raises:
        BadInputError: an entry is wrong (where it stands, field, value, limit).

    >>> dearer = Written("ours: matte-smooth", {"id": "matte-smooth", "price_per_m": 9})
    >>> film = laid_over(load_catalogue(), {"films": [dearer]}).film("matte-smooth")
    >>> film.price_per_m, film.dwell_s.best
    (9.0, 15.0)
    """
    found: Found = {kind: dict(facts) for kind, facts in known.by_kind().items()}
    for kind in KINDS:
        if kind in _MADE_OF:
            found[kind] = {name: _MADE_OF[kind](fact, found) for name, fact in found[kind].items()}
        for one in entries.get(kind, ()):
            try:
                fact = fact_of(kind, one, found)
            except ValidationError as error:
                raise first_problem(error, source=one.label) from None
            found[kind][fact.id] = fact
    facts = {kind: MappingProxyType(facts) for kind, facts in found.items()}
    return Catalogue(**facts, words=known.words)


def fact_of(kind: str, one: Written, found: Mapping[str, Mapping[str, Any]]) -> Any:
    """One entry as a fact beside those that there are, by kind and id.

    Raises:
        BadInputError: it names what there is not, or says too little.
        ValidationError: its values are wrong; all of them are told.
    """
    fields = completed(one, MODELS[kind], found[kind])
    if kind in _SHORT:
        fields = _SHORT[kind](fields, one.label, found)
    return MODELS[kind].model_validate(fields)


Found = dict[str, dict[str, Any]]


def _of_fibres(fabric: Fabric, found: Found) -> Fabric:
    shares = tuple(
        share.model_copy(update={"fibre": found["fibres"][share.fibre.id]})
        for share in fabric.fibres
    )
    return fabric if shares == fabric.fibres else fabric.model_copy(update={"fibres": shares})


def _of_fabric(garment: Garment, found: Found) -> Garment:
    fabric = found["fabrics"][garment.fabric.id]
    return garment if fabric is garment.fabric else garment.model_copy(update={"fabric": fabric})


_MADE_OF: Mapping[str, Callable[[Any, Found], Any]] = {
    "fabrics": _of_fibres,
    "garments": _of_fabric,
}
"""What is made of others, and must follow where those are laid over."""

Fields = dict[str, Any]
Known = Mapping[str, Mapping[str, Any]]


def _with_colours(entry: Fields, label: str, found: Known) -> Fields:
    colours = entry.get("colours")
    if not isinstance(colours, dict):
        return entry
    return {**entry, "colours": [{"name": name, "srgb": srgb} for name, srgb in colours.items()]}


def _with_fibres(entry: Fields, label: str, found: Known) -> Fields:
    shares = entry.get("fibres")
    if not isinstance(shares, dict):
        return entry
    return {
        **entry,
        "fibres": [
            {"fibre": _named("fibre", name, found["fibres"], source=label), "pct": pct}
            for name, pct in shares.items()
        ],
    }


def _with_fabric(entry: Fields, label: str, found: Known) -> Fields:
    name = entry.get("fabric")
    if not isinstance(name, str):
        return entry
    return {**entry, "fabric": _named("fabric", name, found["fabrics"], source=label)}


_SHORT: Mapping[str, Callable[[Fields, str, Known], Fields]] = {
    "films": _with_colours,
    "fabrics": _with_fibres,
    "garments": _with_fabric,
}
"""What may be written shorter than the models have it."""

_NOTHING = Catalogue(**dict.fromkeys(KINDS, MappingProxyType({})))
