"""The job ticket: everything the person at the press needs, on a page that needs nothing else."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import pytest

from advisor import plan
from advisor.artwork.reader import Artwork, read_artwork
from advisor.job.records.plan import Change, Clash, Plan, Proof
from advisor.words.plan import piece_names, step_settings, step_title
from advisor.words.ticket.page import STANDING_CAUTIONS, ticket_html
from rules.catalogue import load_catalogue
from rules.facts.text import Text
from rules.facts.units import both_degrees
from tests.advisor.command.command_line import KITE, write_job

FILMS = load_catalogue().films


class Page(HTMLParser):
    """The page as a browser sees it: its tags, its text, and what it would fetch."""

    VOID = frozenset({"meta", "br", "link", "img", "hr", "input"})

    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.fetched: list[str] = []
        self.styles: list[str] = []
        self.open: list[str] = []
        self.parts: list[str] = []
        self.feed(html)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        if tag not in self.VOID:
            self.open.append(tag)
        for name, value in attrs:
            if name in {"src", "href", "xlink:href", "srcset", "data", "action"}:
                self.fetched.append(f"{name}={value}")
            if name.startswith("on"):
                self.fetched.append(name)
            if name in {"style", "fill"}:
                self.styles.append(value or "")

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        self.handle_endtag(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag, f"</{tag}> closes nothing that is open"

    def handle_data(self, data: str) -> None:
        (self.styles if self.open[-1:] == ["style"] else self.parts).append(data)

    @property
    def text(self) -> str:
        return " ".join(" ".join(self.parts).split())


@pytest.fixture(scope="module")
def planned(tmp_path_factory: pytest.TempPathFactory) -> Plan:
    return plan(write_job(tmp_path_factory.mktemp("kite")))


@pytest.fixture(scope="module")
def artwork() -> Artwork:
    return read_artwork(KITE, width_mm=200, name="kite")


def test_the_ticket_tells_every_step_in_its_order_with_settings_for_either_dial(
    planned: Plan,
) -> None:
    page = Page(ticket_html(planned))
    names, press = piece_names(planned), load_catalogue().press(planned.press)
    at = 0
    for step in planned.steps:
        for words in (step_title(step, names), *step_settings(step, press, both=True), step.why):
            found = page.text.find(" ".join(words.split()), at)
            assert found >= 0, f"step {step.n} lacks {words!r} after {page.text[at : at + 80]!r}"
            at = found
    assert page.tags.count("li") >= len(planned.steps)
    assert "160 °C / 320 °F" in page.text


def test_the_ticket_names_garments_pieces_findings_cautions_and_proof(planned: Plan) -> None:
    text = Page(ticket_html(planned)).text
    assert "3 adult-tee front 200 mm × 225 mm" in text
    for piece in planned.pieces:
        assert f"{piece.rank} {piece.colour} {piece.film}" in text
    for finding in planned.findings:
        message = finding.message.replace("fill-", "")
        assert message.lower()[:40] in text.lower()
        assert finding.instead.lower() in text.lower()
    for caution in STANDING_CAUTIONS:
        assert caution in text
    assert f"The platen goes up to {both_degrees(160)}" in text
    assert "proved to be the best" in text
    assert "● GO press it" in text


@pytest.mark.parametrize(
    ("verdict", "shown"), [("go", "● GO"), ("sample", "▲ SAMPLE FIRST"), ("stop", "■ STOP")]
)
def test_a_verdict_has_a_word_and_a_shape(planned: Plan, verdict: str, shown: str) -> None:
    assert shown in Page(ticket_html(planned.model_copy(update={"verdict": verdict}))).text


def test_the_page_fetches_nothing_and_runs_nothing(planned: Plan, artwork: Artwork) -> None:
    html = ticket_html(planned, artwork)
    page = Page(html)
    assert page.fetched == []
    assert not {"script", "link", "img", "iframe", "object", "image", "use"} & set(page.tags)
    assert not re.search(r"@import|url\((?!#weave)|https?:", html)
    assert page.open == []


NASTY = [
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "'; background: url(//elsewhere)",
    "{{ 7 * 7 }}{% raw %}",
    "</style></title></main>",
    "\x1b[31mred\x07",
    "&lt;&amp;",
]


@pytest.mark.parametrize("nasty", NASTY)
def test_whatever_the_job_says_stays_text(planned: Plan, artwork: Artwork, nasty: str) -> None:
    told = planned.model_copy(
        update={
            "job": nasty,
            "artwork": nasty,
            "currency": nasty,
            "notes": (Text(nasty),),
            "pieces": tuple(
                piece.model_copy(update={"colour": nasty, "srgb": nasty})
                for piece in planned.pieces
            ),
            "steps": tuple(
                step.model_copy(update={"why": Text(nasty), "cover": nasty})
                for step in planned.steps
            ),
            "findings": tuple(
                finding.model_copy(
                    update=dict.fromkeys(("where", "message", "instead"), Text(nasty))
                )
                for finding in planned.findings
            ),
        }
    )
    page, plain = Page(ticket_html(told, artwork)), Page(ticket_html(planned, artwork))
    assert page.fetched == []
    assert sorted(set(page.tags)) == sorted(set(plain.tags) | {"h2"})
    assert not any("elsewhere" in style or "7 *" in style for style in page.styles)
    assert "\x1b" not in page.text
    shown = "".join(c if c.isprintable() else "?" for c in nasty)
    assert " ".join(shown.split()) in page.text


def test_the_same_plan_gives_the_same_ticket_and_no_date_of_its_own(
    planned: Plan, artwork: Artwork
) -> None:
    html = ticket_html(planned, artwork)
    assert html == ticket_html(planned, artwork)
    assert not re.search(r"20\d\d-\d\d-\d\d", html)
    assert "Job ticket · 3 May" in Page(ticket_html(planned, artwork, date="3 May")).text


def drawings(html: str, kind: str) -> list[ElementTree.Element]:
    found = re.findall(rf'<svg class="{kind}".*?</svg>', html, re.DOTALL)
    return [ElementTree.fromstring(svg) for svg in found]


def test_the_preview_shows_each_piece_in_the_colour_of_its_film(
    planned: Plan, artwork: Artwork
) -> None:
    assert drawings(ticket_html(planned), "preview") == []
    (preview,) = drawings(ticket_html(planned, artwork), "preview")
    fills = [path.get("fill") for path in preview.iter("path")]
    assert fills == [piece.srgb for piece in planned.pieces]
    fabric = load_catalogue().fabric(planned.runs[0].fabrics[0])
    assert [rect.get("fill") for rect in preview.iter("rect")] == [fabric.colour.srgb]


def blocks(plan_: Plan) -> dict[str, list[tuple[float, float, float, float]]]:
    """The rectangles of each piece in the section by colour: left, right, bottom, top."""
    (section,) = drawings(ticket_html(plan_), "section")
    fills = {piece.srgb: piece.id for piece in plan_.pieces}
    found: dict[str, list[tuple[float, float, float, float]]] = {}
    for rect in section.iter("rect"):
        x, y, width, height = (float(rect.get(key, "0")) for key in ("x", "y", "width", "height"))
        if rect.get("fill") in fills:
            piece = fills[str(rect.get("fill"))]
            found.setdefault(piece, []).append((x, x + width, -(y + height), -y))
    return found


def test_a_lap_is_drawn_whole_under_what_lies_over_it_in_proportion(planned: Plan) -> None:
    low, high = (blocks(planned)[piece.id] for piece in planned.pieces)
    assert planned.joints[0].meets == "lap"
    assert len(low) == len(high) == 1
    assert low[0][0] < high[0][0]
    assert high[0][1] < low[0][1]
    assert high[0][2] == pytest.approx(low[0][3], abs=0.11)
    thin, thick = (FILMS[piece.film].thickness_um for piece in planned.pieces)
    drawn = (low[0][3] - low[0][2], high[0][3] - high[0][2])
    assert drawn[1] / drawn[0] == pytest.approx(thick / thin, rel=0.02)


@pytest.mark.parametrize("meets", ["inset-over", "inset-under", "butt"])
def test_a_window_is_drawn_with_its_rim_on_the_side_that_it_lies(planned: Plan, meets: str) -> None:
    joint = planned.joints[0].model_copy(update={"meets": meets, "trap_mm": 1.0})
    low, high = planned.pieces
    ranks = (2, 1) if meets == "inset-under" else (1, 2)
    told = planned.model_copy(
        update={
            "joints": (joint,),
            "pieces": tuple(
                piece.model_copy(update={"rank": rank})
                for piece, rank in zip((low, high), ranks, strict=True)
            ),
        }
    )
    drawn = blocks(told)
    lows, highs = drawn[low.id], drawn[high.id]
    floor = min(block[2] for block in (*lows, *highs))
    middle = next(b for b in highs if b[0] < 165 < b[1])
    assert middle[2] == pytest.approx(floor, abs=0.11)
    assert not any(b[0] < 165 < b[1] for b in lows)
    raised_low = [b for b in lows if b[2] > floor + 0.2]
    raised_high = [b for b in highs if b[2] > floor + 0.2]
    assert bool(raised_low) == (meets == "inset-under")
    assert bool(raised_high) == (meets == "inset-over")


def test_labels_of_the_section_never_overlap(planned: Plan) -> None:
    (section,) = drawings(ticket_html(planned), "section")
    heights = sorted(float(text.get("y", "0")) for text in section.iter("text"))
    assert len(heights) == len(planned.pieces) + 1
    assert all(b - a >= 12 for a, b in pairwise(heights))
    height = float(section.get("height", "0"))
    assert 0 < heights[0] < heights[-1] <= height + 1


def test_an_impossible_job_gets_its_conflict_and_repairs_and_no_steps() -> None:
    told = Plan(
        job="kite",
        artwork="kite",
        status="impossible",
        verdict="stop",
        prefer="durable",
        press="clamshell-38x38",
        proof=Proof(optimal=True, bound=None, objective=None, measures=("samples",)),
        conflict=(Clash(rule="top-surface", where="the word", message="nothing bonds to flock"),),
        repairs=((Change(kind="film", where="sea", to="matte", message="take matte instead"),),),
    )
    page = Page(ticket_html(told))
    assert "■ IMPOSSIBLE cannot be pressed as asked" in page.text
    assert "the word : nothing bonds to flock top-surface" in page.text
    assert "take matte instead" in page.text
    assert "Steps for" not in page.text
    unknown = Page(ticket_html(told.model_copy(update={"status": "unknown"})))
    assert "▲ UNDECIDED" in unknown.text
    assert "that is not to say that there is none" in unknown.text


def test_alike_steps_of_two_runs_are_told_under_their_own_garments(tmp_path: Path) -> None:
    job = write_job(tmp_path)
    text = job.read_text(encoding="utf-8")
    job.write_text(
        text + "  - {garment: cap-panel, quantity: 2, artwork_width_mm: 45}\n", encoding="utf-8"
    )
    made = plan(job)
    page = Page(ticket_html(made)).text
    assert len(made.runs) == 2
    assert "Run 1: 3 × adult-tee" in page
    assert page.index("Run 1:") < page.index("Run 2: 2 × cap-panel")
