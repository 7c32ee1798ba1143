"""Orders with several prints on the command line: plan, cut, quote and job check."""

from __future__ import annotations

import csv
import json
import math
from pathlib import Path

import pytest

from advisor.command.prints_planned import spot_words
from advisor.cutting.roll.layout import Layout
from advisor.cutting.roll.nesting import _Run
from advisor.job.demo import DEMO_FOLDER
from advisor.job.plan_file import read_order_plan
from advisor.job.records.order_plan import LiesOn, PlannedPrint
from advisor.job.records.plan import Plan
from advisor.job.records.print import Print, PrintLine
from advisor.shop import acts
from rules.catalogue import load_catalogue
from rules.facts.units import Units
from tests.advisor.answers.prints_orders import CREW, block, letters, written
from tests.advisor.command.command_line import run, run_json

PRINTS = [block("chest-left"), letters("yoke", "name"), letters("back", "number", 150)]


def test_a_plan_tells_prints_steps_and_people_and_is_read_back(tmp_path: Path) -> None:
    order = written(tmp_path, PRINTS, people=CREW)
    saved = tmp_path / "plan.json"
    answer = run_json("plan", order, "--out", saved)
    assert [one["id"] for one in answer["prints"]] == ["chest-left", "yoke-name", "back-number"]
    assert [one["at"] for one in answer["prints"]] == ["chest-left", "yoke", "back"]
    assert answer["prints"][0]["plan"]["status"] == "planned"
    assert {piece["id"] for piece in answer["pieces"]} >= {"yoke-name/names", "back-number/names"}
    assert [step["n"] for step in answer["steps"]] == list(range(1, len(answer["steps"]) + 1))
    assert answer["verdict"] in {"go", "sample"}
    assert answer["people"][1]["lettered"] == {"yoke-name": "Ben", "back-number": "12"}
    again = read_order_plan(saved)
    assert again.document() == json.loads(saved.read_text(encoding="utf-8"))


def test_the_plan_file_of_an_impossible_order_says_what_is_in_the_way_and_what_helps(
    tmp_path: Path,
) -> None:
    navy = letters("back", "name", finish="matte", colour="navy")
    order = written(tmp_path, [navy, block("chest-left")], people=CREW, colour="black")
    saved = tmp_path / "plan.json"
    answer = run_json("plan", order, "--out", saved)
    assert answer["status"] == "impossible"
    [[helps], *_] = answer["repairs"]
    assert "in white" in helps["message"]
    for asked in (
        ("quote", order, "--plan", saved),
        ("cut", order, "--plan", saved, "--out", tmp_path / "cut"),
        ("run", "done", order, "--plan", saved),
        ("check", saved),
    ):
        refused = run(*asked)
        assert refused.exit_code == 2
        assert refused.stderr.count("\n") == 1
        assert "'crew' is impossible: the names are to be matte in navy; " in refused.stderr
        assert "letters are read from 30" in refused.stderr
        assert f"would help: {helps['message']}" in refused.stderr


def test_no_key_of_orders_stands_in_the_plan_of_one_print() -> None:
    answer = run_json("plan", DEMO_FOLDER / "bags.yaml")
    assert "people" not in answer
    assert "laid" not in answer
    assert all("lays" not in step for step in answer["steps"])


def test_the_people_of_an_order_get_their_own_at_every_place(tmp_path: Path) -> None:
    order = written(tmp_path, PRINTS, people=CREW, quantity=3)
    out = tmp_path / "cut"
    answer = run_json("cut", order, "--out", out)
    assert [one["print"] for one in answer["prints"]] == ["chest-left", "yoke-name", "back-number"]
    badge, names, numbers = ({f["name"]: f["count"] for f in p["files"]} for p in answer["prints"])
    assert badge == {"": 3}
    assert names == {"Ana": 1, "Ben": 1}
    assert numbers == {"7": 1, "12": 1}
    for one in answer["prints"]:
        assert all((out / one["print"] / file["svg"]).is_file() for file in one["files"])
    with Path(answer["press_list"]).open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [(row["yoke: name"], row["back: number"], row["garments"]) for row in rows] == [
        ("Ana", "7", "1"),
        ("Ben", "12", "1"),
        ("", "", "1"),
    ]


