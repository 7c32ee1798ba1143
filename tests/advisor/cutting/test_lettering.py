"""Names as a crew needs them: kerned, matched in size, fitted, checked, and refused in one line."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

import pytest
import shapely
from fontTools.pens.areaPen import AreaPen
from fontTools.ttLib import TTFont
from fontTools.ttLib.tables._g_l_y_f import Glyph
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.artwork.fineness import fineness
from advisor.artwork.records import Artwork
from advisor.cutting.detail import finest_spot
from advisor.cutting.font import BUNDLED_FONT, glyph_area, line_area, outline_text, read_font
from advisor.cutting.lettering import (
    fitted_notes,
    letter_names,
    lettered_piece,
    names_fineness,
)
from advisor.cutting.records.cut import Lettering
from advisor.job.names_list import LONGEST_NAME, read_names
from advisor.job.records.job import GivenNames, NameRow, Names, Wish
from advisor.job.records.print import NAMES_PIECE
from rules.book.artwork.least_gap import RULE as LEAST_GAP
from rules.book.artwork.least_stroke import RULE as LEAST_STROKE
from rules.catalogue import load_catalogue
from rules.errors import BadInputError
from rules.facts.subjects import ArtworkPiece
from rules.facts.text import Text
from tests.advisor.cutting.cut_plans import badge

BOX = (10.0, 30.0, 60.0, 20.0)


def crew(folder: Path, text: str) -> Path:
    (folder / "crew.csv").write_text(text, encoding="utf-8")
    return folder


def lettered(folder: Path, text: str, **wish: object) -> tuple[Lettering, ...]:
    names = Names.model_validate(
        {"file": "crew.csv", "box_mm": BOX, "look": {"finish": "matte"}, **wish}
    )
    return letter_names(names, badge(), folder=crew(folder, text))


def refusal(folder: Path, text: str) -> str:
    with pytest.raises(BadInputError) as refused:
        lettered(folder, text)
    said = str(refused.value)
    assert "\n" not in said
    return said


def pair_kerning(font: TTFont, left: str, right: str) -> int:
    """What a font's own pair tables say of two characters, read one by one, font units."""
    one, other = (font.getBestCmap()[ord(sign)] for sign in (left, right))
    table, total = font["GPOS"].table, 0
    (latin,) = (s.Script for s in table.ScriptList.ScriptRecord if s.ScriptTag == "latn")
    features = [table.FeatureList.FeatureRecord[n] for n in latin.DefaultLangSys.FeatureIndex]
    for number in next(f.Feature for f in features if f.FeatureTag == "kern").LookupListIndex:
        for subtable in table.LookupList.Lookup[number].SubTable:
            pair = getattr(subtable, "ExtSubTable", subtable)
            if one not in pair.Coverage.glyphs:
                continue
            if pair.Format == 1:
                seconds = pair.PairSet[pair.Coverage.glyphs.index(one)].PairValueRecord
                values = [s.Value1 for s in seconds if s.SecondGlyph == other]
            else:
                row = pair.Class1Record[pair.ClassDef1.classDefs.get(one, 0)]
                values = [row.Class2Record[pair.ClassDef2.classDefs.get(other, 0)].Value1]
            if values:
                total += getattr(values[0], "XAdvance", 0) or 0
                break
    return total


def test_kerning_agrees_with_the_font_s_tables_read_one_by_one() -> None:
    font, tables = read_font(), TTFont(BUNDLED_FONT)
    cmap, widths = tables.getBestCmap(), tables["hmtx"].metrics
    for text in ("AVATAR", "Tomás", "Yvonne", "LTd", "WAVE & To.", "Żółć", "P.", "fjord", "ffi fl"):
        x, starts = 0, []
        for left, right in zip(text, f"{text[1:]} ", strict=True):
            starts.append(x)
            x += widths[cmap[ord(left)]][0] + pair_kerning(tables, left, right)
        assert [at for _, at in font.set_line(text)] == starts


def test_outlines_agree_with_another_reader() -> None:
    font, tables = read_font(), TTFont(BUNDLED_FONT)
    glyphs, names = tables.getGlyphSet(), tables.getBestCmap()
    # Letters of the font whose contours do not overlap: the other reader counts an overlap twice.
    for sign in "CEGMOSWXijkßvzŻ0147":
        pen = AreaPen(glyphs)
        glyphs[names[ord(sign)]].draw(pen)
        drawn = glyph_area(font, font.glyph(sign)).area * font.units_per_em**2
        assert drawn == pytest.approx(abs(pen.value), rel=1e-3)


