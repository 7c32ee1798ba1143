"""Names lists: spreadsheets as people have them, and every bad row told at once."""

from __future__ import annotations

import zipfile
from collections.abc import Sequence
from datetime import date
from pathlib import Path

import pytest
from openpyxl import Workbook

from advisor import plan
from advisor.job.demo import DEMO_FOLDER, demo_job
from advisor.job.names_list import csv_of_sheet, read_names
from advisor.job.records.job import Names, Wish
from rules.errors import BadInputError


def sheet(folder: Path, *rows: Sequence[object]) -> Path:
    book = Workbook()
    for row in rows:
        book.active.append(list(row))
    book.create_sheet("other").append(["name"])
    book.save(folder / "crew.xlsx")
    return folder / "crew.xlsx"


def test_a_spreadsheet_and_a_csv_file_of_the_same_cells_are_one_list(tmp_path: Path) -> None:
    path = sheet(
        tmp_path,
        ["Name", "Paid", "Quantity", "Size"],
        [" Ana ", True, 2, "adult-tee"],
        [],
        ["Zoë", None, 3.0, None],
        [7, None, None, "child-tee"],
    )
    rows = read_names(path)
    assert [(r.name, r.quantity, r.size, r.row) for r in rows] == [
        ("Ana", 2, "adult-tee", 2), ("Zoë", 3, "", 4), ("7", 1, "child-tee", 5),
    ]  # fmt: skip
    (tmp_path / "crew.csv").write_text(csv_of_sheet(path), encoding="utf-8")
    assert read_names(tmp_path / "crew.csv") == rows


def test_a_formula_is_never_worked_out(tmp_path: Path) -> None:
    path = sheet(tmp_path, ["name", "quantity"], ['="A"&"na"', 1], ["Bo", "=1+1"])
    # Nobody has opened it since, so no value was saved with either.
    for read in (read_names, csv_of_sheet):
        with pytest.raises(BadInputError) as refused:
            read(path)
        for told in ("row 2: the name", "row 3: the quantity"):
            assert f"{told} is a formula that the spreadsheet has not calculated" in str(
                refused.value
            )
        assert "empty" not in str(refused.value)


def test_a_formula_that_gives_nothing_is_empty_not_uncalculated(tmp_path: Path) -> None:
    path = sheet(tmp_path, ["name"], ["Ana"], ['=""'])
    with zipfile.ZipFile(path) as archive:
        entries = {name: archive.read(name) for name in archive.namelist()}
    saved = "xl/worksheets/sheet1.xml"
    formula = b'<c r="A3"><f>""</f><v />'
    assert formula in entries[saved]
    entries[saved] = entries[saved].replace(formula, b'<c r="A3" t="str"><f>""</f><v></v>')
    with zipfile.ZipFile(path, "w") as archive:
        for name, data in entries.items():
            archive.writestr(name, data)
    assert [row.name for row in read_names(path)] == ["Ana"]


def test_formulas_of_a_csv_file_are_text(tmp_path: Path) -> None:
    (tmp_path / "crew.csv").write_text('name\n"=1+1"\n', encoding="utf-8")
    assert [row.name for row in read_names(tmp_path / "crew.csv")] == ["=1+1"]


def test_every_bad_row_is_told_at_once(tmp_path: Path) -> None:
    path = sheet(
        tmp_path, ["name", "quantity"], ["Ana", 1], [None, 2], ["Bo", "two"], ["x" * 61, 0],
        ["Cy", 2.5],
    )  # fmt: skip
    with pytest.raises(BadInputError) as refused:
        read_names(path)
    said = str(refused.value)
    assert said.startswith(str(path))
    for row in (
        "row 3: the name is empty", "row 4: quantity 'two' of 'Bo'", "row 5: the name 'xxx",
        "row 5: quantity '0'", "row 6: quantity '2.5' of 'Cy'",
    ):  # fmt: skip
        assert row in said
    assert "row 2" not in said
    assert "\n" not in said


def test_many_bad_rows_are_counted(tmp_path: Path) -> None:
    (tmp_path / "crew.csv").write_text("name,quantity\n" + "Ana,x\n" * 20, encoding="utf-8")
    with pytest.raises(BadInputError, match=r"row 9: .*; and 12 more$"):
        read_names(tmp_path / "crew.csv")


