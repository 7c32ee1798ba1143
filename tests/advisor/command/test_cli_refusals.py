"""Bad input is refused in one line that names file, field, value and limit; never a traceback."""

from __future__ import annotations

import errno
import json
import os
import re
import subprocess
import sys
import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path

import click
import pytest

from advisor import cli as command_line_module
from advisor.cli import cli
from advisor.command import check as check_command
from advisor.command.options import Degrees, Size
from advisor.job.demo import DEMO_FOLDER
from advisor.shop.place import STORE
from rules.errors import ProgramError
from tests import ROOT
from tests.advisor.command.command_line import JOB, KITE, refusal, run, run_process, write_job

BOMB = "a: &a [x, x, x, x, x, x, x, x, x]\n" + "".join(
    f"{name}: &{name} [{', '.join([f'*{before}'] * 9)}]\n"
    for before, name in zip("abcdefgh", "bcdefghi", strict=True)
)
"""Aliases of aliases: a gigabyte to whoever writes it out."""


def changed(old: str, new: str) -> str:
    assert old in JOB
    return JOB.replace(old, new)


NASTY_JOBS: dict[str, tuple[str | bytes, str]] = {
    "empty": ("", "is not a job"),
    "a list": ("- 1\n- 2\n", "is not a job"),
    "binary": (bytes(range(256)) * 4, "not UTF-8"),
    "no YAML": ("job: [unclosed", "line 2: not valid YAML"),
    "control characters": ("job: \x1b[31mred\x07", "not valid YAML"),
    "two megabytes": ("# " + "x" * 2_000_000, "is 2.0 MB; a job file has at most 1 MB"),
    "aliases of aliases": (BOMB, "job: is missing"),
    "aliases in a field": (BOMB + "job: *i\n" + JOB.split("\n", 1)[1], "job: write text"),
    "aliases as garments": (BOMB + JOB.split("garments:")[0] + "garments: *i\n", "garments"),
    "deep": ("[" * 5000 + "]" * 5000, "nest"),
    "an object": ("job: !!python/object/apply:os.system ['echo no']", "not valid YAML"),
    "not a number": (changed("quantity: 3", "quantity: .nan"), "quantity"),
    "infinite": (changed("artwork_width_mm: 200", "artwork_width_mm: .inf"), "artwork_width_mm"),
    "huge": (changed("quantity: 3", f"quantity: {'9' * 400}"), "quantity"),
    "thousands of digits": (changed("quantity: 3", f"quantity: {'9' * 6000}"), "quantity|YAML"),
    "negative": (changed("quantity: 3", "quantity: -1"), "garments.0.quantity: -1.* 1"),
    "a word for a number": (changed("quantity: 3", "quantity: many"), "quantity: 'many'"),
    "a key twice": (JOB + "garments: []\n", "line 8: 'garments' stands here twice"),
    "a fill twice": (
        changed("garments:", '  "#1b3a5c": {finish: gloss}\ngarments:'),
        "line 6: '#1b3a5c' stands here twice",
    ),
    "unknown key": (JOB + "colour: red\n", "colour"),
    "missing key": (changed("artwork: kite.svg\n", ""), "artwork: is missing"),
    "a long name": (changed("job: kite", f"job: {'k' * 5000}"), "job.*80"),
    "wrong shape": (changed("garments:\n  - {", "garments: {"), "garments"),
    "unknown film": (changed("matte-smooth", "mate-smooth"), "nearest: matte-smooth"),
    "unknown garment": (changed("adult-tee", "adult-te"), "nearest: adult-tee"),
    "unknown press": (JOB + "press: clam\n", "no press is called 'clam'"),
    "unknown fabric": (changed("adult-tee,", "adult-tee, fabric: cotten,"), "fabric.*'cotten'"),
    "unknown colour": (changed("colour: navy", "colour: navvy"), "navvy"),
    "unknown area": (changed("adult-tee,", "adult-tee, area: knee,"), "'knee'"),
    "not a fill": (changed('"#1b3a5c"', "blue"), "'blue' is neither a fill"),
    "no look for a fill": (changed('"#f2c14e"', '"#f2c14f"'), "#f2c14e"),
    "no artwork": (changed("kite.svg", "kites.svg"), "kites"),
    "artwork is a folder": (changed("kite.svg", "."), "artwork|folder|directory"),
}