def test_all_letters_of_a_block_have_one_height(tmp_path: Path) -> None:
    people = "name,number\nAx,7\nMaximiliana Featherstone-Haugh,12\n"
    order = written(tmp_path, [letters("yoke", "name", 40)], people=people)
    answer = run_json("cut", order, "--out", tmp_path / "cut")
    # Capitals stand as high in a short name as in one that is condensed.
    heights = [file["carrier_mm"][1] for file in answer["prints"][0]["files"]]
    widths = [file["carrier_mm"][0] for file in answer["prints"][0]["files"]]
    assert widths[0] < widths[1] <= 280 + 7
    assert max(heights) <= 40 + 7


def test_plan_card_ticket_and_cut_say_how_high_capitals_are(tmp_path: Path) -> None:
    order = written(tmp_path, [letters("back", "name", 40)], people="name\nÅsa\nBen\n")
    saved, ticket, out = tmp_path / "plan.json", tmp_path / "t.html", tmp_path / "cut"
    shown = " ".join(run("plan", order, "--out", saved, "--ticket", ticket).output.split())
    said = "capitals or digits 40 mm high"
    assert f"lettering of name, {said}" in shown
    (card,) = [line for line in json.loads(saved.read_text())["card"] if said in line]
    assert card.startswith("1 navy matte-smooth")
    assert said in ticket.read_text(encoding="utf-8")
    (cut,) = run_json("cut", order, "--plan", saved, "--out", out)["prints"]
    assert any(note.endswith("capitals or digits are cut 40 mm high") for note in cut["notes"])
    # The print itself is as high as its accents and tails reach.
    (lies,) = json.loads(saved.read_text())["prints"][0]["lies"]
    assert 1.3 * 40 < lies["height_mm"] < 1.6 * 40


def test_a_quote_counts_garments_once_and_film_of_every_print(tmp_path: Path) -> None:
    order = written(tmp_path, PRINTS, people=CREW)
    whole = run_json("quote", order)
    lines = {line["what"]: line["amount"] for line in whole["lines"]}
    assert lines["garments"] == pytest.approx(2 * 6.5)
    alone = [
        run_json("quote", written(tmp_path, [one], people=CREW if "lettering" in one else None))
        for one in PRINTS
    ]
    weeded = sum(line["amount"] for q in alone for line in q["lines"] if line["what"] == "weeding")
    assert lines["weeding"] == pytest.approx(weeded, abs=0.03)
    pressed = [line["amount"] for q in alone for line in q["lines"] if line["what"] == "pressing"]
    assert max(pressed) < lines["pressing"] < sum(pressed)
    assert "chest left, yoke and back" in whole["items"][0]["what"]


def test_a_saved_plan_is_cut_and_quoted_as_it_is(tmp_path: Path) -> None:
    order = written(tmp_path, PRINTS, people=CREW)
    saved = tmp_path / "plan.json"
    run_json("plan", order, "--out", saved)
    assert run_json("quote", order, "--plan", saved)["total"] == run_json("quote", order)["total"]
    assert run_json("check", saved)["verdict"] == run_json("plan", order)["verdict"]
    other = written(tmp_path, PRINTS[:1])
    refused = run("quote", other, "--plan", saved)
    assert refused.exit_code == 2
    assert "plan this order with --out" in refused.stderr


def test_the_ticket_carries_who_gets_which_and_no_markup_of_theirs(tmp_path: Path) -> None:
    people = "name,number,shirt\nA&B,7,XL\nBen,12,S\n"
    order = written(tmp_path, PRINTS, people=people)
    ticket = tmp_path / "ticket.html"
    assert run("plan", order, "--ticket", ticket).exit_code == 0
    page = ticket.read_text(encoding="utf-8")
    assert "A&amp;B" in page
    assert "A&B" not in page
    assert "Who gets which" in page
    assert "<td>XL</td>" in page
    assert "Lay it with the" in page
    assert "http" not in page.replace("http://www.w3.org", "")


def test_the_terminal_shows_prints_order_and_people(tmp_path: Path) -> None:
    order = written(tmp_path, PRINTS, people=CREW)
    shown = run("plan", order).stdout
    for words in ("Prints", "Order of places", "Press card", "Who gets which", "Ben"):
        assert words in shown
    assert run("plan", order, "--why").stdout.count("Peel") == 3


def test_the_demo_crew_is_planned_and_go() -> None:
    answer = run_json("plan", DEMO_FOLDER / "festival-crew.yaml")
    assert (answer["status"], answer["verdict"]) == ("planned", "go")
    # Names and a badge of several tacks: no tack of one side is taken for a tack of the other.
    assert [laid["refused"] for laid in answer["laid"]] == [0, 0]
    assert len(answer["people"]) == 14
    assert {line["fabric"].partition(":")[2] for line in answer["print"]["lines"]} == {
        "navy",
        "sand",
    }


