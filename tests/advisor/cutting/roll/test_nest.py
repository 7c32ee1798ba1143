"""Nesting: whatever the order, every copy lies on the roll, apart, and turned only as allowed."""

from __future__ import annotations

import itertools
import json
import math
import signal
import subprocess
import sys
import threading
from pathlib import Path

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import MultiPolygon, Polygon, affinity

from advisor.cutting.records.rolls import Progress
from advisor.cutting.roll import worker as nest_worker
from advisor.cutting.roll.layout import faults
from advisor.cutting.roll.nesting import nest
from advisor.cutting.roll.shapes import NestError, Part, PartTooWideError, outline
from tests.advisor.cutting.roll.nest_by_pairs import wrong_with

ROLL_MM = 300.0
KITE = Polygon([(0, 0), (60, 70), (0, 160), (-60, 70)])
ELL = shapely.union_all([shapely.box(0, 0, 20, 90), shapely.box(0, 70, 70, 90)])
RING = shapely.Point(500, -900).buffer(35).difference(shapely.Point(500, -900).buffer(18))
WORD = MultiPolygon([shapely.box(28 * n, 0, 28 * n + 20, 30) for n in range(4)])
CREW = (
    Part("kite", KITE, 3),
    Part("tail", ELL, 4),
    Part("ring", RING, 3, (0.0, 180.0)),
    Part("word", WORD, 3, (0.0, 90.0)),
)

sizes = st.floats(5, 120)


@st.composite
def shapes(draw: st.DrawFn) -> Polygon | MultiPolygon:
    """Blocks, angles, stars, rings and words, anywhere on the artboard."""
    width, height = draw(sizes), draw(sizes)
    kind = draw(st.sampled_from(["block", "angle", "star", "ring", "word"]))
    block = shapely.box(0, 0, width, height)
    shape: Polygon | MultiPolygon = block
    if kind == "angle":
        shape = block.difference(shapely.box(width / 3, -1, width + 1, 2 * height / 3))
    elif kind == "star":
        ends = [(width / 2 if n % 2 else width / 5) for n in range(10)]
        shape = Polygon(
            [(r * math.cos(n * math.pi / 5), r * math.sin(n * math.pi / 5))
             for n, r in enumerate(ends)]
        )  # fmt: skip
    elif kind == "ring":
        shape = (
            shapely.Point(0, 0).buffer(width / 2).difference(shapely.Point(0, 0).buffer(width / 4))
        )
    elif kind == "word":
        shape = MultiPolygon([shapely.box(0, 0, width / 3, height),
                              shapely.box(width / 2, 0, width, height)])  # fmt: skip
    return affinity.translate(shape, draw(st.floats(-500, 500)), draw(st.floats(-500, 500)))


@st.composite
def orders(draw: st.DrawFn, most: int = 6) -> list[Part]:
    """One to a few parts with their quantities and turns."""
    some_turns = st.sampled_from([(0.0,), (0.0, 180.0), (0.0, 90.0, 180.0, 270.0), (33.3,)])
    return [
        Part(f"part {n}", draw(shapes()), draw(st.integers(1, most)), draw(some_turns))
        for n in range(draw(st.integers(1, 4)))
    ]


@given(orders(), st.floats(0, 10), st.floats(200, 600))
@settings(max_examples=60, deadline=None)
def test_rectangles_keep_every_copy_on_the_roll_apart_and_turned_as_allowed(
    parts: list[Part], spacing_mm: float, roll_width_mm: float
) -> None:
    layout = nest(parts, roll_width_mm=roll_width_mm, spacing_mm=spacing_mm, seconds=0)
    assert wrong_with(layout, parts) == []
    assert layout.method == "rectangles"


@pytest.mark.slow
@given(orders(), st.sampled_from([0.0, 0.5, 3.0, 8.0]))
@settings(max_examples=5, deadline=None)
def test_true_shapes_keep_every_copy_on_the_roll_apart_and_turned_as_allowed(
    parts: list[Part], spacing_mm: float
) -> None:
    layout = nest(parts, roll_width_mm=ROLL_MM, spacing_mm=spacing_mm, seconds=0.5)
    assert wrong_with(layout, parts) == []
    plain = nest(parts, roll_width_mm=ROLL_MM, spacing_mm=spacing_mm, seconds=0)
    assert layout.length_mm <= plain.length_mm + 1e-6


