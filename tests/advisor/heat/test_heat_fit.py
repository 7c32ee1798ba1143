"""Calibration of a press from a shop's readings: found again, kept, and refused in words."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from advisor.heat.calibrate import CannotTellError, Reading
from advisor.heat.conduction import METAL
from advisor.heat.fit import ReadStack, calibrated, fit_press, read_readings, shelf_yaml
from advisor.heat.layers import Boundary
from advisor.heat.unlucky import spread_of
from rules.catalogue import load_catalogue
from rules.errors import BadInputError
from tests.advisor.heat.heat_shop import PRESS, SHELF
from tests.advisor.heat.phases import Phase, chain

STACK = ReadStack(
    fabric=SHELF.fabric("cotton-jersey-tee"),
    films=(SHELF.film("matte-smooth"), SHELF.film("sparkle-coarse")),
    cover=SHELF.sheet("ptfe-cover"),
)
TRUE_W_M2K = 380.0


def written(
    path: Path,
    *,
    contact_w_m2k: float = TRUE_W_M2K,
    noise_k: float = 0.0,
    stack: ReadStack = STACK,
) -> Path:
    """A CSV of what a probe would read on a press of that contact."""
    random, places = np.random.default_rng(5), stack.places()
    rows = ["place,setpoint_c,seconds,celsius"]
    for setpoint_c in (140.0, 160.0):
        phase = Phase(
            stack.layers(PRESS, SHELF.materials), Boundary(setpoint_c, contact_w_m2k), METAL, 30.0
        )
        course = chain([phase])
        for name in ("sparkle-coarse", "matte-smooth", "fabric"):
            for seconds in (3.0, 8.0, 20.0):
                read_c = course.curve(places[name]).at(seconds)[0] + random.normal(0, noise_k)
                rows.append(f"{name},{setpoint_c:g},{seconds:g},{read_c:.2f}")
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")
    return path


def test_the_places_are_named_from_the_platen_down() -> None:
    assert list(STACK.places()) == ["cover", "face", "sparkle-coarse", "matte-smooth", "fabric"]
    twice = ReadStack(STACK.fabric, (SHELF.film("matte-smooth"),) * 2, pad=SHELF.sheet("felt-pad"))
    assert list(twice.places()) == ["face", "matte-smooth 2", "matte-smooth", "fabric", "pad"]


def test_a_known_contact_is_found_again_from_its_readings(tmp_path: Path) -> None:
    readings = read_readings(written(tmp_path / "readings.csv"), STACK)
    fit = fit_press(readings, STACK, press=PRESS, materials=SHELF.materials)
    [contact] = fit.fitted
    assert (contact.unknown, contact.of, contact.unit) == ("contact", PRESS.id, "W/m²K")
    assert contact.before == PRESS.contact_w_m2k
    assert contact.value == pytest.approx(TRUE_W_M2K, rel=0.01)
    assert contact.low < contact.value < contact.high
    assert fit.typical_error_k < 0.1


def test_readings_under_a_carrier_are_told_so_and_mislead_who_does_not(tmp_path: Path) -> None:
    under = replace(STACK, carrier_on=True)
    readings = read_readings(written(tmp_path / "readings.csv", stack=under), STACK)
    told, untold = (
        fit_press(readings, stack, press=PRESS, materials=SHELF.materials)
        for stack in (under, STACK)
    )
    assert (told.carrier_on, untold.carrier_on) == (True, False)
    assert told.fitted[0].value == pytest.approx(TRUE_W_M2K, rel=0.01)
    assert untold.fitted[0].value < 0.9 * TRUE_W_M2K
    with pytest.raises(BadInputError, match="carrier: is on, but no film lay"):
        fit_press(
            readings,
            ReadStack(STACK.fabric, carrier_on=True),
            press=PRESS,
            materials=SHELF.materials,
        )


def test_noisy_readings_give_an_interval_that_holds_the_truth(tmp_path: Path) -> None:
    readings = read_readings(written(tmp_path / "readings.csv", noise_k=2.0), STACK)
    fit = fit_press(
        readings, STACK, press=PRESS, materials=SHELF.materials, unknowns=("contact", "fabric")
    )
    contact, fabric = fit.fitted
    assert contact.low < TRUE_W_M2K < contact.high
    assert fabric.of == "cotton-fabric"
    assert fabric.low < SHELF.materials["cotton-fabric"].conductivity_w_mk < fabric.high
    assert 1.0 < fit.typical_error_k < 3.0


def test_the_fit_is_kept_with_the_press_and_makes_it_less_uncertain(tmp_path: Path) -> None:
    readings = read_readings(written(tmp_path / "readings.csv"), STACK)
    fit = fit_press(
        readings, STACK, press=PRESS, materials=SHELF.materials, unknowns=("contact", "bed")
    )
    found = calibrated(PRESS, fit, materials=SHELF.materials)
    assert found.press.contact_w_m2k == pytest.approx(TRUE_W_M2K, rel=0.02)
    assert found.press.basis_of("contact_w_m2k") == "physics"
    assert spread_of(found.press).contact < spread_of(PRESS).contact
    [bed] = found.materials
    assert bed.id == "silicone-sponge"
    assert "fitted to 18 readings on clamshell-38x38" in bed.source

    for name, text in shelf_yaml(found).items():
        path = tmp_path / "shelf" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    shop = load_catalogue(tmp_path / "shelf")
    assert shop.press(PRESS.id) == found.press
    assert shop.materials["silicone-sponge"] == bed
    assert len(shop.presses) == len(SHELF.presses)


def test_a_fit_of_another_press_is_refused(tmp_path: Path) -> None:
    fit = fit_press(
        read_readings(written(tmp_path / "r.csv"), STACK),
        STACK,
        press=PRESS,
        materials=SHELF.materials,
    )
    with pytest.raises(BadInputError, match="fit: is of clamshell-38x38, not of draw-40x50"):
        calibrated(SHELF.press("draw-40x50"), fit, materials=SHELF.materials)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("place,setpoint_c,seconds\n", "lacks the column 'celsius'"),
        ("", "lacks the column 'place'"),
        ("place,setpoint_c,seconds,celsius\nfabric,160,8,warm\n", "line 2: celsius: 'warm' is not"),
        ("place,setpoint_c,seconds,celsius\nfabric,160,8\n", "line 2: celsius: '' is not a number"),
        ("place,setpoint_c,seconds,celsius\nfabric,160,8,900\n", "is 900; it must be from -20"),
        ("place,setpoint_c,seconds,celsius\nfabric,160,-1,90\n", "seconds: is -1; it must be from"),
        ("place,setpoint_c,seconds,celsius\nfabrik,160,8,90\n", "'fabrik'; nearest: fabric"),
    ],
)
def test_a_bad_file_is_refused_with_its_line(tmp_path: Path, text: str, message: str) -> None:
    path = tmp_path / "readings.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(BadInputError, match=message):
        read_readings(path, STACK)


def test_a_missing_file_and_a_binary_one_are_refused(tmp_path: Path) -> None:
    with pytest.raises(BadInputError, match="cannot be read: no such file"):
        read_readings(tmp_path / "none.csv", STACK)
    (tmp_path / "b.csv").write_bytes(b"\xff\xfe\x00\xd8")
    with pytest.raises(BadInputError, match="is not UTF-8 text"):
        read_readings(tmp_path / "b.csv", STACK)


def test_readings_that_cannot_tell_are_refused() -> None:
    places = STACK.places()
    few = [Reading(places["fabric"], 160.0, 8.0, 80.0)] * 2
    with pytest.raises(BadInputError, match="are 2; to find 1 unknown takes at least 3"):
        fit_press(few, STACK, press=PRESS, materials=SHELF.materials)
    with pytest.raises(BadInputError, match="no pad lay in the stack"):
        fit_press(few, STACK, press=PRESS, materials=SHELF.materials, unknowns=("contact", "pad"))
    with pytest.raises(BadInputError, match="names one thing twice"):
        fit_press(
            few, STACK, press=PRESS, materials=SHELF.materials, unknowns=("contact", "contact")
        )
    early = [Reading(places["fabric"], 160.0, 0.05 + n / 100, 20.0) for n in range(4)]
    with pytest.raises(CannotTellError):
        fit_press(early, STACK, press=PRESS, materials=SHELF.materials)