@pytest.mark.parametrize("what", NASTY_JOBS)
@pytest.mark.parametrize("command", [["plan"], ["job", "check"]], ids=["plan", "job check"])
def test_a_job_that_cannot_be_used_is_refused(
    tmp_path: Path, what: str, command: list[str]
) -> None:
    content, says = NASTY_JOBS[what]
    job = write_job(tmp_path)
    job.write_bytes(content if isinstance(content, bytes) else content.encode())
    line = refusal(run(*command, job, "--json"))
    assert re.search(says, line), line


NASTY_ARTWORK = {
    "empty": (b"", "empty"),
    "binary": (bytes(range(256)), "kite"),
    "no SVG": (b"<html/>", "svg|SVG"),
    "live text": (b'<svg xmlns="http://www.w3.org/2000/svg"><text>CREW</text></svg>', "outlines"),
    "entities": (
        b'<!DOCTYPE svg [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;">]>'
        b'<svg xmlns="http://www.w3.org/2000/svg"><title>&b;</title></svg>',
        "kite",
    ),
    "nothing drawn": (b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"/>', "nothing"),
}


@pytest.mark.parametrize("what", NASTY_ARTWORK)
def test_artwork_that_cannot_be_cut_is_refused(tmp_path: Path, what: str) -> None:
    content, says = NASTY_ARTWORK[what]
    job = write_job(tmp_path)
    (tmp_path / "kite.svg").write_bytes(content)
    assert re.search(says, refusal(run("plan", job)))


NASTY_PLANS: dict[str, tuple[str | bytes, str]] = {
    "empty": ("", "line 1: not valid JSON"),
    "binary": (b"\xff\xfe\x00", "not UTF-8"),
    "a list": ("[]", "is not a plan"),
    "another object": ('{"answers": []}', "is not a plan"),
    "deep": ("[" * 100_000, "nested too deeply|not valid JSON"),
    "twenty-one megabytes": (" " * 21_000_000, "at most 20 MB"),
    "a key twice": ('{"steps": [{"n": 1,\n\t"n": 2}]}', "line 2: 'n' stands here twice"),
    "no steps": ('{"steps": []}', "job: is missing"),
    "thousands of digits": (f'{{"steps": {"9" * 5000}}}', "not valid JSON|steps"),
    "steps of the wrong kind": ('{"steps": {"a": NaN}}', "is missing|steps"),
}


@pytest.mark.parametrize("what", NASTY_PLANS)
def test_a_plan_file_that_cannot_be_used_is_refused(tmp_path: Path, what: str) -> None:
    content, says = NASTY_PLANS[what]
    path = tmp_path / "plan.json"
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    line = refusal(run("check", path))
    assert str(path) in line
    assert re.search(says, line), line


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["chek"], "no command is called 'chek'; nearest: check"),
        (["--what"], "No such option"),
        (["check"], "give --fabric ID and --stack"),
        (["check", "--fabric", "adult-tee"], "give --fabric ID and --stack"),
        (["check", "--fabric", "adult-tee", "--stack", ","], "1 to 12 films"),
        (["check", "--fabric", "adult-tee", "--stack", ",".join(["x"] * 13)], "13 were given"),
        (["check", "--fabric", "adult-tee", "--stack", "mate-smooth"], "nearest: matte-smooth"),
        (["check", "--fabric", "denm", "--stack", "matte-smooth"], "nearest: denim"),
        (["check", "--fabric", "denim", "--stack", "flock-plush", "--press", "x"], "press"),
        (["check", "--fabric", "\x1b[31m\n", "--stack", "x"], "no fabric"),
        (["check", "--fabric", "a" * 100_000, "--stack", "x"], "no fabric"),
        (["check", "no-such-plan.json"], "no-such-plan.json: cannot be read"),
        (["check", ".", "--fabric", "denim"], "leave out --fabric"),
        (["check", "."], "cannot be read"),
        (["check", "x.json", "--press", "clamshell-38x38"], "leave out --press"),
        (["look"], "Missing argument"),
        (["look", "matte"], "Missing option '--fabric'"),
        (["look", "mat", "--fabric", "denim"], "no finish is called 'mat'; nearest: matte"),
        (["look", "matte", "--fabric", "denim", "--most", "0"], "--most.* 0 "),
        (["look", "matte", "--fabric", "denim", "--prefer", "best"], "'best' is not one of"),
        (["look", "matte", "gloss", "plush", "clear", "glow", "--fabric", "denim"], "5 finishes"),
        (["plan"], "Missing argument"),
        (["plan", "no-such.yaml"], "no-such.yaml: cannot be read"),
        (["plan", "."], r"\.: cannot be read"),
        (["plan", ""], "cannot be read"),
        (["rules", "top-surfce"], "no rule is called 'top-surfce'; nearest: top-surface"),
        (["rules", "--markdown", "--json"], "--markdown"),
        (["shelf", "flims"], "nearest: films"),
        (["shelf", "films", "mate-smooth"], "nearest: matte-smooth"),
        (["shelf", "films", "a", "b"], "name one thing"),
        (["shelf", "--family", "sparkel"], "no family.*nearest: sparkle"),
        (["shelf", "--finish", "mate"], "no finish.*nearest: matte"),
        (["shelf", "presses", "--finish", "matte"], "ask for films only"),
        (["--shop", "no-such-shop", "shelf"], "no-such-shop: is not a folder"),
        (["job"], "Missing command|job"),
        (["job", "chek"], "chek"),
        (["app", "--port", "80"], "80"),
        (["app", "--port", "eighty"], "eighty"),
    ],
)
def test_a_call_that_cannot_be_answered_is_refused(arguments: list[str], says: str) -> None:
    line = refusal(run(*arguments))
    assert re.search(says, line), line
    assert line.isprintable()


