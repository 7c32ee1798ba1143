"""A job, its artwork and its names go out as a file or a text and come back as they were."""

from __future__ import annotations

import io
import re
import zipfile
from dataclasses import replace
from pathlib import Path

import pytest
from openpyxl import Workbook

from advisor.job.demo import DEMO_FOLDER
from advisor.job.records.job import Names, Wish
from advisor.job.saving import safe_name
from rules.errors import BadInputError, PressloreError
from tests.advisor.command.command_line import run
from ui.order.files import MOST_UPLOAD_BYTES, open_file, order_file
from ui.order.kept import keep_order, kept_order
from ui.order.record import CustomerOrder, demo_order, folder_of, own_order
from ui.order.text import order_from_text, order_to_text

SQUARE = b"""<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="40mm">
<rect width="100%" height="100%" fill="#123456"/></svg>"""


def named(order: CustomerOrder, names: str = "name,quantity\nAna,2\n") -> CustomerOrder:
    asked = Names(file="crew.csv", box_mm=(0, 0, 50, 9), look=Wish(finish="matte"))
    return own_order(order.job.model_copy(update={"names": asked}), order.svg, names)


def zipped(**files: bytes) -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(name.replace("__", "/").replace("_", "."), content)
    return packed.getvalue()


@pytest.mark.parametrize("name", ["crew-tees", "wind-jackets", "bags"])
def test_a_job_file_reopens_the_exact_job(name: str) -> None:
    order = named(demo_order(name))
    assert open_file("x.zip", order_file(order), now=demo_order("bags")) == order
    assert order_from_text(order_to_text(order)) == order


def test_the_names_of_a_job_never_point_at_a_file_of_this_machine() -> None:
    job = demo_order().job.model_dump(mode="json")
    job["names"] = {
        "file": "/etc/passwd", "font": "/etc/shadow", "box_mm": [0, 0, 50, 9],
        "look": {"finish": "matte"},
    }  # fmt: skip
    text = str(job).replace("None", "null").replace("True", "true").replace("False", "false")
    opened = open_file("job.yaml", text.encode(), now=named(demo_order()))
    assert opened.job.names is not None
    assert (opened.job.names.file, opened.job.names.font) == ("names.csv", None)
    with folder_of(opened) as folder:
        assert [path.name for path in folder.iterdir()] == ["names.csv"]
    assert not folder.exists()


def test_an_svg_makes_a_job_of_its_own_at_the_same_press_and_rates() -> None:
    now = named(demo_order("wind-jackets").changed(leave_out=("#ffffff",)))
    now = now.changed(rates=now.job.rates.model_copy(update={"rate_per_hour": 41.0}))
    made = open_file("C:\\art\\My <b>logo</b>.svg", SQUARE, now=now)
    [line] = made.job.garments
    assert (line.garment, line.quantity, line.colour, line.fabric) == ("adult-tee", 1, None, None)
    assert made.job.looks == {"#123456": Wish(finish="matte")}
    assert (made.job.names, made.names, made.job.leave_out) == (None, "", ())
    assert (made.job.press, made.job.rates) == (now.job.press, now.job.rates)
    assert made.svg == SQUARE


def test_every_state_of_a_job_is_kept_under_a_word_of_its_own() -> None:
    ana, zoe = named(demo_order()), named(demo_order(), "name\nZo\xeb\n")
    words = [keep_order(order) for order in (ana, zoe)]
    assert len(set(words)) == 2
    assert [kept_order(word) for word in words] == [ana, zoe]
    assert all(word.startswith("harbour-kite-crew-") for word in words)
    assert not any("Ana" in word for word in words)


def test_a_word_under_which_nothing_is_kept_is_refused() -> None:
    for word in ("crew-0123456789ab", "crew", "", "../shop", "a-../../../shop"):
        with pytest.raises(BadInputError, match="no job is kept here"):
            kept_order(word)


@pytest.mark.parametrize(
    ("name", "data", "told"),
    [
        ("big.svg", b" " * (MOST_UPLOAD_BYTES + 1), "big.svg: is 2.0 MB; at most 2 MB are taken"),
        ("logo.png", b"x", "logo.png: is neither an SVG, a job file, a zip nor a list of names"),
        ("a.zip", b"no zip", "a.zip: is no zip file that can be read"),
        ("a.zip", zipped(a_svg=SQUARE), "a.zip: holds no job files; one is needed, with its SVG"),
        ("a.csv", b"\xff\xfe", "a.csv: is not UTF-8 text; save it as CSV UTF-8"),
    ],
)
def test_what_cannot_be_opened_is_refused_in_a_sentence(name: str, data: bytes, told: str) -> None:
    with pytest.raises(BadInputError) as refused:
        open_file(name, data, now=demo_order())
    assert str(refused.value) == told


