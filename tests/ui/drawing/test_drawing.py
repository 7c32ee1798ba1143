"""Drawings tell the truth: heights to scale, films that lie on one another, words kept inert."""

import tomllib
import xml.etree.ElementTree as ElementTree
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import ui.start
from advisor import plan
from advisor.artwork.reader import read_artwork
from advisor.artwork.svg.writing import plain_words
from advisor.job.demo import DEMO_FOLDER, demo_job
from rules.catalogue import load_catalogue
from rules.facts.film import FAMILIES, Film
from rules.facts.step import Meets, Step
from rules.facts.units import Units
from ui.drawing.apart import artwork_flat, layers_apart
from ui.drawing.ink import sheet_of_paper, text
from ui.drawing.labels import spread
from ui.drawing.pictogram import pictogram
from ui.drawing.plane import Plate, plates
from ui.drawing.profile import drape, laying_order
from ui.drawing.section import section
from ui.drawing.swatch import film_card
from ui.drawing.texture import Coloured

SHELF = load_catalogue()
FILMS = list(SHELF.films.values())
WAYS: list[Meets] = ["lap", "inset-over", "inset-under", "butt"]
SVG = "{http://www.w3.org/2000/svg}"

stacks = st.lists(st.sampled_from(FILMS), min_size=1, max_size=5)
ways = st.lists(st.sampled_from(WAYS), min_size=4, max_size=4)


def area(points: tuple[tuple[float, float], ...]) -> float:
    """Area inside a closed outline, by the shoelace sum."""
    closed = (*points, points[0])
    return abs(sum(x * v - u * y for (x, y), (u, v) in pairwise(closed))) / 2


def points_of(mark: ElementTree.Element) -> list[tuple[float, float]]:
    """The points of a polygon or a polyline."""
    pairs = (point.split(",") for point in mark.get("points", "").split())
    return [(float(x), float(y)) for x, y in pairs]


@given(stacks, ways)
def test_a_draped_film_keeps_its_thickness_wherever_it_lies(
    films: list[Film], meets: list[Meets]
) -> None:
    lying = drape(films, meets[: len(films) - 1], width=222, px_per_um=0.2)
    for film in lying:
        for shape in film.face:
            xs = [x for x, _ in shape]
            expected = (max(xs) - min(xs)) * films[film.place].face_um * 0.2
            assert area(shape) == pytest.approx(expected, rel=1e-6, abs=1e-6)


@given(stacks)
def test_lapped_films_stand_as_high_as_their_thicknesses_together(films: list[Film]) -> None:
    meets: list[Meets] = ["lap"] * (len(films) - 1)
    top = max(each.crest for each in drape(films, meets, width=222, px_per_um=0.1))
    assert top == pytest.approx(0.1 * sum(film.thickness_um for film in films))


def test_a_butted_film_lies_on_the_fabric_and_an_inset_only_at_its_rim() -> None:
    films = [SHELF.film("matte-smooth"), SHELF.film("sparkle-fine")]
    crests = {
        way: max(each.crest for each in drape(films, [way], width=222, px_per_um=1)) for way in WAYS
    }
    both = sum(film.thickness_um for film in films)
    assert crests["butt"] == max(film.thickness_um for film in films)
    assert crests["lap"] == crests["inset-over"] == crests["inset-under"] == both


@given(st.lists(st.sampled_from(WAYS), max_size=6))
def test_a_film_goes_down_after_the_one_behind_it_unless_its_rim_lies_under(
    meets: list[Meets],
) -> None:
    order = laying_order(meets)
    assert sorted(order) == list(range(len(meets) + 1))
    for behind, way in enumerate(meets):
        first = order.index(behind) < order.index(behind + 1)
        assert first == (way != "inset-under")


@given(
    st.lists(st.tuples(st.floats(-50, 500), st.floats(5, 60)), min_size=1, max_size=12),
    st.floats(0, 40),
)
def test_labels_never_lie_on_one_another(boxes: list[tuple[float, float]], top: float) -> None:
    boxes.sort()
    heights = [height for _, height in boxes]
    tops = spread([middle for middle, _ in boxes], heights, top=top)
    assert min(tops) >= top
    assert all(b - a >= h for (a, b), h in zip(pairwise(tops), heights, strict=False))


def test_the_drawn_heights_are_those_of_the_scale_bar() -> None:
    look = Coloured(SHELF.film("sparkle-coarse"), "gold")
    root = ElementTree.fromstring(section([look], fabric=SHELF.fabric("denim")))
    said = [words.text or "" for words in root.iter(f"{SVG}text")]
    length_um = float(next(w for w in said if "heights to scale" in w).partition(" ")[0])
    bar = [point[0] for point in points_of(list(root.iter(f"{SVG}polyline"))[-1])]
    px_per_um = (max(bar) - min(bar)) / length_um
    face = next(each for each in root.iter(f"{SVG}polygon") if each.get("fill") == look.srgb)
    heights = [point[1] for point in points_of(face)]
    drawn_um = (max(heights) - min(heights)) / px_per_um
    assert drawn_um == pytest.approx(look.film.face_um, rel=0.01)


