"""Subjects: the things that rules judge, each a small frozen record of facts."""

from __future__ import annotations

import re
from dataclasses import dataclass

from rules.facts.fabric import Fabric
from rules.facts.fact import Colour
from rules.facts.film import Film
from rules.facts.garment import Garment, PrintArea, Wearer
from rules.facts.press import Press
from rules.facts.schedule import Schedule, ScheduledStep
from rules.facts.sheet import Sheet
from rules.facts.step import Meets, Step
from rules.facts.text import PieceName, piece_name
from rules.facts.units import show_mm

__all__ = [
    "LET_IT_LAP",
    "ArtworkPiece",
    "AsDrawn",
    "AsPressed",
    "BondLine",
    "FilmOnFabric",
    "FilmOnFilm",
    "GarmentOnPress",
    "Joint",
    "Pressing",
    "Schedule",
    "ScheduledStep",
    "SeenAgainst",
    "Stack",
    "Subject",
]


LET_IT_LAP = (
    "let the pieces lap there, make the artwork coarser there, or place them more exactly, so that "
    "traps and gaps are narrower"
)
"""What to do where the artwork is coarse enough and a window or gap in it is not."""


@dataclass(frozen=True, slots=True)
class AsPressed:
    """How hot and how long a film was pressed on a garment, all steps together.

    Attributes:
        setpoint_c: the hottest that the dial said as the platen closed, °C.
        spread_c: by how much the press may run hotter than it says, K.
        seconds: that the film lay under the closed platen, s.
        fabric_c: the hottest that the fabric straight under it, or under the films that it lies
            on, usually gets while it lies there, °C.
        presses: of each press that the film lay under, what the dial said, °C, its seconds, and
            the hottest that the fabric got in it, °C; none where all are alike.
        covered: whether a cover sheet lay over the garment whenever the platen stayed on it for
            longer than a tack.
        press: that it was pressed on; ``None`` where any dial would do.
    """

    setpoint_c: float
    spread_c: float
    seconds: float
    fabric_c: float
    presses: tuple[tuple[float, float, float], ...] = ()
    covered: bool = False
    press: Press | None = None


@dataclass(frozen=True, slots=True)
class FilmOnFabric:
    """A film on a garment of a fabric.

    Attributes:
        touches: it lies straight on the fabric somewhere, not only on other films.
        over: the films that it lies on where the fewest block dye, bottom first; none where it
            touches, or where that is not known yet.
        colour: the colour it is cut in; ``None`` where none is chosen, and the palest counts.
        pressed: what the steps do to it; ``None`` before there are any, when no more counts than
            the film's coolest and shortest press.
        shelf: films that could be taken instead.
    """

    film: Film
    fabric: Fabric
    touches: bool = True
    over: tuple[Film, ...] = ()
    colour: Colour | None = None
    pressed: AsPressed | None = None
    shelf: tuple[Film, ...] = ()

    @property
    def where(self) -> str:
        """Where a finding on it is: the film on the fabric, and what lies between."""
        between = [film.id for film in reversed(self.over)]
        return " on ".join([self.film.id, *between, self.fabric.id])


@dataclass(frozen=True, slots=True)
class FilmOnFilm:
    """A film pressed onto another: ``upper`` goes down after ``lower`` and lies on its face.

    Attributes:
        rim: only a narrow rim lies on it, because one of the two is knocked out under the other.
        upper_colour, lower_colour: what they are cut in; ``None`` where that is not chosen.
    """

    upper: Film
    lower: Film
    rim: bool = False
    upper_colour: Colour | None = None
    lower_colour: Colour | None = None

    @property
    def where(self) -> str:
        """Where a finding on it is: the upper film on the lower."""
        return f"{self.upper.id} on {self.lower.id}"


