"""Lists of people: every wrong row is told at once, each with the nearest right value."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from openpyxl import Workbook

from advisor.answers.prints import jobs_of
from advisor.job.records.order import Order, read_order
from advisor.job.records.people import People, read_people
from rules.errors import BadInputError
from rules.knowledge import load_knowledge

LETTERED = (
    {"at": "yoke", "lettering": {"column": "name"}, "height_mm": 40, "finish": "matte"},
    {"at": "back", "lettering": {"column": "Number"}, "height_mm": 150, "finish": "matte"},
)


def order(*lines: dict[str, object]) -> Order:
    wanted = lines or (
        {"garment": "adult-tee", "colour": "navy", "quantity": 3},
        {"garment": "adult-tee", "colour": "sand", "quantity": 2},
        {"garment": "child-tee", "quantity": 2},
    )
    garments = [{**line, "prints": LETTERED} for line in wanted]
    return Order.model_validate({"job": "crew", "people": "crew.csv", "garments": garments})


def people_of(folder: Path, rows: str, *lines: dict[str, object]) -> People:
    path = folder / "crew.csv"
    path.write_text(rows, encoding="utf-8")
    return read_people(path, order(*lines))


def complaint(folder: Path, rows: str, *lines: dict[str, object]) -> str:
    with pytest.raises(BadInputError) as raised:
        people_of(folder, rows, *lines)
    return str(raised.value)


def test_a_row_goes_to_the_line_whose_garment_and_colour_it_names(tmp_path: Path) -> None:
    rows = (
        "Name;Number;garment;color;shoe\n"
        "Ana;7;T-Shirt;Navy;38\n"
        "Ben;8;tee;sand;44\n"
        "Cai;9;child-tee;;30\n"
    )
    found = people_of(tmp_path, rows)
    assert [(one.row, one.line, one.quantity) for one in found.rows] == [
        (2, 0, 1),
        (3, 1, 1),
        (4, 2, 1),
    ]
    assert found.rows[0].says["shoe"] == "38"
    assert found.rows[2].lettered("number") == "9"
    assert found.columns == ("name", "number", "garment", "colour", "shoe")


def test_every_wrong_row_is_told_at_once(tmp_path: Path) -> None:
    rows = (
        "name,number,garment,colour,quantity\n"
        "Ana,7,adult-tee,navy,1\n"
        ",8,adult-tee,navy,1\n"
        "Ben,9,adlt-tee,navy,1\n"
        "Cai,10,adult-tee,nvay,1\n"
        "Dan,11,adult-tee,,1\n"
        "Eve,12,,navy,1\n"
        "Fay,13,child-tee,,1.5\n"
        "Ana,7,adult-tee,navy,1\n"
    )
    told = complaint(tmp_path, rows)
    assert "row 2" not in told.replace("row 2; delete", "")
    assert "row 3: the name is empty" in told
    assert "row 4: the garment 'adlt-tee' is no garment of the order; nearest: adult-tee" in told
    assert "row 5: adult-tee does not come in 'nvay' in this order; nearest: navy" in told
    assert "row 6: adult-tee comes in navy, sand; write one of them in the column colour" in told
    assert "row 7: says no garment, and the order has adult-tee, child-tee" in told
    assert "row 8: quantity '1.5' is no whole number" in told
    assert "row 9: says the same as row 2" in told


def test_more_people_than_garments_are_told_by_row(tmp_path: Path) -> None:
    rows = "name,number,garment\nAna,1,child-tee\nBen,2,child-tee\nCai,3,child-tee\n"
    told = complaint(tmp_path, rows)
    assert "row 4: no garment is left" in told
    assert "row 2" not in told
    assert "row 3" not in told


def test_a_misspelt_size_is_told_with_the_nearest_of_the_order(tmp_path: Path) -> None:
    line = {"garment": "adult-tee", "sizes": {"S": 1, "XL": 2, "10-12": 1}}
    rows = (
        "name,number,garment,size\nAna,1,adult-tee,s\nBen,2,adult-tee,XLL\n"
        "Cai,3,adult-tee,10-13\nDan,4,adult-tee,S\nEve,5,adult-tee,\nFay,6,adult-tee,M\n"
    )
    told = complaint(tmp_path, rows, line)
    assert "row 2" not in told
    assert "row 3: the size 'XLL' is none of the order; nearest: XL" in told
    assert "row 4: the size '10-13' is none of the order; nearest: 10-12" in told
    assert "row 5: no adult-tee in S is left: the order has 1" in told
    assert "row 6: says no size; adult-tee comes in: S, XL, 10-12" in told
    rows_told = re.findall(r"row (\d+): ", told)
    assert rows_told == sorted(rows_told, key=int)
    assert "and 1 more" in told or "row 7: the size 'M' is none of the order" in told


def test_sizes_are_counted_to_the_quantity() -> None:
    line = order({"garment": "adult-tee", "sizes": {"S": 1, "XL": 2}}).garments[0]
    assert line.quantity == 3
    assert order({"garment": "adult-tee", "sizes": {38: 2}}).garments[0].sizes == {"38": 2}
    with pytest.raises(ValueError, match="the sizes come to 3 garments, and quantity says 4"):
        order({"garment": "adult-tee", "quantity": 4, "sizes": {"S": 1, "XL": 2}})


def test_one_number_worn_by_two_is_worth_a_look_and_no_mistake(tmp_path: Path) -> None:
    rows = "name,number\nAna,7\nBen,7\nCai,8\n"
    found = people_of(tmp_path, rows, {"garment": "adult-tee", "quantity": 3})
    assert found.notes == ("the number 7 is on rows 2, 3 of the list",)
    hashed = rows.replace(",7", ",#7").replace(",8", ",#8")
    found = people_of(tmp_path, hashed, {"garment": "adult-tee", "quantity": 3})
    assert found.notes == ("the number #7 is on rows 2, 3 of the list",)


def test_one_name_on_two_of_a_garment_is_told_with_the_people(tmp_path: Path) -> None:
    rows = (
        "name,number,garment,colour\n"
        "Dora,1,adult-tee,navy\nDora,2,child-tee,\ndora,3,adult-tee,navy\n"
    )
    assert people_of(tmp_path, rows).notes == ("'dora' in row 4 stands in row 2 too: two people?",)


def test_a_word_that_the_whole_crew_bears_is_nobodys_name(tmp_path: Path) -> None:
    rows = "name,number\n" + "".join(f"CREW,{number}\n" for number in range(1, 7))
    assert people_of(tmp_path, rows, {"garment": "adult-tee", "quantity": 6}).notes == ()


def test_of_a_column_that_a_garment_does_not_bear_no_cell_is_missed(tmp_path: Path) -> None:
    """A club's list has the number of who wears one, and nothing where the jacket has none."""
    named = [one for one in LETTERED if one["lettering"] == {"column": "name"}]
    lines = [
        {"garment": "adult-tee", "quantity": 1, "prints": LETTERED},
        {"garment": "wind-jacket", "quantity": 2, "prints": named},
    ]
    made = Order.model_validate({"job": "crew", "people": "crew.csv", "garments": lines})
    path = tmp_path / "crew.csv"
    path.write_text("name,number,garment\nAna,7,tee\nBen,,wind-jacket\nCai,9,wind-jacket\n")
    found = read_people(path, made)
    assert [one.lettered("number") for one in found.rows] == ["7", "", "9"]
    path.write_text("name,number,garment\nAna,,tee\nBen,,wind-jacket\n")
    with pytest.raises(BadInputError, match="row 2: the number is empty") as raised:
        read_people(path, made)
    assert "row 3" not in str(raised.value)