@pytest.mark.parametrize("family", FAMILIES)
def test_each_family_is_drawn_well_formed_and_hatched_as_itself(family: str) -> None:
    film = next(film for film in FILMS if film.family == family)
    for drawn in (
        film_card(film),
        section([Coloured(film)], fabric=SHELF.fabric("denim"), carriers=[0]),
    ):
        root = ElementTree.fromstring(drawn)
        painted = {each.get("fill", "") for each in root.iter() if each.get("fill")}
        defined = {f"url(#{each.get('id')})" for each in root.iter() if each.get("id")}
        assert {fill for fill in painted if fill.startswith("url")} <= defined


@pytest.mark.parametrize("fabric", SHELF.fabrics.values(), ids=lambda fabric: fabric.id)
def test_each_fabric_is_drawn_with_its_thickness(fabric: object) -> None:
    drawn = section([], fabric=fabric)  # type: ignore[arg-type]
    assert f"{fabric.thickness_um:.0f} µm" in drawn  # type: ignore[attr-defined]
    ElementTree.fromstring(drawn)


def test_cover_and_carrier_are_named() -> None:
    drawn = section(
        [Coloured(SHELF.film("flock-plush"))],
        fabric=SHELF.fabric("adult-tee"),
        carriers=[0],
        cover=SHELF.sheet("ptfe-cover"),
    )
    for words in ("carrier", "of flock-plush", "peels cold", "cover: ptfe-cover"):
        assert words in drawn


def test_inches_are_told_in_the_drawing() -> None:
    drawn = section(
        [Coloured(SHELF.film("matte-smooth"))],
        fabric=SHELF.fabric("denim"),
        units=Units(inches=True),
    )
    assert "face 2.76 mil" in drawn
    assert "µm" not in drawn


@given(st.text(max_size=60))
def test_any_words_stay_words(words: str) -> None:
    root = ElementTree.fromstring(f"<svg>{text(0, 0, words)}</svg>")
    assert [each.tag for each in root.iter()] == ["svg", "text"]
    assert "<" not in plain_words(words)


def test_a_hostile_name_is_drawn_as_text() -> None:
    drawn = plates(
        [Plate('"><script>alert(1)</script>', 10, 10)], units=Units(), title="<img src=x>"
    )
    tags = {each.tag.removeprefix(SVG) for each in ElementTree.fromstring(drawn).iter()}
    assert not tags & {"script", "img", "foreignObject"}


def test_the_layers_of_the_demo_are_pulled_apart_in_pressing_order() -> None:
    job = demo_job()
    made = plan(job, folder=DEMO_FOLDER)
    artwork = read_artwork(DEMO_FOLDER / job.artwork)
    looks = {piece.id: Coloured(SHELF.film(piece.film), piece.colour) for piece in made.pieces}
    drawn = layers_apart(artwork, made, looks, fabric=SHELF.fabric("adult-tee"))
    for piece in made.pieces:
        assert looks[piece.id].srgb in drawn
    first = layers_apart(artwork, made, looks, fabric=SHELF.fabric("adult-tee"), ranks=[1])
    assert len(first) < len(drawn)
    flat = artwork_flat(artwork, looks)
    assert len(flat) < 200_000


STEPS = [
    Step(n=1, action="setpoint", setpoint_c=160),
    Step(n=2, action="pressure", pressure_kpa=30),
    Step(n=3, action="pad", pad="foam-pad-small"),
    Step(n=4, action="pad", pad="out"),
    Step(n=5, action="preheat", dwell_s=4),
    Step(n=6, action="press", purpose="tack", pieces=("a",)),
    Step(n=7, action="press", purpose="full", pieces=("a",), cover="ptfe-cover"),
    Step(n=8, action="peel", pieces=("a",), peel="hot"),
    Step(n=9, action="peel", pieces=("a",), peel="cold"),
    Step(n=10, action="peel", cover="ptfe-cover"),
    Step(n=11, action="wait", dwell_s=30),
    Step(n=12, action="turn"),
]


def test_no_two_kinds_of_step_look_alike() -> None:
    drawn = [pictogram(step, laid=["#d4a017"], down=["#1b2a49"]) for step in STEPS]
    assert len(set(drawn)) == len(STEPS)
    for each in drawn:
        ElementTree.fromstring(each)


def test_a_pad_is_seen_under_the_garment_while_it_is_in() -> None:
    press = STEPS[6]
    assert pictogram(press, pad_in=True) != pictogram(press, pad_in=False)


def test_words_in_a_drawing_are_of_the_font_of_the_page_around_it() -> None:
    theme = tomllib.loads((Path(ui.start.__file__).parent / ".streamlit/config.toml").read_text())
    family = theme["theme"]["font"]
    drawn = sheet_of_paper([], width=1, height=1, title="nothing")
    assert f"font-family:{family.replace(', ', ',')}" in drawn
