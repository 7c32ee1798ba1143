"""Job: what the customer wants, as the person writes it down, checked line by line."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any, Literal, Self

from pydantic import (
    AfterValidator,
    BeforeValidator,
    Field,
    StringConstraints,
    field_validator,
    model_validator,
)

from advisor.job.meant import job_in_ids
from advisor.job.records.print import NAMES_PIECE, fill_of
from rules.catalogue import Catalogue, load_catalogue
from rules.catalogue.documents import read_yaml
from rules.catalogue.everyday import as_word, meant_of_film
from rules.errors import BadInputError, UnknownNameError
from rules.facts.fact import Hex, PlainText, Record, Slug, is_hex
from rules.facts.film import Family, Finish, Peel
from rules.facts.step import Meets

__all__ = [
    "DEFAULT_LOOK",
    "FileName",
    "GarmentColour",
    "GarmentLine",
    "GivenNames",
    "Job",
    "LeftOut",
    "Looks",
    "NameRow",
    "Names",
    "Prefer",
    "Rates",
    "Said",
    "SaidFamily",
    "SaidFinish",
    "WidthOf",
    "Wish",
    "WishedJoint",
    "WishedJoints",
    "Wishes",
    "has_prints",
    "job_document",
    "read_job",
]

Prefer = Literal["durable", "softest", "fastest", "cheapest"]
WidthOf = Literal["drawing", "page"]
DEFAULT_LOOK = "default"
LARGEST_JOB_BYTES = 1_000_000

Said = Annotated[Slug, BeforeValidator(as_word)]
"""What someone calls a thing, with capitals and blanks if they like: an id or an everyday word."""


def _meaning(kind: Literal["finish", "family"]) -> BeforeValidator:
    """Read an everyday word as a finish or a family."""

    def read(said: object) -> object:
        try:
            return meant_of_film(kind, said) if isinstance(said, str) else said
        except UnknownNameError as error:
            raise ValueError(error.reason) from None

    return BeforeValidator(read)


SaidFinish = Annotated[Finish, _meaning("finish")]
SaidFamily = Annotated[Family, _meaning("family")]

PieceName = Annotated[PlainText, StringConstraints(min_length=1, max_length=80)]
CalledName = Annotated[PlainText, StringConstraints(min_length=1, max_length=24)]
GarmentColour = Annotated[PlainText, StringConstraints(min_length=1, max_length=40)]
FileName = Annotated[PlainText, StringConstraints(min_length=1, max_length=400)]


class Wish(Record):
    """The look wanted for one fill of the artwork.

    ``film`` names one film; otherwise every film that shows ``finish`` and meets the other
    wishes is a candidate. ``colour`` is a shelf colour's name or an sRGB value; without one, the
    nearest colour to the artwork's fill is taken.
    """

    finish: SaidFinish | None = None
    film: Said | None = None
    colour: Said | Hex | None = None
    family: SaidFamily | None = None
    peel: Peel | None = None
    most_setpoint_c: float | None = Field(default=None, ge=80, le=240)

    @model_validator(mode="after")
    def _wishes_for_something(self) -> Self:
        if self.finish is None and self.film is None and self.family is None:
            raise ValueError("a look names a finish, a film or a family")
        return self


class GarmentLine(Record):
    """So many of one garment, with the artwork at this width (mm) in one of its print areas.

    ``colour`` is what the garment comes in, by name or as a hex value; without one, the usual
    colour of its fabric.
    """

    garment: Said
    colour: GarmentColour | None = None
    quantity: int = Field(default=1, ge=1, le=10_000, strict=True)
    artwork_width_mm: float = Field(ge=10, le=1500)
    area: Said | None = None
    fabric: Said | None = Field(default=None, description="another fabric than the garment's usual")


class WishedJoint(Record):
    """How two pieces are to meet, by their fills: ``upper`` is the one in front."""

    upper: str
    lower: str
    meets: Meets


JOINT_FORM = "{upper: FILL, lower: FILL, meets: WAY}"
JOINT_WORDS = "a FILL is a colour of the artwork, a WAY lap, inset-under, inset-over or butt"


def _joints_of_their_form(given: object) -> object:
    """Show the form of a joint to whoever wrote another: no complaint of a part would tell it."""
    if not isinstance(given, list | tuple):
        raise ValueError(f"write a list of {JOINT_FORM}; {JOINT_WORDS}")
    for place, each in enumerate(given):
        if isinstance(each, WishedJoint):
            continue
        if not isinstance(each, dict) or each.keys() != WishedJoint.model_fields.keys():
            raise ValueError(f"entry {place + 1}: write {JOINT_FORM}; {JOINT_WORDS}")
    return given


WishedJoints = Annotated[tuple[WishedJoint, ...], BeforeValidator(_joints_of_their_form)]


class Names(Record):
    """Names to put on the garments, one on each, set within a box.

    ``file`` is a CSV file or an XLSX spreadsheet with a column ``name`` and, if wanted,
    ``quantity`` and ``size`` (a garment of the job). The box is left, top, width and height in mm
    on the artwork when that is ``at_width_mm`` wide; without it, at the widest of the job.
    """

    file: FileName
    font: FileName | None = None
    box_mm: tuple[float, float, float, float]
    look: Wish
    align: Literal["left", "centre", "right"] = "centre"
    at_width_mm: float | None = Field(default=None, ge=10, le=1500)

    @field_validator("box_mm")
    @classmethod
    def _box_has_a_size(
        cls, box: tuple[float, float, float, float]
    ) -> tuple[float, float, float, float]:
        left, top, width, height = box
        if not (1 <= width <= 1500 and 1 <= height <= 1500):
            raise ValueError(
                f"a box {width:g} mm wide and {height:g} mm high; give left, top, width and "
                "height, the last two 1 to 1500 mm"
            )
        if not (-1500 <= left <= 1500 and -1500 <= top <= 1500):
            raise ValueError(f"a box at {left:g}, {top:g} mm lies off every garment")
        return box


@dataclass(frozen=True, slots=True)
class NameRow:
    """One row of a list of names; ``row`` is its line in the file, ``size`` a garment or empty."""

    name: str
    quantity: int
    size: str
    row: int


class GivenNames(Names):
    """Names that are at hand, whatever list they came from; ``file`` says which, for complaints.

    Their capitals are ``capital_mm`` high, as far as the box holds them.
    """

    capital_mm: float
    rows: tuple[NameRow, ...]


class Rates(Record):
    """What time and spoilage cost in this shop, in its own currency."""

    currency: Annotated[PlainText, StringConstraints(min_length=1, max_length=8)] = "€"
    rate_per_hour: float = Field(default=36.0, ge=0, le=1000)
    film_waste_pct: float = Field(default=15.0, ge=0, le=100)
    spoiled_per_sample_pct: float = Field(
        default=5.0, ge=0, le=100, description="garments spoiled for each finding of kind sample"
    )

    def money(self, amount: float) -> str:
        """An amount in this shop's currency.

        >>> Rates().money(3.5)
        '€3.50'
        """
        return f"{self.currency}{amount:.2f}"


def _fills_in_lower_case(looks: object) -> object:
    if isinstance(looks, dict):
        return {str(fill).lower(): wish for fill, wish in looks.items()}
    return looks


def _fills_are_colours(looks: dict[str, Wish]) -> dict[str, Wish]:
    for fill in looks:
        if fill != DEFAULT_LOOK and not is_hex(fill):
            raise ValueError(f"{fill!r} is neither a fill like #1b3a5c nor {DEFAULT_LOOK!r}")
    return looks


def _colours_are_called(called: dict[str, str]) -> dict[str, str]:
    for fill in called:
        if not is_hex(fill):
            raise ValueError(f"{fill!r} is no fill like #1b3a5c, which is what can be called")
    twice = [name for name, times in Counter(called.values()).items() if times > 1]
    if twice:
        raise ValueError(f"two fills are called {twice[0]!r}; call one of them otherwise")
    return called


Looks = Annotated[
    dict[str, Wish], BeforeValidator(_fills_in_lower_case), AfterValidator(_fills_are_colours)
]
"""The look of each fill, by its sRGB value; that of all others is called ``default``."""


Called = Annotated[
    dict[str, CalledName],
    BeforeValidator(_fills_in_lower_case),
    AfterValidator(_colours_are_called),
    Field(max_length=200, description="what a person calls the pieces of a fill: the kite"),
]

LeftOut = Annotated[
    tuple[PieceName, ...],
    Field(max_length=200, description="fills or pieces of the artwork that are not cut"),
]


class Wishes(Record):
    """What a job wishes of the whole of it, however many prints a garment has."""

    job: Annotated[PlainText, StringConstraints(min_length=1, max_length=80)]
    press: Said = "clamshell-38x38"
    prefer: Prefer = "durable"
    width_of: WidthOf = Field(
        default="drawing",
        description="what is as wide as asked: the drawing that is cut, or the page it lies on",
    )
    flatten: bool = False
    registration_mm: float = Field(default=0.5, ge=0.05, le=5, description="how far hands miss")
    samples_allowed: bool = True
    on_shelf_only: bool = True
    rates: Rates = Rates()
    called: Called = Field(default_factory=dict)


class Job(Wishes):
    """A job: artwork, the look of each fill, garments, press and preference.

    ``artwork`` is empty where names are all that is printed, which no file says.
    """

    artwork: FileName
    looks: Looks = Field(min_length=1)
    garments: tuple[GarmentLine, ...] = Field(min_length=1, max_length=100)
    leave_out: LeftOut = ()
    joints: WishedJoints = ()
    names: Names | None = None

    @property
    def ordered(self) -> Counter[str]:
        """How many of each garment are asked for, in all its lines."""
        ordered = Counter[str]()
        for line in self.garments:
            ordered[line.garment] += line.quantity
        return ordered

    def wish_for(self, fill: str) -> Wish | None:
        """The wish for a fill, the default one, or ``None`` when the job names neither."""
        return self.looks.get(fill.lower(), self.looks.get(DEFAULT_LOOK))

    def wishes_alike(self, fill: str | None, other: str | None) -> bool:
        """Whether two fills are wished in one look and in one colour by name.

        >>> red = {"finish": "matte", "colour": "red"}
        >>> any_red, looks = {"finish": "matte"}, {"#c80000": red, "#d00000": red}
        >>> job = Job.model_validate({
        ...     "job": "two-reds", "artwork": "art.svg", "looks": {**looks, "default": any_red},
        ...     "garments": [{"garment": "adult-tee", "quantity": 1, "artwork_width_mm": 90}],
        ... })
        >>> job.wishes_alike("#c80000", "#d00000"), job.wishes_alike("#123456", "#654321")
        (True, False)
        """
        if fill is None or other is None:
            return False
        wish = self.wish_for(fill)
        return wish is not None and wish.colour is not None and wish == self.wish_for(other)

    def with_look(self, piece: str, look: Wish) -> Job:
        """The job with another look for a piece, told by its id, and all that share its colour."""
        if piece == NAMES_PIECE and self.names is not None:
            return self.model_copy(update={"names": self.names.model_copy(update={"look": look})})
        return self.model_copy(update={"looks": {**self.looks, fill_of(piece): look}})


def read_job(path: Path, known: Catalogue | None = None) -> Job:
    """The job in a YAML (or JSON) file, its everyday words read as ids.

    Args:
        known: the shelf that the ids are of; the one that ships by default.

    Raises:
        BadInputError: one line naming file, field, value and limit.
    """
    # Only here, since what tells all that is wrong reads lists too.
    from advisor.job.misspelt import read_whole

    document = job_document(path)
    if has_prints(document):
        raise BadInputError(
            "has a list of prints for its garments, which `presslore plan`, `cut`, `quote` and "
            "`job check` read; here, name one artwork",
            source=str(path),
        )
    shelf = known or load_catalogue()
    job = read_whole(Job, document, shelf, path)
    try:
        return job_in_ids(job, shelf)
    except BadInputError as error:
        raise error.at(source=str(path)) from None


def job_document(path: Path) -> dict[str, Any]:
    """What a job file says, not yet checked.

    Raises:
        BadInputError: it cannot be read or is no mapping.
    """
    document = read_yaml(path, most_bytes=LARGEST_JOB_BYTES, kind="a job file")
    if not isinstance(document, dict):
        raise BadInputError(
            "is not a job: it needs job, artwork, looks and garments", source=str(path)
        )
    if "steps" in document and "garments" not in document:
        raise BadInputError(
            "is a plan, not a job: `presslore check` judges it; elsewhere name its job, and give "
            f"it as --plan {path.name} where a plan is taken",
            source=str(path),
        )
    return document


def has_prints(document: Mapping[str, Any]) -> bool:
    """Whether a job file lists the prints of its garments, instead of one artwork for all.

    >>> has_prints({"job": "crew", "artwork": "kite.svg"})
    False
    """
    lines = document.get("garments")
    listed = isinstance(lines, list) and any(isinstance(n, dict) and "prints" in n for n in lines)
    return listed or "people" in document