@dataclass(frozen=True, slots=True)
class Joint:
    """How two pieces meet: ``upper`` is the one in front in the artwork.

    Attributes:
        trap_mm: overlap of an inset's rim, mm (0 for lap and butt).
        gap_mm: gap left at a butt, mm.
        shift_mm: how far the pieces are expected to miss each other by hand, mm.
        shrink_mm: how far the edge of the larger piece is expected to draw in, mm.
        narrowest_mm: width of the inset piece at its narrowest, mm.
        rim_mm: how wide the lower piece shows along the upper one, mm, where that is thin.
        pieces: the two by id, upper first, where they are known.
    """

    upper: Film
    lower: Film
    meets: Meets
    trap_mm: float = 0.0
    gap_mm: float = 0.0
    shift_mm: float = 0.5
    shrink_mm: float = 0.0
    narrowest_mm: float = 1000.0
    rim_mm: float = 1000.0
    pieces: tuple[str, str] | None = None

    @property
    def where(self) -> str:
        """Where a finding on it is: the two films and how they meet."""
        return f"{self.upper.id} {'beside' if self.meets == 'butt' else self.meets} {self.lower.id}"


@dataclass(frozen=True, slots=True)
class Stack:
    """The films over one another at the thickest place, bottom first."""

    fabric: Fabric
    films: tuple[Film, ...]

    @property
    def where(self) -> str:
        """Where a finding on it is: its films, bottom first."""
        return " / ".join(film.id for film in self.films)


@dataclass(frozen=True, slots=True)
class BondLine:
    """One adhesive over a whole press schedule, as the heat simulation sees it.

    Attributes:
        film: the film whose adhesive it is; ``below`` is what it lies on, by id.
        peak_c: hottest that the bond line gets, °C.
        seconds_bonding: seconds at or above the adhesive's bonding temperature, s.
        low_seconds_bonding: the same at the unlucky end of what is uncertain, s.
        dwell_s: seconds of the press that finishes it, s.
        needed_dwell_s: least whole seconds of that press that would bond it, s; ``None`` if none.
        longest_dwell_s: longest that the films and the fabric allow for that press, s.
        steady_c: where the bond line would settle if the press stayed closed, °C.
        press_peaks_c: hottest that it gets in each press that its film lies under, in order, °C.
    """

    film: Film
    below: str
    peak_c: float
    seconds_bonding: float
    low_seconds_bonding: float
    dwell_s: float
    needed_dwell_s: float | None
    longest_dwell_s: float
    steady_c: float
    press_peaks_c: tuple[float, ...] = ()

    @property
    def where(self) -> str:
        """Where a finding on it is: the film on what it lies on."""
        return f"{self.film.id} on {self.below}"


@dataclass(frozen=True, slots=True)
class ArtworkPiece:
    """A piece at its final size, in the film it will be cut from.

    Attributes:
        least_stroke_mm: its thinnest part, mm; ``None`` where not measured.
        least_gap_mm: its narrowest gap, mm; ``None`` where it has none or was not measured.
        small_islands: separate parts smaller than what survives weeding.
        smallest_island_mm2: area of the smallest one, mm².
        delta_e: how far the film's colour is from the artwork's, CIEDE2000.
        as_cut: it is what windows and gaps leave of it, not what the artwork has.
        print_width_mm: of the whole print; ``None`` where the piece is by itself.
        room_mm: the widest print that the print area takes.
        wished_finish: the finish that was wished for it; empty where nobody knows.
        mean_stroke_mm: how wide its strokes are in the mean, mm; ``None`` where not measured.
        letters: it is names, set by us, and no artwork.
        stroke_in, gap_in: which letter of which name is so fine.
    """

    piece: str
    film: Film
    width_mm: float
    height_mm: float
    least_stroke_mm: float | None = None
    least_gap_mm: float | None = None
    small_islands: int = 0
    smallest_island_mm2: float | None = None
    mirrored: bool = True
    delta_e: float | None = None
    as_cut: bool = False
    print_width_mm: float | None = None
    room_mm: float | None = None
    wished_finish: str = ""
    mean_stroke_mm: float | None = None
    letters: bool = False
    stroke_in: str = ""
    gap_in: str = ""

    @property
    def fill(self) -> PieceName:
        """The first piece of its colour in the artwork, which stands for all of that colour."""
        return piece_name(re.sub(r"^(fill-[0-9a-f]{6})-\d+$", r"\1", self.piece))

    @property
    def named(self) -> PieceName:
        """The piece as a sentence names it."""
        return piece_name(self.piece)

    @property
    def where(self) -> str:
        """Where a finding on it is: the piece at its size."""
        cut = " as it is cut" if self.as_cut else ""
        if self.letters:
            # What is asked of lettering is the height of its capitals, which is less.
            return f"{self.named}{cut} {show_mm(self.height_mm):.0f} high, accents and tails too"
        if self.print_width_mm is None:
            return f"{self.named}{cut} at {show_mm(self.width_mm):.0f} wide"
        return f"{self.named}{cut} in a print {show_mm(self.print_width_mm):.0f} wide"