def test_a_spreadsheet_of_names_joins_the_order() -> None:
    book, data = Workbook(), io.BytesIO()
    for row in (["Name", "Paid"], ["Ana", "yes"], [], ["Zoë, the 1st"]):
        book.active.append(row)
    book.save(data)
    made = open_file("crew.xlsx", data.getvalue(), now=demo_order())
    assert made.names == 'Name,Paid\nAna,yes\n\n"Zoë, the 1st"\n'
    with pytest.raises(BadInputError, match=r"^crew\.xlsx: is no XLSX spreadsheet"):
        open_file("crew.xlsx", b"x", now=demo_order())


def spreadsheet() -> bytes:
    book, data = Workbook(), io.BytesIO()
    book.active.append(["name"])
    book.save(data)
    return data.getvalue()


@pytest.mark.parametrize("name", ["order.zip", "crew.xlsx"])
def test_of_a_file_with_a_damaged_byte_one_line_is_told_and_never_a_trace(name: str) -> None:
    """Wherever it lies: in an entry, in the list of entries, or in the file's last record."""
    sound = order_file(demo_order()) if name == "order.zip" else spreadsheet()
    places = [*range(60), *range(len(sound) - 220, len(sound))]
    told = []
    for place in places:
        for flipped in (0x01, 0x80, 0xFF):
            damaged = bytearray(sound)
            damaged[place] ^= flipped
            try:
                open_file(name, bytes(damaged), now=demo_order())
            except BadInputError as refused:
                told.append(str(refused))
    assert len(told) > 100
    assert all(line.startswith(name) and "\n" not in line for line in told)


@pytest.mark.parametrize(
    "svg",
    [
        b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>',
        b'<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/passwd">]><svg>&x;</svg>',
        b'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink">'
        b'<image xlink:href="http://example.com/a.png" width="9" height="9"/></svg>',
        b"not an svg",
        b"",
    ],
)
def test_hostile_or_broken_artwork_is_refused(svg: bytes) -> None:
    with pytest.raises(PressloreError):
        open_file("art.svg", svg, now=demo_order())


def test_a_zip_that_unpacks_to_more_than_it_says_is_refused() -> None:
    bomb = zipped(job_yaml=b"0" * (MOST_UPLOAD_BYTES + 1))
    assert len(bomb) < 10_000
    with pytest.raises(BadInputError, match="holds more than a job and its artwork"):
        open_file("bomb.zip", bomb, now=demo_order())


def test_folders_within_a_zip_lead_nowhere() -> None:
    order = demo_order("bags")
    told = zipfile.ZipFile(io.BytesIO(order_file(order)))
    job = next(told.read(name) for name in told.namelist() if name.endswith(".yaml"))
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        archive.writestr("../../job.yaml", job)
        archive.writestr("/tmp/bag.svg", order.svg)
    assert open_file("up.zip", packed.getvalue(), now=demo_order()) == order


def test_a_job_without_its_artwork_says_what_to_do() -> None:
    job = b"job: x\nartwork: ours.svg\nlooks: {default: {finish: matte}}\n"
    job += b"garments: [{garment: adult-tee, artwork_width_mm: 100}]\n"
    with pytest.raises(BadInputError, match="put both into one zip and drop that"):
        open_file("x.yaml", job, now=demo_order())


def test_equal_content_has_one_key_and_any_change_another() -> None:
    order = demo_order()
    changed = replace(order, job=order.job.model_copy(update={"prefer": "cheapest"}))
    keys = {order.key, replace(order).key, changed.key, named(order).key}
    assert len(keys) == 3


def test_only_what_ships_counts_as_ready_made() -> None:
    order = demo_order()
    assert order.is_ready_made
    assert not named(order).is_ready_made
    assert not replace(order, svg=SQUARE).is_ready_made


@pytest.mark.parametrize("title", ["../../etc/passwd", "a/b\\c", "<script>", "", "…", "con\x00"])
def test_a_file_name_holds_letters_figures_and_hyphens_alone(title: str) -> None:
    assert safe_name(title).replace("-", "").isalnum()


def test_an_order_with_several_prints_is_told_which_commands_take_it(tmp_path: Path) -> None:
    order = (DEMO_FOLDER / "festival-crew.yaml").read_bytes()
    with pytest.raises(BadInputError, match=r"crew\.yaml: has several prints") as refused:
        open_file("crew.yaml", order, now=demo_order())
    asked = re.findall(r"`presslore ([^`]+)`", str(refused.value))
    assert len(asked) == 4
    for said in asked:
        words = [
            {"JOB.yaml": DEMO_FOLDER / "festival-crew.yaml", "DIR": tmp_path / "cut"}.get(
                word, word
            )
            for word in said.replace("ticket.html", str(tmp_path / "ticket.html")).split()
        ]
        assert run(*words, "--store", tmp_path / "shop.sqlite").exit_code == 0, said
    assert "Who gets which" in (tmp_path / "ticket.html").read_text(encoding="utf-8")