@pytest.mark.slow
@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["plan", "no-such.yaml", "--json"], "no-such.yaml: cannot be read"),
        (["plan", "--shop"], "requires an argument"),
        (["check", b"\xff\xfe.json".decode("utf-8", "surrogateescape")], "cannot be read"),
    ],
)
def test_a_process_refuses_likewise(arguments: list[str], says: str) -> None:
    assert re.search(says, refusal(run_process(*arguments)))


@pytest.mark.parametrize("option", ["--out", "--ticket"])
@pytest.mark.parametrize(
    ("place", "says"),
    [
        ("no/such/folder/file", "there is no folder"),
        (".", "it is a folder"),
        ("job.yaml", "needed by this job"),
        ("kite.svg", "needed by this job"),
        ("job.yaml/file", "there is no folder"),
    ],
)
def test_a_place_that_cannot_be_written_is_refused_before_planning(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, option: str, place: str, says: str
) -> None:
    job = write_job(tmp_path)

    def not_reached(*_: object, **__: object) -> None:
        pytest.fail("planned although the answer has nowhere to go")

    monkeypatch.setattr("advisor.command.plan.solve", not_reached)
    assert says in refusal(run("plan", job, option, tmp_path / place))
    assert job.read_text(encoding="utf-8") == JOB
    assert (tmp_path / "kite.svg").read_text(encoding="utf-8") == KITE


def test_one_file_for_plan_and_ticket_is_refused(tmp_path: Path) -> None:
    job = write_job(tmp_path)
    both = tmp_path / "both"
    assert "named twice" in refusal(run("plan", job, "--out", both, "--ticket", both))
    assert not both.exists()