@dataclass(frozen=True, slots=True)
class SeenAgainst:
    """A piece as it is seen from above beside another piece, or on the garment.

    Attributes:
        ground: the other piece, or what the garment is made of, by id.
        ground_film: of the other piece; ``None`` on the garment.
        drawn_delta_e: how far the two are apart in the artwork, CIEDE2000; 0 where none says.
        letters: it is names, to be read.
        wished_alike: the job itself wishes both in one look and colour.
    """

    piece: str
    film: Film
    colour: Colour
    ground: str
    ground_colour: Colour
    ground_film: Film | None = None
    drawn_delta_e: float = 0.0
    letters: bool = False
    wished_alike: bool = False

    @property
    def named(self) -> PieceName:
        """The piece as a sentence names it."""
        return piece_name(self.piece)

    @property
    def where(self) -> str:
        """Where a finding on it is: the piece on what it is seen against."""
        ground = self.ground if self.ground_film is None else piece_name(self.ground)
        return f"{self.named} on {ground}"


@dataclass(frozen=True, slots=True)
class AsDrawn:
    """A piece of the artwork that no film shows as it is drawn.

    Attributes:
        opacity: 1 is opaque.
        seen: it shows somewhere; not wholly under other pieces.
        over: the pieces that shine through it in the artwork.
        pressed: it is cut and pressed all the same.
    """

    piece: str
    opacity: float = 1.0
    seen: bool = True
    over: tuple[str, ...] = ()
    pressed: bool = True

    @property
    def named(self) -> PieceName:
        """The piece as a sentence names it."""
        return piece_name(self.piece)

    @property
    def where(self) -> str:
        """Where a finding on it is: the piece."""
        return f"{self.named}"


@dataclass(frozen=True, slots=True)
class GarmentOnPress:
    """A print of ``width_mm`` × ``height_mm`` on a garment, with the steps that press it."""

    garment: Garment
    area: PrintArea
    press: Press
    width_mm: float
    height_mm: float
    steps: tuple[Step, ...]
    sheets: tuple[Sheet, ...] = ()

    @property
    def where(self) -> str:
        """Where a finding on it is: the print area of the garment."""
        return f"{self.area.name} of {self.garment.id}"


@dataclass(frozen=True, slots=True)
class Pressing:
    """A whole job at the press, for what can hurt the person who presses or wears it."""

    fabric: Fabric
    wearer: Wearer
    nightwear: bool
    films: tuple[Film, ...]
    sheets: tuple[Sheet, ...]
    steps: tuple[Step, ...]

    @property
    def where(self) -> str:
        """Where a finding on it is, if nowhere in particular."""
        return "the job"

    @property
    def hottest_c(self) -> float:
        """The highest setpoint of its steps, °C; 0 where none has one."""
        return max((s.setpoint_c for s in self.steps if s.setpoint_c is not None), default=0.0)


Subject = (
    FilmOnFabric
    | FilmOnFilm
    | Joint
    | Stack
    | BondLine
    | ScheduledStep
    | ArtworkPiece
    | SeenAgainst
    | AsDrawn
    | GarmentOnPress
    | Pressing
)