@pytest.mark.parametrize(
    ("prints", "told"),
    [
        ([block("hood")], "garments.0.prints.0.at: no place on adult-tee is called 'hood'; it has"),
        ([block("chest-left", 140)], "garments.0.prints.0.width_mm: is 140 mm; chest-left of"),
        (
            [{**block("sleeve-left"), "width_mm": None, "height_mm": 88.0, "artwork": "wide.svg"}],
            "the artwork would be 176 × 88 mm; sleeve-left of adult-tee is 90 × 90 mm",
        ),
        (
            [{**block("back"), "at": {"area": "back", "below_mm": 415}}],
            "lies off the back of adult-tee, which is 320 × 420 mm",
        ),
        ([block("back", 300), block("back", 200)], "end 520 mm below the upper edge of the back"),
        ([letters("back", "nick")], "has no column called nick; its columns: name, number"),
        ([block("back"), {**block("yoke"), "artwork": "gone.svg"}], "no file 'gone.svg'"),
        ([{**block("back"), "at": {"side": "back"}}], "prints.0.at.area: "),
        ([{**block("back"), "at": 7}], "prints.0.at: "),
    ],
)
def test_bad_input_is_told_by_field_and_limit(
    prints: list[dict[str, object]], told: str, tmp_path: Path
) -> None:
    lettered = any("lettering" in one for one in prints)
    order = written(tmp_path, prints, people=CREW if lettered else None)
    (tmp_path / "wide.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 100">'
        '<rect width="200" height="100" fill="#1b3a5c"/></svg>',
        encoding="utf-8",
    )
    refused = run("plan", order)
    assert refused.exit_code == 2
    assert told in " ".join(refused.stderr.split())


def test_all_that_is_misspelt_in_an_order_is_told_in_one_round(tmp_path: Path) -> None:
    people = "name,number,size\nAna,7,S\nBen,12,MM\n"
    order = written(tmp_path, [block("back")], people=people)
    asked = json.loads(order.read_text(encoding="utf-8"))
    (line,) = asked["garments"]
    line |= {"garment": "adlt-tee", "colour": "nvy", "sizes": {"S": 1, "M": 1}, "prnts": 1}
    del line["quantity"]
    line["prints"] = [
        {"at": "bck", "artwork": "block.svg", "looks": {"default": {"finish": "mate"}}},
        {"at": "yoke", "lettering": {"column": False}, "height_mm": 30, "film": "matte-thinn"},
        letters("nape", "numbr", 20),
    ]
    order.write_text(json.dumps(asked), encoding="utf-8")
    refused = run("plan", order)
    assert refused.exit_code == 2
    for told in (
        "garments.0.garment: no garment is called 'adlt-tee'; nearest: adult-tee",
        "garments.0.colour: no garment colour is called 'nvy'; nearest: navy",
        "garments.0.prnts: nothing here is called so; nearest: prints",
        "prints.0.at: no place on adult-tee is called 'bck'; it has: ",
        "; nearest: back; ",
        "prints.0.looks.default.finish: 'mate': no finish is called 'mate'; nearest: matte",
        "prints.1.lettering.column: False: YAML reads an unquoted Yes, No, On or Off so; put",
        "prints.1.film: no film is called 'matte-thinn'; nearest: matte-thin",
        "prints.2.lettering.column: crew.csv has no column called numbr; its columns: name, ",
        "number, size; nearest: number",
        "crew.csv: the size 'MM' is none of the order; nearest: M",
    ):
        assert told in refused.stderr


def test_an_artwork_for_all_beside_prints_is_told_where_it_stands(tmp_path: Path) -> None:
    order = written(tmp_path, PRINTS[:1])
    asked = json.loads(order.read_text(encoding="utf-8"))
    asked["artwork"] = "block.svg"
    asked["garments"].append({"garment": "adult-tee", "quantity": 2, "artwork_width_mm": 200})
    order.write_text(json.dumps(asked), encoding="utf-8")
    refused = run("job", "check", order)
    assert refused.exit_code == 2
    for told in (
        "artwork: with prints, the artwork stands in each print",
        "garments.1.artwork_width_mm: with prints, the width stands in each print, as `width_mm`",
        "garments.1.prints: with prints, every line lists its own",
    ):
        assert told in refused.stderr
    assert "spelling" not in refused.stderr