def test_a_size_is_told_as_the_order_writes_it(tmp_path: Path) -> None:
    line = {"garment": "adult-tee", "sizes": {"M": 2}, "quantity": 2}
    rows = "name,number,size\nAna,1,m\nBo,2,M\n"
    assert [row.says["size"] for row in people_of(tmp_path, rows, line).rows] == ["M", "M"]


def test_a_dash_leaves_a_place_bare(tmp_path: Path) -> None:
    found = people_of(tmp_path, "name,number\nAna,-\n", {"garment": "adult-tee"})
    assert found.rows[0].lettered("number") == ""
    assert found.rows[0].lettered("name") == "Ana"


@pytest.mark.parametrize(
    ("header", "told"),
    [
        ("name,numbr", "has no column called number; its columns: name, numbr"),
        ("name,number,number", "has the column number twice"),
        ("name,number,garmet", "has a column 'garmet'; did you mean garment?"),
        ("name", "has no column called number; its columns: name"),
    ],
)
def test_a_header_that_lacks_or_doubles_a_column_is_told(
    header: str, told: str, tmp_path: Path
) -> None:
    assert told in complaint(tmp_path, f"{header}\nAna,7,adult-tee\n")


def test_a_spreadsheet_is_read_alike_and_its_formulas_are_never_worked_out(tmp_path: Path) -> None:
    book = Workbook()
    for row in (("name", "number"), ("Ana", 7), ("Ben", "=1+1")):
        book.active.append(row)
    path = tmp_path / "crew.xlsx"
    book.save(path)
    with pytest.raises(BadInputError, match="row 3: the number is a formula that"):
        read_people(path, order({"garment": "adult-tee", "quantity": 2}))


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"prints": []}, "garments.0.prints"),
        ({"prints": [{"at": "back"}]}, "names an artwork, or the lettering of a column"),
        (
            {
                "prints": [
                    {"at": "back", "artwork": "a.svg", "looks": {"default": {"finish": "matte"}}}
                ]
            },
            "its width_mm or its height_mm",
        ),
        ({"prints": [{**LETTERED[0], "height_mm": None}]}, "needs its height_mm"),
        ({"prints": [{**LETTERED[0], "finish": None}]}, "names a finish, a film or a family"),
        ({"prints": [{**LETTERED[0], "sleeve": 1}]}, "prints.0.sleeve"),
        ({"garment": "adlt-tee"}, "nearest: adult-tee"),
    ],
)
def test_an_order_is_refused_by_field(change: dict[str, object], told: str, tmp_path: Path) -> None:
    document = {
        "job": "crew",
        "people": "crew.csv",
        "garments": [{"garment": "adult-tee", "prints": list(LETTERED)} | change],
    }
    path = tmp_path / "order.yaml"
    path.write_text(json.dumps(document), encoding="utf-8")
    with pytest.raises(BadInputError) as raised:
        read_order(path)
    assert told in str(raised.value)
    assert "order.yaml" in str(raised.value)


