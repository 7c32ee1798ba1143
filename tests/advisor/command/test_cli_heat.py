"""Command heat: textbook layers to their printed values, plans, stacks, drawings, calibration."""

from __future__ import annotations

import json
import re
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest

from advisor.heat.conduction import METAL
from advisor.heat.fit import ReadStack
from advisor.heat.layers import Boundary
from rules.catalogue import load_catalogue
from tests.advisor.command.command_line import refusal, run, run_json, write_job
from tests.advisor.heat.phases import Phase, chain

SHELF = load_catalogue()
PNG = b"\x89PNG\r\n\x1a\n"
TRUE_W_M2K = 380.0
STACK = ("--stack", "matte-smooth,sparkle-coarse", "--fabric", "cotton-jersey-tee")


def layers_file(folder: Path, **document: object) -> Path:
    path = folder / "layers.json"
    path.write_text(json.dumps(document), encoding="utf-8")
    return path


def layer(name: str, metres: float, k: float, alpha: float) -> dict[str, object]:
    """A layer of that diffusivity, m²/s; its density is 1000 kg/m³."""
    return {
        "name": name,
        "thickness_um": metres * 1e6,
        "conductivity_w_mk": k,
        "density_kg_m3": 1000.0,
        "heat_capacity_j_kgk": k / (alpha * 1000.0),
    }