def test_true_shapes_take_less_film_than_their_rectangles() -> None:
    layout = nest(CREW, roll_width_mm=ROLL_MM, seconds=1)
    assert layout.method == "true-shape"
    assert wrong_with(layout, CREW) == []
    assert layout.length_mm < nest(CREW, roll_width_mm=ROLL_MM, seconds=0).length_mm


def test_nothing_lies_in_a_ring_or_between_the_islands_of_a_word() -> None:
    # One carrier holds them: the patches keep apart, not only the shapes.
    layout = nest(CREW, roll_width_mm=ROLL_MM, seconds=0.6)
    patches = {part.id: outline(part.shape) for part in CREW}
    assert faults(patches, layout.placements, roll_width_mm=ROLL_MM, spacing_mm=3.0) == ()


def test_density_is_the_area_on_garments_over_the_film_used() -> None:
    layout = nest(CREW, roll_width_mm=ROLL_MM, seconds=0)
    area_mm2 = sum(part.shape.area * part.quantity for part in CREW)
    assert layout.density == pytest.approx(area_mm2 / (ROLL_MM * layout.length_mm))
    assert layout.waste_pct == pytest.approx(100 - 100 * layout.density)


def test_a_part_as_wide_as_the_roll_still_nests() -> None:
    parts = [Part("band", shapely.box(0, 0, 50, ROLL_MM), 3, (0.0,)), Part("tail", ELL, 3)]
    layout = nest(parts, roll_width_mm=ROLL_MM, seconds=0.6)
    assert wrong_with(layout, parts) == []


def test_an_odd_turn_is_taken_exactly_as_it_was_allowed() -> None:
    # Single precision, in which the search works, has no 33.3.
    parts = [Part("kite", KITE, 8, (33.3,)), Part("tail", ELL, 6, (0.1, 200.7))]
    layout = nest(parts, roll_width_mm=ROLL_MM, seconds=1)
    assert layout.method == "true-shape"
    assert wrong_with(layout, parts) == []


@pytest.mark.slow
def test_an_order_of_hundreds_repeats_a_block_along_the_roll() -> None:
    parts = [Part(part.id, part.shape, 41 * part.quantity, part.rotations) for part in CREW]
    layout = nest(parts, roll_width_mm=ROLL_MM, seconds=2)
    assert layout.method == "true-shape"
    assert "repeats" in layout.note
    assert {part.id: part.quantity for part in parts} == {
        part.id: sum(spot.part == part.id for spot in layout.placements) for part in parts
    }
    patches = {part.id: outline(part.shape) for part in parts}
    assert faults(patches, layout.placements, roll_width_mm=ROLL_MM, spacing_mm=3.0) == ()
    assert layout.length_mm < nest(parts, roll_width_mm=ROLL_MM, seconds=0).length_mm


def test_five_hundred_names_that_differ_are_all_laid() -> None:
    names = [Part(f"name {n}", affinity.scale(KITE, 0.1 + n % 50 / 500, 0.2)) for n in range(500)]
    layout = nest(names, roll_width_mm=ROLL_MM, seconds=1)
    patches = {part.id: outline(part.shape) for part in names}
    assert faults(patches, layout.placements, roll_width_mm=ROLL_MM, spacing_mm=3.0) == ()
    assert {spot.part for spot in layout.placements} == set(patches)


def test_one_or_two_parts_are_laid_at_once_and_the_note_says_so() -> None:
    seen: list[Progress] = []
    layout = nest([Part("tail", ELL, 2)], roll_width_mm=ROLL_MM, on_progress=seen.append)
    assert layout.method == "rectangles"
    assert layout.note.startswith("one or two parts")
    assert [progress.phase for progress in seen] == ["done"]


def test_progress_runs_from_the_rectangles_to_done_and_never_gets_longer() -> None:
    seen: list[Progress] = []
    layout = nest(CREW, roll_width_mm=ROLL_MM, seconds=0.6, on_progress=seen.append)
    assert (seen[0].phase, seen[-1].phase) == ("rectangles", "done")
    assert all(a.elapsed_s <= b.elapsed_s for a, b in itertools.pairwise(seen))
    assert all(a.length_mm >= b.length_mm for a, b in itertools.pairwise(seen[:-1]))
    assert seen[-1].length_mm == layout.length_mm
    assert seen[-1].share == 1