def test_what_no_font_sets_is_told_with_the_other_wrong_rows(tmp_path: Path) -> None:
    rows = (
        "name,number,garment\n"
        "Ana,7,adult-tee\n,8,adult-tee\n\N{PARTY POPPER},9,adult-tee\nBen,10,adlt-tee\n"
        '\N{CJK UNIFIED IDEOGRAPH-674E},11,adult-tee\nCai,"1\n2",adult-tee\nDan,-,adult-tee\n'
    )
    (tmp_path / "crew.csv").write_text(rows, encoding="utf-8")
    asked = order({"garment": "adult-tee", "quantity": 9})
    with pytest.raises(BadInputError) as refused:
        jobs_of(asked, folder=tmp_path, knowledge=load_knowledge())
    told = str(refused.value)
    for row, why in (
        (3, "the name is empty"),
        (4, "the font Manrope ExtraBold has no '\N{PARTY POPPER}'"),
        (5, "the garment 'adlt-tee' is no garment"),
        (6, "the font Manrope ExtraBold has no '\N{CJK UNIFIED IDEOGRAPH-674E}'"),
        (7, "the number '1 2' is written on several lines"),
    ):
        assert f"row {row}: {why}" in told
    assert len(re.findall(r"row \d+: ", told)) == 5


@pytest.mark.parametrize("rows", ["name,number\nAna,7\nSmith, Jr,3\n", "name;number\nBo;7;x\n"])
def test_a_cell_that_stands_in_no_column_is_told_by_row(tmp_path: Path, rows: str) -> None:
    """An unquoted comma in a name would letter its second half as the number."""
    said = complaint(tmp_path, rows)
    at = len(rows.splitlines())
    assert f"row {at}: {rows.rstrip()[-1]!r} stands in no column, the list has 2" in said


def test_rows_are_numbered_as_a_spreadsheet_shows_them(tmp_path: Path) -> None:
    """A break within a cell begins no row, and a line left empty is one."""
    rows = 'name,number,garment\n"Ana\nMaria",7,child-tee\n\nBo,8,child-hat\n'
    assert "row 4: the garment 'child-hat'" in complaint(tmp_path, rows)