def test_a_letter_that_a_damaged_font_no_longer_draws_is_refused(tmp_path: Path) -> None:
    tables = TTFont(BUNDLED_FONT)
    tables["glyf"][tables.getBestCmap()[ord("n")]] = Glyph()
    tables.save(tmp_path / "damaged.ttf")
    assert lettered(tmp_path, "name\nAda\n", font="damaged.ttf")
    with pytest.raises(BadInputError, match=r"draws nothing for 'n' .* of the name 'Ana'"):
        lettered(tmp_path, "name\nAna\n", font="damaged.ttf")


def test_kerning_draws_a_and_v_together_and_leaves_h_alone() -> None:
    font = read_font()
    starts = {text: font.set_line(text)[1][1] for text in ("AV", "AH", "HH", "HV")}
    assert starts["AV"] < starts["AH"]
    assert starts["HH"] == starts["HV"]


def test_a_counter_is_a_hole() -> None:
    (o,) = line_area("O", read_font()).geoms
    assert len(o.interiors) == 1


def test_a_crew_shares_one_size_and_one_base_line(tmp_path: Path) -> None:
    ana, bob = lettered(tmp_path, "name\nHEI\nTIM\n")
    assert ana.condensed == bob.condensed == ana.height_share == 1
    # Flat letters: both stand on the same line and reach the same height.
    assert ana.shape.bounds[1] == pytest.approx(bob.shape.bounds[1])
    assert ana.shape.bounds[3] == pytest.approx(bob.shape.bounds[3])


@pytest.mark.slow
@given(
    st.lists(st.text("ABgjyÅéłW -&'", min_size=1, max_size=20), min_size=1, max_size=4),
    st.sampled_from(["left", "centre", "right"]),
)
@settings(deadline=None)
def test_every_name_stays_in_its_box(names: list[str], align: str) -> None:
    import tempfile

    kept = [name for name in names if name.strip(" ")]
    if not kept:
        return
    rows = "".join(f'"{name}"\n' for name in kept)
    with tempfile.TemporaryDirectory() as folder:
        found = lettered(Path(folder), f"name\n{rows}", align=align)
    box = shapely.box(BOX[0], BOX[1], BOX[0] + BOX[2], BOX[1] + BOX[3]).buffer(1e-6)
    assert all(box.covers(one.shape) for one in found)


def sides(one: Lettering) -> tuple[float, float]:
    left, top, right, bottom = one.shape.bounds
    return right - left, bottom - top


def test_a_long_name_is_condensed_and_keeps_the_height_of_the_others(tmp_path: Path) -> None:
    short, long = lettered(tmp_path, "name\nANN\nANNANNANN\n", box_mm=(10, 30, 60, 9))
    assert short.condensed == 1
    assert 0.6 <= long.condensed < 1
    assert short.height_share == long.height_share == 1
    assert sides(long)[1] == pytest.approx(sides(short)[1])
    # As wide as the box, down to a whole percent of its letters' own width.
    assert 60 * 0.985 < sides(long)[0] <= 60


def test_letters_are_no_narrower_than_can_be_read_and_then_all_are_lower(tmp_path: Path) -> None:
    alone, _ = lettered(tmp_path, "name\nANN\nANNA\n")
    short, long = lettered(tmp_path, "name\nANN\nANNANNANNANNANN\n")
    assert long.condensed == pytest.approx(0.6)
    assert short.condensed == 1
    assert short.height_share == long.height_share < 1
    assert sides(long) == pytest.approx((BOX[2], sides(short)[1]))
    assert sides(short)[1] == pytest.approx(short.height_share * sides(alone)[1])


def cut_high_mm(rows: Sequence[str], capital_mm: float, box_mm: tuple[float, float]) -> list[float]:
    """How high each of some names is cut, of a lettering whose height is asked."""
    names = GivenNames(
        file="crew.csv", look=Wish(finish="matte"), box_mm=(0, 0, *box_mm), capital_mm=capital_mm,
        rows=tuple(NameRow(name, 1, "", row) for row, name in enumerate(rows, 2)),
    )  # fmt: skip
    return [sides(one)[1] for one in letter_names(names, Artwork("lettering", *box_mm, ()))]