def test_a_key_that_is_missing_and_one_that_is_misspelt_are_both_told(tmp_path: Path) -> None:
    asked = {**block("back"), "lettering": {"colum": "name"}}
    del asked["artwork"]
    told = run("job", "check", written(tmp_path, [asked], people=CREW)).stderr
    assert "lettering.column: is missing" in told
    assert "lettering.colum: nothing here is called so; nearest: column" in told


def test_a_fill_without_a_look_is_told_with_its_print_and_its_drawing(tmp_path: Path) -> None:
    own = {**block("chest-left"), "looks": {"#f2c14e": {"film": "matte-smooth"}}}
    order = written(tmp_path, [block("back"), own])
    for command in (("plan",), ("job", "check")):
        refused = run(*command, order)
        assert refused.exit_code == 2
        assert "print chest-left (block.svg): looks: the artwork has the fill" in refused.stderr


def test_a_place_by_its_measures_is_taken_where_the_garment_has_room(tmp_path: Path) -> None:
    asked = {**block("back"), "at": {"area": "back", "below_mm": 120, "across_mm": 60}}
    answer = run_json("plan", written(tmp_path, [asked]))
    lies = answer["prints"][0]["lies"][0]
    assert (lies["top_mm"], lies["across_mm"]) == (120, 60)


def test_job_check_reads_an_order_without_planning_it(tmp_path: Path) -> None:
    answer = run_json("job", "check", written(tmp_path, PRINTS, people=CREW))
    assert [one["id"] for one in answer["prints"]] == ["chest-left", "yoke-name", "back-number"]
    assert answer["people"] == 2
    shown = run("job", "check", written(tmp_path, PRINTS, people=CREW)).stdout
    shown = " ".join(shown.split())
    assert "3 prints on 2 garments, 2 people" in shown


def test_questions_on_one_print_are_refused_for_an_order(tmp_path: Path) -> None:
    refused = run("plan", written(tmp_path, PRINTS, people=CREW), "--alternatives", "2")
    assert refused.exit_code == 2
    assert "asked of one print" in refused.stderr


def test_an_order_is_never_called_proved_for_its_prints_are(tmp_path: Path) -> None:
    order = written(tmp_path, PRINTS, people=CREW)
    answer = run_json("plan", order)
    assert all(one["plan"]["proof"]["optimal"] for one in answer["prints"])
    assert answer["proof"]["optimal"] is False
    said = " ".join(run("plan", order).stdout.split())
    assert "each print has the films that are proved best for it alone" in said
    assert "that other films together are not cheaper or quicker is not proved" in said


def test_where_no_order_was_found_nothing_is_called_impossible(tmp_path: Path) -> None:
    foam = [block("centre-front", film="foam-raised"), block("back", film="foam-raised")]
    order, ticket = written(tmp_path, foam), tmp_path / "ticket.html"
    said = run("plan", order, "--ticket", ticket).stdout
    assert "▲ NO ORDER FOUND" in said
    assert "that there is none is not proved" in said
    assert "foam-risen" in said
    page = ticket.read_text(encoding="utf-8")
    assert "NO ORDER FOUND" in page
    for told in (said, page):
        assert "IMPOSSIBLE" not in told
        assert "in the time given" not in told
    assert run_json("plan", order)["status"] == "unknown"


def test_the_care_card_is_the_strictest_of_all_prints_and_their_garments(tmp_path: Path) -> None:
    card = tmp_path / "care.html"
    order = written(tmp_path, [block("chest-left"), block("back", film="metallic-foil")])
    [both] = run_json("plan", order, "--care", "--care-card", card)["care"]
    [plain] = run_json("plan", written(tmp_path, [block("chest-left")]), "--care")["care"]
    films = [load_catalogue().film(name) for name in ("matte-smooth", "metallic-foil")]
    assert films[1].wash_limit_c < films[0].wash_limit_c
    assert both["care"]["wash_c"] == films[1].wash_limit_c < plain["care"]["wash_c"]
    assert both["care"]["wash_by"] == "metallic-foil"
    assert "adult-tee" in card.read_text(encoding="utf-8")
    assert "Care of adult-tee" in run("plan", order, "--care").stdout


def test_what_one_print_takes_of_a_film_is_not_there_for_the_next(tmp_path: Path) -> None:
    prints = [block("chest-left", 80), block("back", 250)]
    order, store = written(tmp_path, prints, quantity=60), tmp_path / "shop.sqlite"
    document = run_json("cut", order, "--out", tmp_path / "cut", "--nest", "0", "--store", store)
    chest, back = (one["rolls"] for one in document["prints"])
    [one], [other] = chest, back
    assert one["film"] == other["film"]
    left_m = one["on_shelf_m"] - one["length_m"]
    assert other["on_shelf_m"] == pytest.approx(left_m, abs=0.01)


