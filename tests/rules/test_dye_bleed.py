"""Dye that wanders: more with heat and time, and what is judged early is never taken back."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise, product

import pytest

from advisor import check
from rules.book.film_on_fabric.dye_bleed import RULE, stain
from rules.book.tint import tinted
from rules.catalogue import load_catalogue
from rules.facts.fabric import Fabric
from rules.facts.fact import Colour
from rules.facts.film import Film
from rules.facts.subjects import AsPressed, FilmOnFabric

SHELF = load_catalogue()
WHITE = next(c for c in SHELF.film("matte-smooth").colours if c.name == "white")
DYED = [f for f in SHELF.fabrics.values() if f.dye_class.startswith("disperse")]


def pressed(fabric_c: float, seconds: float = 15) -> FilmOnFabric:
    film, fabric = SHELF.film("matte-nylon"), SHELF.fabric("polyester-jersey")
    return FilmOnFabric(film, fabric, colour=WHITE, pressed=AsPressed(150, 0, seconds, fabric_c))


def test_hotter_and_longer_stains_more() -> None:
    hotter = [stain(pressed(c)) for c in range(110, 145, 5)]
    longer = [stain(pressed(135, s)) for s in range(10, 40, 5)]
    assert all(less < more for less, more in (*pairwise(hotter), *pairwise(longer)))


def test_eight_degrees_stain_as_twice_the_seconds_do() -> None:
    assert stain(pressed(138, 15)) == pytest.approx(stain(pressed(130, 30)), abs=0.01)


def test_seconds_at_a_dial_eight_degrees_cooler_count_half() -> None:
    hot, more = pressed(130, 15), pressed(130, 22.5)
    assert hot.pressed is not None
    cooler = replace(hot.pressed, seconds=30, presses=((150, 15, 130), (142, 15, 122)))
    assert stain(replace(hot, pressed=cooler)) == pytest.approx(stain(more), abs=0.01)
    alike = replace(hot.pressed, seconds=30, presses=((150, 15, 130), (150, 15, 130)))
    assert stain(replace(hot, pressed=alike)) == stain(pressed(130, 30))


def test_a_press_that_runs_hot_counts_as_hot() -> None:
    even, uneven = pressed(130), pressed(124)
    assert uneven.pressed is not None
    uneven = replace(uneven, pressed=replace(uneven.pressed, spread_c=6))
    assert stain(even) == stain(uneven)


def test_a_stain_only_takes_light_away() -> None:
    for colour, dye in product(("#ffffff", "#c8102e", "#1b2a49"), ("#b5202f", "#2450a0")):
        for share in (0.1, 0.5, 1.0):
            stained = tinted(colour, dye, share)
            assert all(stained[i : i + 2] <= colour[i : i + 2] for i in (1, 3, 5))
        assert tinted(colour, dye, 0) == colour


@pytest.mark.parametrize("fabric", DYED, ids=lambda fabric: fabric.id)
def test_what_is_judged_before_the_press_is_no_more_than_its_heat_brings(fabric: Fabric) -> None:
    for name in ("matte-smooth", "gloss-quick", "metallic-smooth", "foam-low", "high-build-matte"):
        film = SHELF.film(name)
        report = check(fabric=fabric.id, stack=[name])
        if not report.bond_lines or film.setpoint_c.low > fabric.harmed_fibre.harmed_c - 6:
            continue
        presses = [step for step in report.steps if step.action == "press"]
        early = FilmOnFabric(film, fabric, colour=film.colours[0])
        as_pressed = AsPressed(
            setpoint_c=max(step.setpoint_c or 0 for step in presses),
            spread_c=6,
            seconds=sum(step.dwell_s or 0 for step in presses),
            fabric_c=report.bond_lines[0].peak_c,
        )
        heat_c = as_pressed.fabric_c + as_pressed.spread_c
        estimate_c = film.setpoint_c.low - 4 - 0.045 * (film.thickness_um + film.carrier_um)
        assert estimate_c <= heat_c + 0.1, (name, heat_c, estimate_c)
        assert stain(early) <= stain(replace(early, pressed=as_pressed))


@pytest.mark.parametrize(("fabric_c", "severity"), [(137.3, "sample"), (145, "stop")])
def test_strong_dyes_at_the_same_heat_are_judged_alike(fabric_c: float, severity: str) -> None:
    film, jersey = SHELF.film("matte-smooth"), SHELF.fabric("polyester-jersey")
    heat = AsPressed(150, 6, 15, fabric_c)
    verdicts = set()
    for srgb in ("#b5202f", "#a01020", "#8a1538", "#1c2a48", "#1c1c1e", "#ee7a26", "#2450a0"):
        said = {"id": "polyester-jersey:strong", "colour": Colour(name="strong", srgb=srgb)}
        dyed = jersey.model_copy(update=said)
        found = RULE.finds(FilmOnFabric(film, dyed, colour=WHITE, pressed=heat))
        assert found is not None
        verdicts.add(found.severity)
    assert verdicts == {severity}


RANK = {None: 0, "note": 1, "sample": 2, "stop": 3}


def severity(pair: FilmOnFabric) -> int:
    found = RULE.finds(pair)
    return RANK[found.severity if found else None]


@pytest.mark.parametrize("fabric", DYED, ids=lambda fabric: fabric.id)
def test_more_film_between_less_heat_or_fewer_seconds_never_bleed_worse(fabric: Fabric) -> None:
    thin, smooth = SHELF.film("matte-thin"), SHELF.film("matte-smooth")
    piles: tuple[tuple[Film, ...], ...] = ((), (thin,), (smooth,), (smooth, thin), (smooth,) * 3)
    heats, lasting = (110.0, 118.0, 126.0, 130.0, 140.0, 150.0), (4.0, 10.0, 18.0, 30.0)

    dyed = fabric.model_copy(
        update={"id": f"{fabric.id}:navy", "colour": Colour(name="navy", srgb="#1c2a48")}
    )
    film = SHELF.film("matte-low-temperature")

    def judged(between: int, heat_c: float, seconds: float) -> int:
        pressed = AsPressed(heat_c + 10, 4, seconds, heat_c)
        pile = piles[between]
        return severity(FilmOnFabric(film, dyed, not pile, pile, colour=WHITE, pressed=pressed))

    grid = {at: judged(*at) for at in product(range(len(piles)), heats, lasting)}
    for (between, heat_c, seconds), worst in grid.items():
        milder = product(range(between, len(piles)), heats, lasting)
        assert all(
            grid[less] <= worst for less in milder if less[1] <= heat_c and less[2] <= seconds
        ), (between, heat_c, seconds)
    assert max(grid.values()) >= RANK["sample"] > min(grid.values())


def test_a_press_counts_by_the_heat_that_it_brings_itself() -> None:
    final = pressed(130, 10)
    assert final.pressed is not None
    tacked = replace(
        final.pressed, seconds=16, presses=((150, 2, 105), (150, 4, 110), (150, 10, 130))
    )
    flat = replace(final.pressed, seconds=16)
    shift = stain(replace(final, pressed=tacked))
    assert stain(final) <= shift < stain(replace(final, pressed=flat))


@pytest.mark.parametrize("film", ["matte-thin", "matte-nylon", "gloss-quick"])
def test_bare_white_is_never_judged_milder_than_white_over_navy(film: str) -> None:
    def worst(stack: list[str]) -> int:
        report = check(fabric="sports-jersey", colour="navy", stack=stack)
        return max((RANK[f.severity] for f in report.findings if f.rule == "dye-bleed"), default=0)

    assert worst([f"{film}:navy", f"{film}:white"]) <= worst([f"{film}:white"])