class TestPlainLayers:
    """Values printed in books, or recomputed from the equations of the examples named."""

    def test_the_contract_names_interfaces_front_and_back(self, tmp_path: Path) -> None:
        two = [layer("film", 1e-4, 0.2, 1e-7), layer("cloth", 5e-4, 0.06, 1e-7)]
        path = layers_file(tmp_path, layers=two, platen_c=160, initial_c=20, seconds=[0, 1, 5])
        answer = run_json("heat", "--layers", path)
        assert set(answer) == {"interfaces", "front_c", "back_c"}
        (interface,) = answer["interfaces"]
        assert interface["between"] == ["film", "cloth"]
        assert len(interface["celsius"]) == len(answer["front_c"]) == len(answer["back_c"]) == 3
        assert answer["front_c"][0] == 160
        assert answer["back_c"][0] == interface["celsius"][0] == 20
        assert all(f > i > b for f, i, b in zip(
            answer["front_c"][1:], interface["celsius"][1:], answer["back_c"][1:], strict=True
        ))  # fmt: skip

    @pytest.mark.parametrize(
        ("source", "alpha", "from_c", "to_c", "days", "depth_m"),
        [
            ("Incropera, Example 5.6", 0.52 / (2050 * 1840), 20, -15, 60, 0.6766),
            ("Çengel, Example 4-6", 0.15e-6, 15, -10, 90, 0.8009),
        ],
    )
    def test_frost_reaches_the_depth_of_the_book(
        self,
        tmp_path: Path,
        source: str,
        alpha: float,
        from_c: float,
        to_c: float,
        days: float,
        depth_m: float,
    ) -> None:
        soil = [layer("frozen", depth_m, 0.52, alpha), layer("deep", 20.0, 0.52, alpha)]
        path = layers_file(
            tmp_path, layers=soil, platen_c=to_c, initial_c=from_c, seconds=[days * 86400]
        )
        (at_depth_c,) = run_json("heat", "--layers", path)["interfaces"][0]["celsius"]
        assert at_depth_c == pytest.approx(0.0, abs=0.01), source

    def test_a_wall_insulated_behind_is_as_warm_as_incropera_example_5_4(
        self, tmp_path: Path
    ) -> None:
        wall = [layer("wall", 0.04, 63.9, 18.8e-6)]
        path = layers_file(
            tmp_path, layers=wall, platen_c=60, contact_w_m2k=500, initial_c=-20, seconds=[480]
        )
        answer = run_json("heat", "--layers", path)
        assert answer["back_c"][0] == pytest.approx(43.02, abs=0.01)
        assert answer["front_c"][0] == pytest.approx(45.36, abs=0.01)

    def test_a_slab_heated_on_both_sides_is_as_warm_as_cengel_example_4_4(
        self, tmp_path: Path
    ) -> None:
        half = [layer("half a slab", 0.02, 110, 33.9e-6)]
        path = layers_file(
            tmp_path, layers=half, platen_c=500, contact_w_m2k=120, initial_c=20, seconds=[420]
        )
        answer = run_json("heat", "--layers", path)
        assert answer["front_c"][0] == pytest.approx(279.6, abs=0.1)
        assert answer["back_c"][0] == pytest.approx(277.2, abs=0.1)

    @pytest.mark.parametrize(
        ("beta", "theta"), [(0.1, 0.10354), (0.5, 0.38431), (1.0, 0.57242), (2.0, 0.74460)]
    )
    def test_a_deep_solid_under_convection_warms_as_carslaw_and_jaeger_2_7(
        self, tmp_path: Path, beta: float, theta: float
    ) -> None:
        alpha, k, h = 1e-6, 1.0, 100.0
        seconds = (beta * k / h) ** 2 / alpha
        deep = [layer("deep", 50 * (alpha * seconds) ** 0.5, k, alpha)]
        path = layers_file(
            tmp_path, layers=deep, platen_c=100, contact_w_m2k=h, initial_c=0, seconds=[seconds]
        )
        (front_c,) = run_json("heat", "--layers", path)["front_c"]
        assert front_c / 100 == pytest.approx(theta, abs=2e-5)

    def test_a_wall_of_three_settles_as_geankoplis_example_4_3_1(self, tmp_path: Path) -> None:
        wall = [
            layer("pine", 0.0127, 0.151, 1e-7),
            layer("cork board", 0.1016, 0.0433, 1e-7),
            layer("concrete", 0.0762, 0.762, 1e-7),
        ]
        path = layers_file(
            tmp_path,
            layers=wall,
            platen_c=255.4 - 273.15,
            initial_c=20,
            back_w_m2k=1e9,
            ambient_c=297.1 - 273.15,
            seconds=[1e9],
        )
        settled = run_json("heat", "--layers", path)["interfaces"][0]["celsius"][0]
        assert settled + 273.15 == pytest.approx(256.786, abs=0.002)

    def test_the_table_has_a_row_for_each_second(self, tmp_path: Path) -> None:
        one = [layer("film", 1e-4, 0.2, 1e-7)]
        path = layers_file(tmp_path, layers=one, platen_c=160, initial_c=20, seconds=[0, 0.5])
        shown = run("heat", "--layers", path).stdout.splitlines()
        assert shown[0].split() == ["s", "front", "°C", "back", "°C"]
        assert [row.split()[0] for row in shown[2:]] == ["0", "0.5"]

    @pytest.mark.parametrize(
        ("text", "says"),
        [
            ("{", "line 1: not valid JSON"),
            ("[]", "is not an object"),
            ('{"layers": []}', "layers"),
            ('{"layers": [{"name": "a"}]}', "layers.0.thickness_um"),
            ('{"layers": 3, "platen_c": NaN}', "layers"),
        ],
    )
    def test_a_file_that_is_no_stack_of_layers_is_refused(
        self, tmp_path: Path, text: str, says: str
    ) -> None:
        path = tmp_path / "layers.json"
        path.write_text(text, encoding="utf-8")
        line = refusal(run("heat", "--layers", path))
        assert "layers.json" in line
        assert says in line


@pytest.fixture(scope="module")
def plan_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("heat")
    job = write_job(folder)
    text = job.read_text(encoding="utf-8")
    job.write_text(
        text + "  - {garment: zip-hoodie, quantity: 2, artwork_width_mm: 160}\n", encoding="utf-8"
    )
    path = folder / "plan.json"
    assert run("plan", job, "--out", path).exit_code == 0
    return path