def started(monkeypatch: pytest.MonkeyPatch) -> list[subprocess.Popen[str]]:
    """The programs that a nesting starts."""
    programs: list[subprocess.Popen[str]] = []
    popen = subprocess.Popen

    def keep(*args: object, **options: object) -> subprocess.Popen[str]:
        programs.append(popen(*args, **options))  # type: ignore[call-overload]
        return programs[-1]

    monkeypatch.setattr(subprocess, "Popen", keep)
    return programs


@pytest.mark.slow
def test_ctrl_c_gives_the_best_so_far_and_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    programs = started(monkeypatch)
    seen: list[Progress] = []

    def watch(progress: Progress) -> None:
        # Not before the search has found something: a Ctrl-C before that leaves the rectangles.
        seen.append(progress)
        if progress.length_mm < seen[0].length_mm and len(seen) > 1 and not pressed:
            pressed.append(threading.Timer(0.0, signal.raise_signal, [signal.SIGINT]))
            pressed[0].start()

    pressed: list[threading.Timer] = []
    layout = nest(CREW, roll_width_mm=ROLL_MM, seconds=30, on_progress=watch)
    assert layout.interrupted
    assert layout.note.startswith("stopped early, the best so far")
    assert wrong_with(layout, CREW) == []
    assert [program.poll() is not None for program in programs] == [True]


def test_ctrl_c_before_the_first_layout_gives_rectangles() -> None:
    def stop(progress: Progress) -> None:
        if progress.phase != "done":
            raise KeyboardInterrupt

    layout = nest(CREW, roll_width_mm=ROLL_MM, seconds=30, on_progress=stop)
    assert (layout.interrupted, layout.method) == (True, "rectangles")
    assert "stopped" in layout.note
    assert wrong_with(layout, CREW) == []


