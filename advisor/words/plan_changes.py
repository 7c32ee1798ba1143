"""Plan changes: what is different between two plans, and what that gains and loses."""

from __future__ import annotations

from collections.abc import Callable

from advisor.answers.records import OtherPlan
from advisor.job.records.plan import Plan, Proof
from advisor.job.records.print import NAMES_PIECE, PrintPiece
from advisor.words.plan import joint_clause, piece_names
from advisor.words.verdicts import VERDICTS
from rules.facts.meeting import MEETING_WORDS
from rules.facts.text import Text, and_list, piece_name
from rules.facts.units import Units, show_um

__all__ = ["differences", "fill_or_names", "gains_and_losses", "next_best_text", "what_differs"]


def differences(before: Plan, after: Plan, units: Units) -> list[str]:
    """What changed from one plan to the next; an empty list where nothing did.

    >>> from advisor.job.records.plan import Proof
    >>> proof = Proof(optimal=True, bound=None, objective=None, measures=("cents",))
    >>> one = Plan(job="crew", artwork="kite", status="planned", verdict="go", prefer="durable",
    ...            press="clamshell-38x38", proof=proof, minutes=60, cost=90)
    >>> differences(one, one.model_copy(update={"minutes": 75.0, "cost": 80.5}), Units())
    ['75 min at the press, 15 min more.', 'It costs 80.50 €, 9.50 € less.']
    >>> differences(one, one, Units())
    []
    """
    if "planned" not in {before.status} or after.status != "planned":
        return _possible(before, after)
    said = []
    if before.verdict != after.verdict:
        was, now = (VERDICTS[plan.verdict].label for plan in (before, after))
        said.append(f"The verdict went from {was} to {now}.")
    if round(after.minutes) != round(before.minutes):
        by = _by(after.minutes - before.minutes, "{:.0f} min")
        said.append(f"{after.minutes:.0f} min at the press, {by}.")
    if abs(after.cost - before.cost) >= 0.005:
        by = _by(after.cost - before.cost, f"{{:.2f}} {after.currency}")
        said.append(f"It costs {after.cost:.2f} {after.currency}, {by}.")
    return (
        said + _films(before, after) + _joints(before, after, units) + _press(before, after, units)
    )


def what_differs(before: Plan, after: Plan) -> tuple[Text, ...]:
    """The films and ways of meeting that are other ones, films first."""
    films = {piece.id: piece.film for piece in after.pieces}
    said = [
        f"{piece_name(piece.id)} is cut from {films[piece.id]} instead of {piece.film}"
        for piece in before.pieces
        if films[piece.id] != piece.film
    ]
    for (upper, lower), way in before.meets.items():
        taken = after.meets[upper, lower]
        if taken != way:
            now = MEETING_WORDS[taken].short
            met = now.format(upper=piece_name(upper), lower=piece_name(lower))
            said.append(f"{met} instead of {MEETING_WORDS[way].noun}")
    return tuple(map(Text, said))


def gains_and_losses(before: Proof, after: Proof, currency: str) -> tuple[list[Text], list[Text]]:
    """What one plan has over another for each garment, and what it costs, by their objectives.

    >>> def proof(*objective):
    ...     return Proof(optimal=True, bound=None, objective=objective, measures=("cents", "weak"))
    >>> gains_and_losses(proof(250, 0), proof(240, 2), "€")
    (['€0.10 cheaper a garment'], ['edges weaker by 2 (a lap counts 0, a butt 2)'])
    """
    gains: list[Text] = []
    loses: list[Text] = []
    was = dict(zip(before.measures, before.objective or (), strict=False))
    is_ = dict(zip(after.measures, after.objective or (), strict=False))
    for measure, (say, better, worse) in _MEASURES.items():
        more = is_.get(measure, 0) - was.get(measure, 0)
        if more:
            much = say(abs(more), currency)
            said = Text((worse if more > 0 else better).format(much))
            (loses if more > 0 else gains).append(said)
    return gains, loses