class TestPlansAndStacks:
    def test_every_run_of_a_plan_is_followed_on_its_fabric(self, plan_file: Path) -> None:
        runs = run_json("heat", plan_file)["runs"]
        assert [(run["run"], run["fabric"]) for run in runs] == [
            (1, "cotton-jersey-tee"),
            (2, "cotton-fleece"),
        ]

    def test_heat_and_check_tell_the_same_of_a_plan(self, plan_file: Path) -> None:
        lines = {
            (line["fabric"], line["film"], line["below"]): line
            for line in run_json("check", plan_file)["bond_lines"]
        }
        for run_ in run_json("heat", plan_file)["runs"]:
            for line in run_["bond_lines"]:
                told = lines[run_["fabric"], line["film"], line["below"]]
                assert line["peak_c"] == pytest.approx(told["peak_c"], abs=0.1)
                assert line["seconds_bonding"] == pytest.approx(told["seconds_bonding"], abs=0.1)

    def test_a_stack_gets_hotter_with_the_dial(self) -> None:
        def peaks(setpoint_c: int) -> list[float]:
            answer = run_json("heat", *STACK, "--setpoint", setpoint_c, "--dwell", 15)
            return [line["peak_c"] for line in answer["bond_lines"]]

        assert all(cool < hot for cool, hot in zip(peaks(150), peaks(165), strict=True))

    @pytest.mark.parametrize(("typed", "celsius"), [("320F", 160), ("302 °f", 150), ("150C", 150)])
    def test_a_dial_may_be_told_in_its_own_degrees(self, typed: str, celsius: int) -> None:
        told = (run_json("heat", *STACK, "--setpoint", setpoint) for setpoint in (typed, celsius))
        assert next(told) == next(told)

    def test_a_bare_number_is_what_the_dial_says(self) -> None:
        def heated(*arguments: object) -> dict[str, object]:
            return run_json("heat", *STACK, *arguments)

        asked = heated("--setpoint", 160)
        assert heated("--setpoint", 320, "--fahrenheit") == asked
        assert heated("--setpoint", "160C", "--fahrenheit") == asked
        run_json("shelf", "add", "press", "garage", "--platen", "15x15in", "--dial", "140-420F")
        by_dial, by_unit = (
            run("heat", *STACK, "--press", "garage", "--setpoint", typed).stdout
            for typed in (320, "160C")
        )
        assert by_dial == by_unit
        assert set(re.findall("°[CF]", by_dial)) == {"°F"}

    @pytest.mark.parametrize("suffix", ["svg", "png"])
    def test_a_drawing_is_written(self, tmp_path: Path, suffix: str) -> None:
        path = tmp_path / f"heat.{suffix}"
        assert run("heat", *STACK, "--plot", path).exit_code == 0
        data = path.read_bytes()
        if suffix == "png":
            assert data.startswith(PNG)
        else:
            assert ElementTree.fromstring(data).tag == "{http://www.w3.org/2000/svg}svg"

    @pytest.mark.parametrize(
        ("arguments", "says"),
        [
            ((), "give a plan file"),
            (("--stack", "matte-smooth"), "--fabric"),
            ((*STACK, "--setpoint", 900), "is 900 °C; it must be from 60 to 215 °C"),
            (
                (*STACK, "--setpoint", 900, "--fahrenheit"),
                "is 900 °F; it must be from 140 to 419 °F",
            ),
            ((*STACK, "--setpoint", "600F"), "is 600 °F; it must be from 140 to 419 °F"),
            ((*STACK, "--setpoint", "hotF"), "'hotF' is not a valid"),
            ((*STACK, "--cover", "no-such"), "no sheet is called 'no-such'"),
            ((*STACK, "--plot", "heat.bmp"), "heat.bmp"),
            (("no-such.json",), "no-such.json: cannot be read"),
            (("no-such.json", "--setpoint", 150), "leave out --setpoint"),
            (("no-such.json", "--press", "swing-arm-40x50"), "leave out --press"),
            (("--layers", "no-such.json", "--plot", "heat.svg"), "leave out --plot"),
            (("--layers", "no-such.json", "--fabric", "denim"), "leave out --fabric"),
            (("--layers", "no-such.json", "--stack", "matte-thin"), "give a plan file, or --stack"),
        ],
    )
    def test_what_cannot_be_followed_is_refused(
        self, arguments: tuple[object, ...], says: str
    ) -> None:
        assert says in refusal(run("heat", *arguments))