def test_what_a_progress_callback_raises_ends_the_search_and_its_program(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    programs = started(monkeypatch)

    def full(progress: Progress) -> None:
        if progress.phase == "exploring":
            raise ValueError("disk full")

    with pytest.raises(ValueError, match="disk full"):
        nest(CREW, roll_width_mm=ROLL_MM, seconds=30, on_progress=full)
    assert [program.poll() is not None for program in programs] == [True]


WORKERS = {
    "ended early": "",
    "answered nonsense": "print('not json', flush=True)",
    "kept the spacing": (
        "import json; n = len(json.loads(input())['items'])\n"
        "print(json.dumps({'length_mm': 1, 'phase': 'final',"
        " 'placed': [[str(i), 0, 0, 0] for i in range(n)]}), flush=True)"
    ),
    "out of memory": 'print(\'{"error": "out of memory"}\', flush=True)',
}


@pytest.mark.parametrize("said", WORKERS)
def test_a_search_that_fails_or_lies_leaves_the_rectangles(
    said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    worker = tmp_path / "worker.py"
    worker.write_text(WORKERS[said])
    monkeypatch.setattr(nest_worker, "__file__", str(worker))
    layout = nest(CREW, roll_width_mm=ROLL_MM, seconds=5)
    assert layout.method == "rectangles"
    assert said in layout.note
    assert wrong_with(layout, CREW) == []


@pytest.mark.slow
@pytest.mark.parametrize("side_mm", [0.5, 3.0])
def test_tiny_dots_are_laid_as_rectangles_and_one_plain_line_says_why(side_mm: float) -> None:
    dots = Part("dot", shapely.box(0, 0, side_mm, side_mm), 36)
    layout = nest([dots], roll_width_mm=500, seconds=5)
    assert layout.method == "rectangles"
    assert layout.note == (
        "bounding rectangles; the true-shape search gave no layout: the parts are too small and "
        "too few for it"
    )


def test_parts_are_searched_for_from_just_as_much_film_as_the_search_can_take() -> None:
    # 62 of 25 mm² fill 506 mm across for 3.06 mm, a little more than the 3.02 mm kept between them.
    dots = Part("dot", shapely.box(0, 0, 5, 5), 62)
    assert "gave no layout" not in nest([dots], roll_width_mm=500, seconds=4).note


def test_a_library_that_breaks_is_told_in_one_line_and_never_by_its_trace() -> None:
    # What the library panics of, whatever it is: a strip that is narrower than its own spacing.
    problem = {
        "items": [{"id": "0", "points": [[0, 0], [1, 0], [1, 1]], "quantity": 3, "rotations": [0]}],
        "strip_mm": 500.0, "apart_mm": 3.0, "explore_s": 1, "compress_s": 1, "workers": 1,
        "seed": 0,
    }  # fmt: skip
    with subprocess.Popen(
        [sys.executable, "-P", str(Path(nest_worker.__file__))],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True,
    ) as process:  # fmt: skip
        assert process.stdin is not None
        assert process.stdout is not None
        process.stdin.write(json.dumps(problem) + "\n")
        process.stdin.flush()
        *_, last = process.stdout.read().splitlines()
    assert json.loads(last) == {"error": "the library stopped by itself"}


def test_rectangles_are_the_same_in_every_run() -> None:
    code = (
        "import shapely; from advisor.cutting.roll.nesting import nest;"
        "from advisor.cutting.roll.shapes import Part;"
        "print(nest([Part(f'p{n}', shapely.box(0, 0, 9 + n % 7, 5 + n % 11), 3)"
        " for n in range(30)], roll_width_mm=80, seconds=0))"
    )
    answers = {
        subprocess.run(
            [sys.executable, "-c", code],
            env={"PYTHONHASHSEED": hash_seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for hash_seed in ("0", "1", "77")
    }
    assert len(answers) == 1


def test_a_part_wider_than_the_roll_is_refused_with_its_measure_and_what_instead() -> None:
    with pytest.raises(PartTooWideError) as refused:
        nest([Part("back", shapely.box(0, 0, 300, 420), 1, (0.0, 180.0))], roll_width_mm=380)
    assert str(refused.value) == (
        "back: is 420.0 mm across and the roll takes 380.0 mm; turn it by 90° (300.0 mm across), "
        "make it at most 90 % of its size, or take a roll of at least 420.0 mm"
    )
    with pytest.raises(PartTooWideError) as refused:
        nest([Part("back", shapely.box(0, 0, 400, 420), 1)], roll_width_mm=380)
    assert "turn it" not in str(refused.value)


@given(shapes(), shapes())
@settings(max_examples=60, deadline=None)
def test_an_outline_is_one_patch_that_covers_every_island(
    one: Polygon | MultiPolygon, other: Polygon | MultiPolygon
) -> None:
    both = shapely.union_all([one, other])
    assert isinstance(both, Polygon | MultiPolygon)
    patch = outline(both)
    assert isinstance(patch, Polygon)
    assert not patch.interiors
    assert both.difference(patch).area < 1e-6
    assert patch.difference(both.convex_hull.buffer(1e-6)).area < 1e-6


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"roll_width_mm": 0}, "roll_width_mm: is 0; give 1 to 10000 mm"),
        ({"roll_width_mm": math.nan}, "roll_width_mm: is nan; give 1 to 10000 mm"),
        ({"spacing_mm": -1}, "spacing_mm: is -1; give 0 to 100 mm"),
        ({"seconds": math.inf}, "seconds: is inf; give 0 to 3600 s"),
        ({"seed": -1}, "seed: is -1; give 0 to 4294967295"),
    ],
)
def test_nonsense_is_refused_with_its_limits(change: dict[str, float], said: str) -> None:
    with pytest.raises(NestError) as refused:
        nest(CREW, **({"roll_width_mm": ROLL_MM} | change))  # type: ignore[arg-type]
    assert str(refused.value) == said


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda: Part("", ELL), "id: a part has no name"),
        (lambda: Part("a", Polygon()), "a.shape: has no area"),
        (lambda: Part("a", Polygon([(0, 0), (9, 9), (9, 0), (0, 9)])), "a.shape: crosses itself"),
        (lambda: Part("a", shapely.box(0, 0, 2e4, 9)), "a.shape: is 20000 × 9 mm"),
        (lambda: Part("a", ELL, 0), "a.quantity: is 0"),
        (lambda: Part("a", ELL, True), "a.quantity: is True"),
        (lambda: Part("a", ELL, 1, ()), "a.rotations: are ()"),
        (lambda: Part("a", ELL, 1, (math.nan,)), "a.rotations: are (nan,)"),
        (lambda: Part("a", shapely.Point(0, 0)), "a.shape: is a Point"),
        (lambda: nest([Part("a", ELL)] * 2, roll_width_mm=300), "a: two parts bear this name"),
        (
            lambda: nest([Part("a", ELL, 15_000), Part("b", ELL, 15_000)], roll_width_mm=300),
            "30000 parts in all",
        ),
    ],
)  # fmt: skip
def test_a_part_that_cannot_be_cut_is_refused(make: object, said: str) -> None:
    with pytest.raises(NestError) as refused:
        make()  # type: ignore[operator]
    assert str(refused.value).startswith(said)