@pytest.mark.parametrize("others", [[], ["Ågård"], ["Jörg"], ["gypsy"], ["ana"]])
def test_the_height_asked_is_that_of_the_capitals_whoever_else_is_on_the_list(
    others: list[str],
) -> None:
    (high_mm, *rest) = cut_high_mm(["HEIM", *others], 50, (400, 120))
    assert high_mm == pytest.approx(50)
    # Accents and tails lie beyond it.
    assert all(one > 50 for one in rest if others[0] != "ana")


def test_the_height_asked_of_numbers_is_that_of_a_one(tmp_path: Path) -> None:
    one, eight = cut_high_mm(["1", "8"], 200, (300, 400))
    assert one == pytest.approx(200)
    # A round digit stands out a little above and below, as in every font.
    assert 200 < eight < 212


def test_accents_that_a_place_does_not_hold_make_the_lettering_lower_and_that_is_told() -> None:
    names = GivenNames(
        file="crew.csv", look=Wish(finish="matte"), box_mm=(0, 0, 280, 80), capital_mm=70,
        rows=(NameRow("KANE", 1, "", 2), NameRow("Åge", 1, "", 3)),
    )  # fmt: skip
    made = letter_names(names, Artwork("lettering", 280, 80, ()))
    capital_mm = names_fineness(made).capital_mm
    assert capital_mm is not None
    assert capital_mm < 70
    assert sides(made[0])[1] == pytest.approx(capital_mm, rel=0.05)
    (told,) = map(str, fitted_notes(made))
    assert f"its capitals or digits are {capital_mm:.0f} mm high" in told
    assert "of the 70 mm" in told
    assert "accents and tails too, fits the 80 mm" in told


def test_a_box_that_is_filled_says_how_high_its_capitals_are(tmp_path: Path) -> None:
    # The trade measures letters by their capitals: of a box 20 mm high, with an accent, these are
    # the flat letters.
    heim, _ = made = lettered(tmp_path, "name\nHEIM\nÅge\n")
    assert names_fineness(made).capital_mm == pytest.approx(sides(heim)[1])
    assert sides(heim)[1] < 15


def test_lettering_that_is_made_lower_is_told_by_its_height(tmp_path: Path) -> None:
    set_lower = lettered(tmp_path, "name\nANN\nANNANNANNANNANNA\n")
    (lower, *_) = fitted_notes(set_lower)
    capital_mm = line_area("H", read_font()).bounds[1] / line_area("A", read_font()).bounds[1]
    capital_mm *= sides(set_lower[0])[1]
    told = f"the lettering is made lower: its capitals or digits are {capital_mm:.0f} mm high, "
    assert str(lower).startswith(told)


def test_a_letter_too_fine_is_told_with_its_name_and_stands_where_it_is_said_to(
    tmp_path: Path,
) -> None:
    film = load_catalogue().film("flock-plush")
    ana, olek = lettered(tmp_path, "name\nAna\nOlek\n")
    worst = names_fineness([ana, olek])
    # Where the arm of a k meets its leg.
    assert worst.stroke_in == "in the 'k' of 'Olek'"
    k = max(olek.shape.geoms, key=lambda part: part.bounds[2])
    assert k.distance(finest_spot(olek.shape, "stroke", film.least_stroke_mm)) < 0.1
    names = ArtworkPiece(
        "names", film, 60, 10, letters=True,
        least_stroke_mm=worst.least_stroke_mm, stroke_in=worst.stroke_in,
        least_gap_mm=worst.least_gap_mm, gap_in=worst.gap_in,
    )  # fmt: skip
    for rule, told in ((LEAST_STROKE, worst.stroke_in), (LEAST_GAP, worst.gap_in)):
        found = rule.finds(names)
        assert found is not None
        assert told
        assert told in str(Text(found.message))


def test_a_box_as_told_sets_a_name_as_the_font_draws_it(tmp_path: Path) -> None:
    rows = "name\nANN\nANNANNANNANNANNA\n"
    (told,) = [str(note) for note in fitted_notes(lettered(tmp_path, rows)) if "narrower" in note]
    assert "and its strokes and gaps with it" in told
    found = re.search(r"a box (\d+) mm wide, or one (\d+) mm high", told)
    assert found is not None
    wide_mm, high_mm = map(float, found.groups())
    left, top, width, height = BOX
    for box in ((left, top, wide_mm, height), (left, top, width, high_mm)):
        assert lettered(tmp_path, rows, box_mm=box)[1].condensed >= 0.99


