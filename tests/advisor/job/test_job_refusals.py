"""A job that cannot be planned says which file, which look, which joint, and what there is."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor import plan
from advisor.job.records.job import Job
from rules.catalogue import load_catalogue
from rules.errors import BadInputError, UnknownNameError
from tests.advisor.command.command_line import KITE, refusal, run, run_json, write_job

LOOKS = '{"#1b3a5c": {finish: matte}, "#f2c14e": {finish: sparkle}}'
JOB = """job: kite
artwork: kite.svg
looks: {looks}
garments:
  - {{garment: {garment}, artwork_width_mm: {width}}}
{more}
"""


def job(looks: str = LOOKS, garment: str = "adult-tee", width: float = 200, more: str = "") -> str:
    return JOB.format(looks=looks, garment=garment, width=width, more=more)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (job().replace("job: kite", 'job: "a\\0b"'), r"job: 'a\x00b': holds the control character"),
        (job().replace("kite.svg", '"kite\\e.svg"'), "artwork: 'kite"),
        (job().replace("kite.svg", "kyte.svg"), "no file 'kyte.svg' in the folder"),
        (job("{default: {finish: matte, colour: puce}}"), "looks.default: no film that is matte"),
        (
            job('{"#f2c14e": {finish: sparkle, colour: puce}, default: {finish: matte}}'),
            "looks.#f2c14e: no film that is sparkle comes in puce; colours: black, copper",
        ),
        (
            job("{default: {film: matte-smoth}}"),
            "looks.default.film: no film is called 'matte-smoth'",
        ),
        (job("{default: {film: matte-smooth, finish: sparkle}}"), "matte-smooth is not sparkle"),
        (
            job(more='joints: [{upper: "#1b3a5c", lower: "#f2c14e", meets: lap}]'),
            "joints.0: #1b3a5c does not lie in front of #f2c14e in this artwork; it is the other",
        ),
        (
            job(more='joints: [{upper: "#00ff00", lower: "#f2c14e", meets: lap}]'),
            "they do not meet at all",
        ),
        *(
            (job(more=f"joints: {written}"), f"{told}{{upper: FILL, lower: FILL, meets: WAY}}; a F")
            for written, told in (
                ("lap", "joints: 'lap': write a list of "),
                ("{upper: a, lower: b, meets: lap}", "joints: write a list of "),
                ("[lap]", "joints: entry 1: write "),
                ('[["#1b3a5c", "#f2c14e", lap]]', "joints: entry 1: write "),
                ("[{over: a, under: b, meets: lap}]", "joints: entry 1: write "),
                ("[{upper: a, lower: b}]", "joints: entry 1: write "),
            )
        ),
    ],
)
def test_a_job_is_refused_in_one_line_with_its_file(tmp_path: Path, text: str, says: str) -> None:
    path = write_job(tmp_path, job=text)
    line = refusal(run("plan", path))
    assert "job.yaml" in line
    assert says in line


def test_a_missing_artwork_is_told_with_the_folder_and_what_lies_there(tmp_path: Path) -> None:
    path = write_job(tmp_path, job=job().replace("kite.svg", "kyte.svg"))
    line = refusal(run("plan", path))
    assert str(tmp_path.resolve()) in line
    assert "there are: kite.svg" in line


def test_a_garment_is_offered_where_a_fabric_is_asked_for() -> None:
    with pytest.raises(UnknownNameError, match="nearest: adult-tee"):
        load_catalogue().fabric("adult-te")


def wished(**fields: object) -> Job:
    document = {
        "job": "kite",
        "artwork": "kite.svg",
        "looks": {"#1b3a5c": {"finish": "matte"}, "#f2c14e": {"finish": "sparkle"}},
        "garments": [{"garment": "adult-tee", "artwork_width_mm": 200}],
    }
    return Job.model_validate(document | fields)


def test_a_print_larger_than_the_platen_is_told_with_the_largest_that_fits() -> None:
    made = plan(wished(press="small-15x15"), svg=KITE.encode())
    assert made.status == "impossible"
    (clash,) = made.conflict
    assert clash.rule == "fits-platen"
    assert "make it at most" in clash.message


def test_a_job_that_allows_no_samples_is_never_planned_with_one() -> None:
    jackets = wished(
        garments=[{"garment": "wind-jacket", "artwork_width_mm": 200}], samples_allowed=False
    )
    made = plan(jackets, svg=KITE.encode())
    assert made.verdict == ("go" if made.status == "planned" else "stop")


def test_a_jacket_opened_flat_is_padded_for_its_seams() -> None:
    jackets = wished(garments=[{"garment": "wind-jacket", "artwork_width_mm": 200}])
    actions = [step.action for step in plan(jackets, svg=KITE.encode()).steps]
    assert actions.index("turn") < actions.index("pad") < actions.index("press")


@pytest.mark.slow
def test_heat_is_no_reason_for_a_sample_where_the_dial_can_go_up() -> None:
    mixed = wished(
        looks={"default": {"film": "matte-low-temperature"}},
        garments=[
            {"garment": "wind-jacket", "artwork_width_mm": 150},
            {"garment": "adult-tee", "artwork_width_mm": 150},
        ],
    )
    made = plan(mixed, svg=KITE.encode())
    cotton = {f.where for f in made.findings if f.rule == "bond-line-heat"}
    assert "matte-low-temperature on cotton-jersey-tee" not in cotton
    [setpoint_c] = {s.setpoint_c for s in made.steps if s.action == "press"}
    assert setpoint_c is not None
    assert setpoint_c > 110, "the coolest that the film takes would do for the jackets alone"


def test_an_artwork_given_in_memory_is_named_as_the_job_names_it() -> None:
    with pytest.raises(BadInputError, match=r"kite\.svg: the file is empty"):
        plan(wished(), svg=b"")


@pytest.mark.parametrize(
    ("quantity", "told"),
    [
        ("010", "010 would be read as another number"),
        ("1:30", "1:30 would be read as another number"),
        ("yes", "garments.0.quantity: True: write a whole number"),
    ],
)
def test_a_quantity_that_yaml_reads_as_another_number_is_refused(
    tmp_path: Path, quantity: str, told: str
) -> None:
    text = job().replace("artwork_width_mm", f"quantity: {quantity}, artwork_width_mm")
    assert told in refusal(run("plan", write_job(tmp_path, job=text)))


def test_a_look_of_a_fill_that_the_artwork_lacks_is_told_in_the_plan(tmp_path: Path) -> None:
    """A mistyped fill would press the wished sparkle as whatever the default is."""
    text = job('{"#f2c14f": {finish: sparkle}, default: {finish: matte}}')
    made = run_json("plan", write_job(tmp_path, job=text))
    (note,) = [note for note in made["notes"] if "#f2c14f" in note]
    assert "no fill #f2c14f, so its look is unused; it has" in note
    assert "#f2c14e" in note