def readings_file(folder: Path) -> Path:
    """What a probe under the film would read on a press of that contact, to a tenth of a °C."""
    laid = ReadStack(SHELF.fabric("cotton-jersey-tee"), (SHELF.film("matte-smooth"),))
    press, rows = SHELF.press("clamshell-38x38"), ["place,setpoint_c,seconds,celsius"]
    for setpoint_c in (140.0, 160.0):
        platen = Boundary(setpoint_c, TRUE_W_M2K)
        course = chain([Phase(laid.layers(press, SHELF.materials), platen, METAL, 30.0)])
        for place in ("matte-smooth", "fabric"):
            for seconds in (3.0, 8.0, 20.0):
                celsius = np.round(course.curve(laid.places()[place]).at(seconds)[0], 1)
                rows.append(f"{place},{setpoint_c:g},{seconds:g},{celsius}")
    path = folder / "readings.csv"
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")
    return path


class TestCalibrate:
    FOR = ("--fabric", "cotton-jersey-tee", "--stack", "matte-smooth")

    def test_a_calibrated_press_is_kept_and_then_used(self, tmp_path: Path) -> None:
        shop = tmp_path / "shop"
        readings = readings_file(tmp_path)
        answer = run_json("heat", "calibrate", readings, *self.FOR, "--keep", shop)
        (found,) = answer["fitted"]
        assert found["unknown"] == "contact"
        assert found["value"] == pytest.approx(TRUE_W_M2K, rel=0.1)
        assert found["low"] < found["value"] < found["high"]
        assert all(Path(name).is_file() for name in answer["kept"])
        own = run_json("--shop", shop, "shelf", "clamshell-38x38")
        assert own["contact_w_m2k"] == pytest.approx(found["value"], rel=1e-3)

        def grabbed_at(*options: object) -> float:
            answer = run_json(*options, "heat", *STACK)
            softened: float = answer["bond_lines"][0]["softened_at_s"]
            return softened

        before = SHELF.press("clamshell-38x38").contact_w_m2k
        slower = found["value"] < before
        assert (grabbed_at("--shop", shop) > grabbed_at()) is slower

    def test_without_keep_nothing_is_written(self, tmp_path: Path) -> None:
        readings = readings_file(tmp_path)
        shown = run("heat", "calibrate", readings, *self.FOR)
        assert shown.exit_code == 0
        assert "--keep DIR" in shown.stdout
        assert "Worked out with carriers off, on a garment pressed dry before." in shown.stdout
        assert [path.name for path in tmp_path.iterdir()] == ["readings.csv"]

    @pytest.mark.parametrize(
        ("text", "says"),
        [
            ("", "lacks the column 'place'"),
            ("place,setpoint_c,seconds,celsius\n", "takes at least 3"),
            ("place,setpoint_c,seconds,celsius\nfabric,160,8,hot\n", "line 2: celsius: 'hot'"),
            ("place,setpoint_c,seconds,celsius\nskin,160,8,90\n", "line 2: no place"),
        ],
    )
    def test_readings_that_cannot_be_used_are_refused(
        self, tmp_path: Path, text: str, says: str
    ) -> None:
        path = tmp_path / "readings.csv"
        path.write_text(text, encoding="utf-8")
        assert says in refusal(run("heat", "calibrate", path, *self.FOR))


def test_the_report_says_what_it_leaves_out() -> None:
    limits: str = run_json("heat", *STACK)["limits"]
    assert "heat along the layers" in limits
    assert "until the press is calibrated" in limits