def test_the_film_of_each_print_is_said_to_be_its_own_and_all_are_added_up(tmp_path: Path) -> None:
    order = written(tmp_path, [block("chest-left", 80), block("back", 250)], quantity=6)
    asked = ("cut", order, "--out", tmp_path / "cut", "--nest", "0")
    each = [roll for one in run_json(*asked)["prints"] for roll in one["rolls"]]
    assert len({(roll["film"], roll["colour"]) for roll in each}) == 1
    said = run(*asked).stdout
    chest, back, whole = (
        said.index(f"Film for {of}")
        for of in ("the print chest-left", "the print back", "the whole order, all prints")
    )
    assert chest < back < whole
    metres = sum(math.ceil(round(100 * roll["length_m"], 6)) for roll in each) / 100
    (row,) = [line for line in said[whole:].splitlines() if line.startswith(each[0]["film"])]
    assert f"{metres:.2f} m" in row
    assert said.count("Film for the whole order") == 1


def test_a_film_that_runs_short_over_all_prints_is_told_with_the_plan(tmp_path: Path) -> None:
    prints = [block("chest-left", 80), block("back", 250)]
    order, store = written(tmp_path, prints, quantity=60), tmp_path / "shop.sqlite"
    cut = run_json("cut", order, "--out", tmp_path / "cut", "--nest", "0", "--store", store)
    each_m = [math.ceil(100 * one["rolls"][0]["length_m"]) / 100 for one in cut["prints"]]
    needed_m = sum(each_m)

    def told(there_m: float) -> list[str]:
        acts.set_typed("matte-smooth", "metres", f"{there_m}", store=store)
        notes: list[str] = run_json("plan", order, "--store", store)["notes"]
        return [note for note in notes if "on the shelf" in note]

    # Each print alone has enough.
    there_m = round(max(each_m) + 0.5, 2)
    assert told(there_m) == [
        f"matte-smooth: {needed_m:.2f} m needed, as cut, {there_m:.2f} m on the shelf: "
        f"{needed_m - there_m:.2f} m to buy"
    ]
    assert told(needed_m) == []


@pytest.mark.parametrize("command", ["cut", "quote"])
def test_one_stop_ends_the_nesting_of_every_print_and_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, command: str
) -> None:
    """Ctrl-C comes while the first film is nested; none of the films after it is searched for."""
    searched: list[float] = []

    def stopped(of_film: _Run, best: Layout) -> Layout:
        searched.append(of_film.seconds)
        raise KeyboardInterrupt

    monkeypatch.setattr("advisor.cutting.roll.nesting._search", stopped)
    prints = [block("chest-left"), block("back", 150), block("nape", 40)]
    job = written(tmp_path, prints, quantity=6)
    more = ["--out", tmp_path / "cut"] if command == "cut" else []
    answer = run(command, job, *more, "--nest", "9", "--json")
    assert answer.exit_code == 0
    assert len(searched) == 1
    assert "nesting was stopped" in answer.stderr
    # What still takes seconds is told, and how to end that too.
    assert ("the files are written now" in answer.stderr) == (command == "cut")
    assert json.loads(answer.stdout)


def test_where_garments_differ_each_is_told_its_own_measure() -> None:
    lines = tuple(
        PrintLine(garment, "front", "cotton-canvas", 1, 180.0, 180.0)
        for garment in ("canvas-tote", "shopping-bag", "adult-tee")
    )
    told = [f"{mm} mm below the upper edge" for mm in (76, 72, 76)]
    lies = tuple(
        LiesOn(line=n, area="front", top_mm=9, across_mm=0, width_mm=180, height_mm=180, told=words)
        for n, words in enumerate(told)
    )
    printed = Plan.model_construct(print=Print((), (), (), (), lines))
    one = PlannedPrint.model_construct(at="front", lies=lies, plan=printed)
    assert spot_words(one, Units()) == (
        "canvas-tote and adult-tee: 76 mm below the upper edge; "
        "shopping-bag: 72 mm below the upper edge"
    )
    alone = PlannedPrint.model_construct(at="front", lies=lies[:1], plan=printed)
    assert spot_words(alone, Units()) == "76 mm below the upper edge"