def test_lettering_too_fine_is_told_by_its_height_and_no_artwork_is_blamed() -> None:
    film = load_catalogue().film("matte-smooth")
    fine = film.least_gap_mm / 2
    names = ArtworkPiece(
        "names", film, 280, 22, least_gap_mm=fine, least_stroke_mm=fine, letters=True
    )
    for rule in (LEAST_GAP, LEAST_STROKE):
        found = rule.finds(names)
        assert found is not None
        assert "artwork" not in f"{found.instead}"
        assert "set the letters at least" in f"{found.instead}"
    assert "22" in names.where
    assert "wide" not in names.where


def test_a_condensed_name_is_measured_as_it_is_cut(tmp_path: Path) -> None:
    _, long = lettered(tmp_path, "name\nHI\nHILHILHILH\n", box_mm=(10, 30, 60, 14))
    assert long.condensed < 0.9
    measured = fineness(long.shape, up_to_mm=30, tolerance_mm=0.01)
    assert long.fineness.least_stroke_mm == pytest.approx(measured.least_stroke_mm, rel=0.02)
    assert long.fineness.least_gap_mm == pytest.approx(measured.least_gap_mm, rel=0.02)


@pytest.mark.parametrize(("align", "left", "right"), [("left", 0, None), ("right", None, 0)])
def test_a_name_stands_where_it_is_aligned(
    tmp_path: Path, align: str, left: float | None, right: float | None
) -> None:
    (one,) = lettered(tmp_path, "name\nBO\n", align=align)
    if left is not None:
        assert one.shape.bounds[0] == pytest.approx(BOX[0])
    if right is not None:
        assert one.shape.bounds[2] == pytest.approx(BOX[0] + BOX[2])


def test_the_box_grows_with_the_artwork(tmp_path: Path) -> None:
    (at_100,) = lettered(tmp_path, "name\nBO\n", at_width_mm=100)
    (at_50,) = lettered(tmp_path, "name\nBO\n", at_width_mm=50)
    assert at_50.shape.area == pytest.approx(4 * at_100.shape.area)


def test_strokes_are_measured_at_the_size_of_the_name(tmp_path: Path) -> None:
    (one,) = lettered(tmp_path, "name\nHIL\n")
    measured = fineness(one.shape, up_to_mm=30, tolerance_mm=0.01)
    assert one.fineness.least_stroke_mm == pytest.approx(measured.least_stroke_mm, rel=0.02)
    assert one.fineness.least_gap_mm == pytest.approx(measured.least_gap_mm, rel=0.02)
    both = lettered(tmp_path, "name\nHIL\nHILHILHILHILHIL\n")
    assert names_fineness(both).least_stroke_mm == min(
        one.fineness.least_stroke_mm for one in both if one.fineness.least_stroke_mm
    )


def test_a_letter_with_its_accent_apart_is_put_together(tmp_path: Path) -> None:
    apart, whole = lettered(tmp_path, "name\nZoe\u0308\nZo\u00eb\n")
    assert apart.name == whole.name == "Zoë"
    assert apart.shape.equals(whole.shape)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("name\nAna\n漢字\n", "row 3: the font Manrope ExtraBold has no '漢' (U+6F22)"),
        ("name\nשרה\n", "right to left, which is not supported"),
        ("name\nسارة\n", "right to left, which is not supported"),
        ("name\nq\u0301\u0323\n", "combining mark"),
        ("name\nA\u200dB\n", "invisible character U+200D"),
        ("name,size\nAna,\n,adult-tee\n", "row 3: the name is empty"),
        (f"name\n{'A' * (LONGEST_NAME + 1)}\n", f"has {LONGEST_NAME + 1} characters"),
        ("name,quantity\nAna,2.5\n", "quantity '2.5' of 'Ana' is no whole number"),
        ("name,quantity\nAna,0\n", "no whole number from 1 to 10,000"),
        ("name,quantity\nAna,-3\n", "no whole number"),
        ("name,quantty\nAna,3\n", "did you mean quantity?"),
        ("who\nAna\n", "has no column called name; its columns: who"),
        ("name,name\nAna,Bo\n", "has the column name twice"),
        ("name\n", "has no names under its header"),
        ("", "is empty"),
        ("name\n" + "Ana\n" * 2001, "2,001 names, more than the 2,000"),
        ('name\n"Ana', None),
        ("name\nA\0B\n", "is not a text file"),
    ],
)
def test_what_cannot_be_set_is_refused_in_one_line(
    tmp_path: Path, text: str, said: str | None
) -> None:
    if said is None:
        # An open quotation mark at the end of the file still leaves a name.
        assert [one.name for one in lettered(tmp_path, text)] == ["Ana"]
    else:
        assert said in refusal(tmp_path, text)