def test_what_is_no_spreadsheet_is_refused_in_one_line(tmp_path: Path) -> None:
    whole = sheet(tmp_path, ["name"], ["Ana"]).read_bytes()
    broken = {
        "text": b"name\nAna\n", "empty": b"", "cut": whole[: len(whole) // 2],
    }  # fmt: skip
    for name, data in broken.items():
        path = tmp_path / f"{name}.xlsx"
        path.write_bytes(data)
        with pytest.raises(BadInputError, match="is no XLSX spreadsheet that can be read"):
            read_names(path)
    with zipfile.ZipFile(tmp_path / "other.xlsx", "w") as archive:
        archive.writestr("hello.txt", "hello")
    with pytest.raises(BadInputError, match="is no XLSX spreadsheet that can be read"):
        read_names(tmp_path / "other.xlsx")
    with zipfile.ZipFile(tmp_path / "huge.xlsx", "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/sharedStrings.xml", b"0" * 60_000_000)
    with pytest.raises(BadInputError, match="unpacks to 60 MB"):
        read_names(tmp_path / "huge.xlsx")
    with pytest.raises(BadInputError, match="cannot be read: no such file"):
        read_names(tmp_path / "missing.xlsx")
    with pytest.raises(BadInputError, match="is empty"):
        read_names(sheet(tmp_path))


def planned(folder: Path, *rows: Sequence[object]) -> object:
    sheet(folder, ["name", "size", "quantity"], *rows)
    names = Names(
        file="crew.xlsx", box_mm=(10, 30, 180, 40), look=Wish(finish="matte", colour="white")
    )
    return plan(
        demo_job().model_copy(update={"names": names}),
        folder=folder,
        svg=(DEMO_FOLDER / "kite.svg").read_bytes(),
    )


def test_every_size_that_is_no_garment_is_told_at_once_with_the_nearest(tmp_path: Path) -> None:
    with pytest.raises(BadInputError) as refused:
        planned(
            tmp_path, ["Ana", "adult-te", 1], ["Bo", "T-Shirt", 1], ["Cy", "", 1],
            ["Di", "kids tee", 13],
        )  # fmt: skip
    said = str(refused.value)
    assert "row 2: 'Ana' is for 'adult-te', which is no garment of the job; nearest: adult" in said
    assert "row 4: 'Cy' says no size" in said
    assert "row 5: 'Di' has no garment left" in said
    assert "'Bo'" not in said


def test_a_row_that_holds_only_a_no_break_space_is_told_not_dropped(tmp_path: Path) -> None:
    (tmp_path / "crew.csv").write_text("name\nAna\n\u00a0 \n\nBo\n", encoding="utf-8")
    for path in (tmp_path / "crew.csv", sheet(tmp_path, ["name"], ["Ana"], ["\u00a0 "], [])):
        with pytest.raises(BadInputError, match="row 3: the name is empty"):
            read_names(path)


@pytest.mark.parametrize(
    ("value", "number_format", "shown"),
    [
        (7, "General", "7"), (7, "@", "7"), (7, "0", "7"), (7, "00", "07"), (7, "000", "007"),
        (112, "00", "112"), (7, "0.0", "7.0"), (7.25, "0.0", "7.3"), (7.5, "0", "8"),
        (7.5, "General", "7.5"), (7.5, "0.0#", "7.5"), (1234, "#,##0", "1,234"), (7, "#", "7"),
        (7, '"No. "00', "No. 07"), (7, "00_ ", "07"), (7, "[Red]00", "07"), (7, "00;-00", "07"),
        (-7, "00", "-07"),
    ],
)  # fmt: skip
def test_a_number_is_lettered_as_its_cell_shows_it(
    value: float, number_format: str, shown: str, tmp_path: Path
) -> None:
    assert [row.name for row in read_names(formatted(tmp_path, value, number_format))] == [shown]


@pytest.mark.parametrize("number_format", ["0%", "0.0E+00", "# ?/?", "[<5]00;000"])
def test_a_number_whose_look_is_not_known_is_told(number_format: str, tmp_path: Path) -> None:
    value = 0 if ";" in number_format else 7
    with pytest.raises(BadInputError, match=r"row 2: the name \d has the number format '"):
        read_names(formatted(tmp_path, value, number_format))


def formatted(folder: Path, value: float, number_format: str) -> Path:
    book = Workbook()
    for row in (["name"], [value]):
        book.active.append(row)
    book.active["A2"].number_format = number_format
    book.save(folder / "crew.xlsx")
    return folder / "crew.xlsx"


def test_cells_that_are_no_text_are_told_by_row_in_the_columns_that_are_read(
    tmp_path: Path,
) -> None:
    path = sheet(
        tmp_path, ["name", "size", "joined"], ["Ana", "adult-tee", date(2026, 3, 4)],
        ["#N/A", "#REF!", 1], [date(2026, 3, 4), date(2026, 10, 12), 1], [True, "", "#VALUE!"],
        ["Bo\nCy", "", True],
    )  # fmt: skip
    for read in (read_names, csv_of_sheet):
        with pytest.raises(BadInputError) as refused:
            read(path)
        said = str(refused.value)
        assert "row 2" not in said
        for told in (
            "row 3: the name holds the spreadsheet's error #N/A",
            "row 3: the size holds the spreadsheet's error #REF!",
            "row 4: the name is a date, 2026-03-04",
            "row 4: the size is a date, 2026-10-12",
            "row 5: the name is the spreadsheet's TRUE",
            "row 6: the name 'Bo Cy' is written on several lines",
        ):
            assert told in said
        assert "joined" not in said
    (tmp_path / "crew.csv").write_text("name\nAna\n#DIV/0!\n", encoding="utf-8")
    with pytest.raises(BadInputError, match="row 3: the name holds the spreadsheet's error #DIV"):
        read_names(tmp_path / "crew.csv")


# --- several sheets -------------------------------------------------------------------------------


def sheets(folder: Path, **rows: Sequence[Sequence[object]]) -> Path:
    """A spreadsheet of several sheets, by their names; one named ``hidden`` is."""
    book = Workbook()
    book.remove(book.active)
    for name, listed in rows.items():
        one = book.create_sheet(name)
        for row in listed:
            one.append(list(row))
        if name == "hidden":
            one.sheet_state = "hidden"
    book.save(folder / "crew.xlsx")
    return folder / "crew.xlsx"


ANA, BEN = (("name",), ("Ana",)), (("Name",), ("Ben",))


def test_a_hidden_sheet_is_not_read_and_hides_no_other(tmp_path: Path) -> None:
    for book in ({"hidden": BEN, "crew": ANA}, {"crew": ANA, "hidden": BEN}):
        assert [row.name for row in read_names(sheets(tmp_path, **book))] == ["Ana"]


def test_a_second_list_of_the_same_columns_is_told_and_not_chosen_from(tmp_path: Path) -> None:
    path = sheets(tmp_path, june=ANA, july=BEN)
    for read in (read_names, csv_of_sheet):
        with pytest.raises(BadInputError) as refused:
            read(path)
        for told in ("the sheet 'june' would be read", "'july' has the same columns", "hide or"):
            assert told in str(refused.value)


@pytest.mark.parametrize("beside", [ANA, (("name",),), (("size",), ("adult-tee",)), ()])
def test_a_sheet_that_is_no_second_list_is_left_alone(
    tmp_path: Path, beside: Sequence[Sequence[object]]
) -> None:
    crew = (("name", "size"), ("Ana", "")) if beside != ANA else ANA
    assert [row.name for row in read_names(sheets(tmp_path, crew=crew, key=beside))] == ["Ana"]


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (1 / 3, "0.333333333"), (100 / 3, "33.33333333"), (-2 / 3, "-0.666666667"),
        (0.1, "0.1"), (7.0, "7"), (1234567.891234, "1234567.891"), (12345678901, "12345678901"),
        (2.50, "2.5"),
    ],
)  # fmt: skip
def test_a_number_without_a_format_is_lettered_as_its_cell_shows_it(
    tmp_path: Path, value: float, shown: str
) -> None:
    """What spreadsheets show in a wide column; values from memory."""
    assert [row.name for row in read_names(sheet(tmp_path, ["name"], [value]))] == [shown]


@pytest.mark.parametrize("value", [123456789012, 0.00001234])
def test_a_number_that_its_cell_shows_as_a_power_of_ten_is_told(
    tmp_path: Path, value: float
) -> None:
    with pytest.raises(BadInputError, match=r"row 2: the name .* power of ten; format the cell as"):
        read_names(sheet(tmp_path, ["name"], [value]))


def test_a_device_or_a_folder_is_no_list_of_names(tmp_path: Path) -> None:
    for path, found in ((Path("/dev/zero"), "a device or a pipe"), (tmp_path, "a folder")):
        with pytest.raises(BadInputError, match=f"it is {found}, where a list of names is wanted"):
            read_names(path)