def next_best_text(piece: str, other: OtherPlan | None) -> Text:
    """What a piece would be cut from were it not of its film, as a clause about the piece.

    >>> print(next_best_text("text", None))
    no other film can take its place
    """
    if other is None:
        return Text("no other film can take its place")
    film = next(each for each in other.plan.pieces if each.id == piece)
    how = "the next best" if other.optimal else "the best other found in the time"
    worth = []
    if other.loses:
        worth.append(f"it costs {and_list(other.loses)}")
    if other.gains:
        worth.append(f"it gains {and_list(other.gains)}")
    told = "; ".join(worth) or "as good by all that is weighed"
    beside = len(other.differs) - 1
    more = "; one more film or way of meeting changes with it" if beside == 1 else ""
    if beside > 1:
        more = f"; {beside} more films or ways of meeting change with it"
    return Text(f"{how} is {film.colour} {film.film}: {told}{more}")


_MEASURES: dict[str, tuple[Callable[[int, str], str], str, str]] = {
    "samples": (
        lambda count, _: f"{count}",
        "{} fewer to sample first",
        "{} more to sample first",
    ),
    "weak": (
        lambda count, _: f"by {count} (a lap counts 0, a butt 2)",
        "edges stronger {}",
        "edges weaker {}",
    ),
    "cents": (
        lambda cents, currency: f"{currency}{cents / 100:.2f}",
        "{} cheaper a garment",
        "{} dearer a garment",
    ),
    "thickness_um": (
        lambda um, _: f"{show_um(um)}",
        "{} thinner at the thickest place",
        "{} thicker at the thickest place",
    ),
    "seconds": (lambda s, _: f"{s} s", "{} quicker a garment", "{} slower a garment"),
}
"""How each measure of an objective is shown, as less and as more of it."""


def _possible(before: Plan, after: Plan) -> list[str]:
    if before.status == after.status:
        return []
    return [
        "It can be pressed now; before, it could not."
        if after.status == "planned"
        else "Before, it could be pressed."
    ]


def _by(difference: float, shown: str) -> str:
    return f"{shown.format(abs(difference))} {'more' if difference > 0 else 'less'}"


def fill_or_names(piece: PrintPiece) -> str:
    """What a piece is in the artwork: its fill, or the names."""
    return "the names" if piece.id == NAMES_PIECE else piece.fill or ""


def _first(words: str) -> str:
    verb = "are" if words.startswith("the names") else "is"
    return f"{words[:1].upper()}{words[1:]} {verb}"


def _films(before: Plan, after: Plan) -> list[str]:
    were = {piece.id: piece for piece in before.pieces}
    said = []
    for piece in after.pieces:
        was, in_artwork = were.get(piece.id), fill_or_names(after.print.piece(piece.id))
        if was is None:
            said.append(f"New: {piece.colour} {piece.film} for {in_artwork}.")
        elif (was.film, was.colour) != (piece.film, piece.colour):
            said.append(
                f"{_first(in_artwork)} now {piece.colour} {piece.film} "
                f"(was {was.colour} {was.film})."
            )
        elif was.rank != piece.rank:
            said.append(
                f"{piece.colour} {piece.film} goes down in press {piece.rank} (was {was.rank})."
            )
    are = {piece.id for piece in after.pieces}
    gone = (fill_or_names(piece) for piece in before.print.pieces if piece.id not in are)
    return said + [f"Gone: {each}." for each in gone]


def _joints(before: Plan, after: Plan, units: Units) -> list[str]:
    were = {(joint.upper, joint.lower): joint.meets for joint in before.joints}
    names = piece_names(after)
    turned = [
        joint_clause(joint, names, units)
        for joint in after.seen_joints
        if were.get((joint.upper, joint.lower), joint.meets) != joint.meets
    ]
    return [f"Now {clause}." for clause in turned]


def _press(before: Plan, after: Plan, units: Units) -> list[str]:
    def dial(plan: Plan) -> list[str]:
        full = [step for step in plan.steps if step.setpoint_c and step.purpose == "full"]
        return [units.temperature(step.setpoint_c or 0) for step in full]

    said = []
    if dial(before) != dial(after):
        said.append(f"The full press is at {and_list(dial(after))} (was {and_list(dial(before))}).")
    if len(before.steps) != len(after.steps):
        said.append(f"{len(after.steps)} steps at the press (was {len(before.steps)}).")
    gone = {finding.rule for finding in before.findings} - {f.rule for f in after.findings}
    new = {finding.rule for finding in after.findings} - {f.rule for f in before.findings}
    if new:
        said.append(f"New findings: {and_list(sorted(new))}.")
    if gone:
        said.append(f"Findings gone: {and_list(sorted(gone))}.")
    return said