def test_files_that_are_no_lists_or_fonts_are_refused_in_one_line(tmp_path: Path) -> None:
    (tmp_path / "crew.csv").write_bytes(b"name\nJos\xe9\n")
    with pytest.raises(BadInputError, match="is not UTF-8 text; save it as CSV UTF-8"):
        read_names(tmp_path / "crew.csv")
    with pytest.raises(BadInputError, match="cannot be read"):
        read_names(tmp_path / "missing.csv")
    with pytest.raises(BadInputError, match="cannot be read"):
        read_names(tmp_path)
    for name, data in (("empty.ttf", b""), ("text.otf", b"hello" * 99), ("cut.ttf", None)):
        data = BUNDLED_FONT.read_bytes()[:4000] if data is None else data
        (tmp_path / name).write_bytes(data)
        with pytest.raises(BadInputError, match="is not a TrueType or OpenType font"):
            read_font(tmp_path / name)
    with pytest.raises(BadInputError, match="cannot be read"):
        read_font(tmp_path / "missing.ttf")


def test_lists_from_spreadsheets_are_read_whatever_parts_their_columns(tmp_path: Path) -> None:
    for text in (
        "\ufeffName;Size;Quantity;Paid\r\nAna;adult-tee;2;yes\r\n;;;\r\n",
        "name\tsize\tquantity\nAna\tadult-tee\t2\n",
        'NAME,size,quantity\n"  Ana ",adult-tee,2\n',
    ):
        (row,) = read_names(crew(tmp_path, text) / "crew.csv")
        assert (row.name, row.size, row.quantity, row.row) == ("Ana", "adult-tee", 2, 2)


def test_the_piece_to_plan_with_is_the_finest_name_on_top_of_all(tmp_path: Path) -> None:
    names = Names.model_validate(
        {"file": "crew.csv", "box_mm": BOX, "look": {"finish": "matte", "colour": "#ff8800"}}
    )
    folder = crew(tmp_path, "name\nBO\nMAXIMILIANE-JOSEPHINE\n")
    art = badge()
    piece = lettered_piece(names, art, folder=folder)
    long = letter_names(names, art, folder=folder)[1]
    assert (piece.id, piece.fill, piece.order) == (NAMES_PIECE, "#ff8800", 3)
    assert piece.shape.equals(long.shape)


def test_the_piece_to_plan_with_reaches_whatever_any_name_reaches(tmp_path: Path) -> None:
    # The short name stands in the middle, over the sun; only the long one reaches the moon.
    names = Names.model_validate(
        {"file": "crew.csv", "box_mm": (0, 8, 100, 14), "look": {"finish": "matte"}}
    )
    folder = crew(tmp_path, "name\nII\nANNEMARIE-LUISE\n")
    art = badge()
    reached = {
        p.id
        for p in art.pieces
        if lettered_piece(names, art, folder=folder).shape.intersects(p.shape)
    }
    for one in letter_names(names, art, folder=folder):
        assert {p.id for p in art.pieces if one.shape.intersects(p.shape)} <= reached


def test_labels_are_drawn_even_where_the_font_lacks_a_letter() -> None:
    assert outline_text("漢", em_mm=5).equals(outline_text("?", em_mm=5))


def test_a_box_without_a_size_is_refused() -> None:
    for box in ((0, 0, 0, 10), (0, 0, 10, -1), (0, 9999, 10, 10)):
        with pytest.raises(ValueError, match="a box"):
            Names.model_validate({"file": "a.csv", "box_mm": box, "look": {"finish": "matte"}})