def test_the_demo_goes_into_no_file(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("mine")
    for place in ("file", "file/within"):
        refusal(run("job", "demo", "--out", tmp_path / place))
    assert (tmp_path / "file").read_text() == "mine"


def test_a_shop_entry_that_is_wrong_is_named_with_its_limit(tmp_path: Path) -> None:
    (tmp_path / "sheets.yaml").write_text("sheets: [{id: x, thickness_um: -3}]", encoding="utf-8")
    line = refusal(run("--shop", tmp_path, "shelf"))
    assert re.search(r"sheets.yaml: x: ", line)


def raising(error: BaseException) -> Callable[..., object]:
    def fails(*_: object, **__: object) -> object:
        raise error

    return fails


ASKED = ["check", "--fabric", "adult-tee", "--stack", "matte-smooth"]


def test_a_system_error_is_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    full = OSError(errno.ENOSPC, "No space left on device", "/somewhere")
    monkeypatch.setattr(check_command, "check", raising(full))
    assert refusal(run(*ASKED)) == "presslore: /somewhere: No space left on device"


@pytest.mark.parametrize("mistake", [ZeroDivisionError("by\nnought"), ProgramError("two\nminds")])
def test_our_own_mistake_is_owned_up_to_in_one_line(
    monkeypatch: pytest.MonkeyPatch, mistake: Exception
) -> None:
    monkeypatch.setattr(check_command, "check", raising(mistake))
    result = run(*ASKED)
    assert result.exit_code == 70
    assert result.stderr.count("\n") == 1
    assert "our mistake" in result.stderr
    assert "PRESSLORE_DEBUG=1" in result.stderr
    told = run(*ASKED, env={"PRESSLORE_DEBUG": "1"})
    assert told.exception is mistake


def test_an_interrupt_is_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(check_command, "check", raising(KeyboardInterrupt()))
    result = run(*ASKED)
    assert (result.exit_code, result.stderr) == (130, "presslore: stopped\n")


def test_an_interrupt_while_it_starts_up_is_one_line() -> None:
    code = (
        "import sys\n"
        "class Interrupted:\n"
        "    def find_spec(self, name, *_):\n"
        "        if name == 'click': raise KeyboardInterrupt\n"
        "sys.meta_path.insert(0, Interrupted())\n"
        "from advisor.door import main; main()"
    )
    ended = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert (ended.returncode, ended.stdout, ended.stderr) == (130, "", "presslore: stopped\n")


def test_the_command_that_people_type_opens_by_the_door() -> None:
    project = Path(__file__).parents[3] / "pyproject.toml"
    scripts = tomllib.loads(project.read_text(encoding="utf-8"))["project"]["scripts"]
    assert scripts == {"presslore": "advisor.door:main"}


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("heat --stack matte-smooth --dwell nan", "presslore heat: "),
        ("heat --stack matte-smooth:beige-ish --fabric adult-tee", "no colour of matte-smooth"),
        ("heat --stack matte-smooth: --fabric adult-tee", "no colour follows the colon"),
        ("look matte: --fabric adult-tee", "no colour follows the colon"),
    ],
)
def test_a_refusal_speaks_of_what_was_typed(typed: str, said: str) -> None:
    assert said in refusal(run(*typed.split()))


def test_heat_takes_the_colour_of_a_film() -> None:
    asked = "heat --fabric adult-tee --json --stack"
    plain, white = (run(*asked.split(), film) for film in ("matte-smooth", "matte-smooth:white"))
    assert plain.exit_code == 0
    assert white.stdout == plain.stdout


def test_no_option_shows_a_limit_that_it_has_not() -> None:
    assert "None" not in run("cut", "--help").stdout


def test_a_store_that_is_another_kind_of_file_says_what_to_do(tmp_path: Path) -> None:
    (tmp_path / "store.txt").write_text("hello " * 500, encoding="utf-8")
    said = refusal(run("--store", str(tmp_path / "store.txt"), "shelf"))
    assert "name the shop's store, or a file yet to be made" in said


@pytest.mark.slow
def test_a_store_that_is_a_folder_says_what_to_write(tmp_path: Path) -> None:
    said = refusal(run("shelf", "films", env={STORE: str(tmp_path)}))
    assert said.endswith(
        f"{tmp_path}: is a folder; name a file in it, such as {tmp_path / 'shop.sqlite'}"
    )


@pytest.mark.parametrize(
    "size", ["3.5x2.5in", "3.5inx2.5in", '3.5"x2.5"', '3.5" x 2.5in', "3.5inx2.5", "88.9mmx63.5mm"]
)
def test_a_size_may_say_its_unit_after_each_number(size: str) -> None:
    assert Size().convert(size, None, None) == pytest.approx((88.9, 63.5))


def test_a_size_in_two_units_is_refused() -> None:
    with pytest.raises(click.UsageError, match="is in two units; write both in mm or both in inch"):
        Size().convert("3.5inx60mm", None, None)


def test_a_process_that_is_interrupted_says_so() -> None:
    """Ctrl-C comes as the plan's file is read, which may take its time on a slow disk."""
    program = (
        "import os, signal, time\n"
        "from advisor.job import plan_file\n"
        "def slow(*path, **bounds):\n"
        "    os.kill(os.getpid(), signal.SIGINT)\n"
        "    time.sleep(30)\n"
        "plan_file.file_text = slow\n"
        "from advisor.cli import main; main()\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program, "check", "plan.json"],
        capture_output=True,
        text=True,
        timeout=30,
    )
    told = (done.returncode, done.stdout, done.stderr)
    assert told == (130, "", "presslore: stopped\n")


def test_ctrl_c_while_a_library_loads_stops_and_is_no_mistake_of_ours(tmp_path: Path) -> None:
    """A library may take it for a fault of its own and tell it as one."""
    (tmp_path / "numpy").mkdir()
    (tmp_path / "numpy/__init__.py").write_text(
        "import os, signal, time\n"
        "try:\n"
        "    os.kill(os.getpid(), signal.SIGINT)\n"
        "    time.sleep(5)\n"
        "except KeyboardInterrupt:\n"
        "    raise ImportError('multiarray failed to import') from None\n",
        encoding="utf-8",
    )
    ended = subprocess.run(
        [sys.executable, "-m", "advisor.door", "plan", str(DEMO_FOLDER / "bags.yaml")],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONPATH": os.pathsep.join([str(tmp_path), str(ROOT)])},
    )
    assert (ended.returncode, ended.stdout, ended.stderr) == (130, "", "presslore: stopped\n")


@pytest.mark.parametrize("arguments", [["shelf", "--json"], ["shelf"], ["rules", "--markdown"]])
def test_a_reader_that_goes_away_is_no_error(arguments: list[str]) -> None:
    process = subprocess.Popen(
        [sys.executable, "-c", "from advisor.cli import main; main()", *arguments],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    assert process.stdout is not None
    process.stdout.close()
    assert process.stderr is not None
    said = process.stderr.read()
    process.stderr.close()
    assert (process.wait(), said) == (0, b"")


def test_a_disk_that_is_full_for_the_answer_itself_is_one_line() -> None:
    with open("/dev/full", "w") as full:
        process = subprocess.run(
            [sys.executable, "-c", "from advisor.cli import main; main()", "shelf", "--json"],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    assert process.returncode == 2
    assert process.stderr == "presslore: No space left on device\n"


def test_the_exit_codes_are_the_documented_ones() -> None:
    assert command_line_module.ANSWERED == 0
    assert command_line_module.BAD_INPUT == 2
    assert run("--version").stdout.startswith("presslore ")
    assert json.loads(run("rules", "--json").stdout)


def every_command(
    under: click.Group, *path: str
) -> Iterator[tuple[tuple[str, ...], click.Command]]:
    """All commands with the words that call them."""
    context = click.Context(under)
    for name in under.list_commands(context):
        found = under.get_command(context, name)
        assert found is not None
        yield (*path, name), found
        if isinstance(found, click.Group):
            yield from every_command(found, *path, name)


NUMBER_OPTIONS = [
    (*path, option.opts[0])
    for path, found in every_command(cli)
    for option in found.params
    if isinstance(option, click.Option)
    if isinstance(option.type, click.types.FloatParamType | click.types.IntParamType | Degrees)
]


def test_the_number_options_are_found() -> None:
    found = {option for *_, option in NUMBER_OPTIONS}
    assert {"--seconds", "--nest", "--setpoint", "--dwell", "--most", "--port"} <= found


@pytest.mark.parametrize("value", ["nan", "inf", "-inf"])
@pytest.mark.parametrize("call", NUMBER_OPTIONS, ids=" ".join)
def test_no_number_option_takes_what_is_no_finite_number(call: tuple[str, ...], value: str) -> None:
    assert call[-1] in refusal(run(*call[:-1], f"{call[-1]}={value}", "x"))


def test_a_film_left_out_between_two_commas_is_asked_for() -> None:
    line = refusal(run("check", "--fabric", "adult-tee", "--stack", "matte-smooth,,sparkle-fine"))
    assert "--stack: 'matte-smooth,,sparkle-fine' says nothing at place 2" in line
