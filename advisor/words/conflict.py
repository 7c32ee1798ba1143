"""Conflict in words: each fact and wish as a clause, each change as advice, and both together."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import groupby

from advisor.job.records.job import Wish
from advisor.job.records.plan import Change
from advisor.job.records.print import NAMES_PIECE, PrintPiece
from advisor.solver.records import RuleInstance
from rules.facts.film import Film
from rules.facts.meeting import MEETING_WORDS
from rules.facts.step import Meets
from rules.facts.text import Text, and_list, piece_name
from rules.facts.units import show_c, show_mm, show_s

__all__ = ["change_text", "conflict_text", "fact_text", "granted_text", "wished_name"]

MOST_NAMED = 4
"""Films named one by one; more are counted."""


def fact_text(fact: RuleInstance) -> Text:
    """A member of a conflict as a clause that can stand after "because".

    >>> print(fact_text(RuleInstance("wish", "wish", Text("text"), ("text",), Text("matte"))))
    text is to be matte
    >>> print(fact_text(RuleInstance("wish", "wish", Text("names"), ("names",), Text("matte"))))
    names are to be matte
    """
    if fact.said and fact.rule != "wish":
        return Text(_found(fact))
    return Text((_OF_HEAT | _SAID)[fact.rule](fact))


def change_text(change: Change) -> Text:
    """A change of a repair as advice.

    >>> print(change_text(Change(kind="meets", where="", to="butt", pieces=("text", "star"))))
    butt text against star
    >>> print(change_text(Change(kind="line", where="5 × rain-jacket", to="", line=2)))
    leave the 5 × rain-jacket out of this order
    """
    pieces = list(map(piece_name, change.pieces))
    film = f"{change.to} in {change.colour}" if change.recoloured else change.to
    match change.kind:
        case "sample":
            said = "allow a sample to be pressed and washed first"
        case "meets":
            said = MEETING_WORDS[_way(change.to)].advice.format(upper=pieces[0], lower=pieces[1])
        case "press":
            said = f"press it on {change.to}"
        case "film":
            said = f"cut {and_list(pieces)} from {film}"
        case "setpoint":
            said = f"allow {show_c(float(change.to))} for {and_list(pieces)}"
        case "buy":
            said = f"buy {film} and cut {and_list(pieces)} from it"
        case "size":
            said = f"print the {change.where} {show_mm(float(change.to))} wide"
        case "line":
            said = f"leave the {change.where} out of this order"
        case _:
            said = f"leave {pieces[0]} out"
    return Text(said)


def conflict_text(conflict: Sequence[RuleInstance], repair: Sequence[Change] = ()) -> Text:
    """The conflict in plain sentences: the wishes once, then each fact, then the smallest change.

    >>> text = RuleInstance("wish", "wish", Text("text"), ("text",), Text("matte"))
    >>> lifts = RuleInstance("top-surface", "film", Text("text on star"), ("star", "text"),
    ...                      Text("sparkle-coarse takes no film on top"))
    >>> print(conflict_text([text, lifts]))
    Because text is to be matte, this cannot be: sparkle-coarse takes no film on top.
    """
    wishes = [fact_text(one) for one in conflict if one.kind == "wish"]
    facts = _clauses([one for one in conflict if one.kind != "wish"])
    sentences = []
    because = f"Because {and_list(wishes)}, " if wishes else ""
    if len(facts) == 1:
        opening = f"{because}this cannot be"
        sentences.append(f"{opening[0].upper()}{opening[1:]}: {facts[0]}.")
    elif facts:
        opening = f"{because}these cannot all hold"
        listed = f"{'; '.join(facts[:-1])}; and {facts[-1]}"
        sentences.append(f"{opening[0].upper()}{opening[1:]}: {listed}.")
    else:
        sentences.append(f"{because}nothing is possible: no film on the shelf gives it.")
    if repair:
        changes = and_list(map(change_text, repair))
        sentences.append(f"The smallest change that works: {changes}.")
    return Text(" ".join(sentences))


def granted_text(gains: Sequence[Text], loses: Sequence[Text], differs: Sequence[Text]) -> Text:
    """What a wish costs that can be granted.

    >>> print(granted_text([], ["€0.06 dearer a garment"], []))
    it can be; it costs against the best plan: €0.06 dearer a garment
    """
    if not gains and not loses:
        alike = "it can be, and it is as good as the best plan"
        return Text(alike if differs else "that is what the best plan does")
    parts = []
    if loses:
        parts.append(f"it costs against the best plan: {and_list(loses)}")
    if gains:
        parts.append(f"it gains: {and_list(gains)}")
    return Text(f"it can be; {'; '.join(parts)}")


def wished_name(piece: PrintPiece, wish: Wish | None, called: str = "") -> str:
    """A piece as one would call it before it has a film: by its colour and what is wished.

    Args:
        called: what the job calls it, if anything.

    >>> wished_name(PrintPiece("fill-1b3a5c-2", "#1b3a5c", ()), Wish(finish="matte"))
    'the matte #1b3a5c-2'
    >>> wished_name(PrintPiece("fill-1b3a5c", "#1b3a5c", ()), Wish(finish="matte"), "sea")
    'the matte sea'
    """
    if piece.id == NAMES_PIECE:
        return "the names"
    fill = called or piece.fill or piece.id
    wanted = (wish.film or wish.finish or wish.family) if wish else None
    number = piece.id.removeprefix(f"fill-{(piece.fill or '').removeprefix('#')}")
    return f"the {wanted} {fill}{number}" if wanted else fill


def _clauses(facts: Sequence[RuleInstance]) -> list[str]:
    """What films bear in one clause for each piece, everything else in a clause of its own."""
    said: list[str] = []
    for pieces, group in groupby(
        facts, key=lambda one: (one.pieces, one.rule in _OF_HEAT and not one.said)
    ):
        sentences = [f"{fact_text(one)}" for one in group]
        if pieces[1] and len(sentences) > 1:
            subject = f"{piece_name(pieces[0][0])} "
            rest = [sentence.removeprefix(subject) for sentence in sentences[1:]]
            said.append(and_list([sentences[0], *rest]))
        else:
            said += sentences
    return said


# What is wished


def _look(fact: RuleInstance) -> str:
    films = f"cut from {_films(fact.films)}" if fact.films else "cut from a film on the shelf"
    verb = "are" if fact.pieces[0] == NAMES_PIECE else "is"
    return f"{piece_name(fact.pieces[0])} {verb} to be {fact.said or films}"


def _ways(fact: RuleInstance) -> str:
    upper, lower = map(piece_name, fact.pair or ())
    return " or ".join(MEETING_WORDS[way].wish.format(upper=upper, lower=lower)
                       for way in fact.ways)  # fmt: skip


# What films, fabric and press bear


def _found(fact: RuleInstance) -> str:
    """What a finding says, and of how many films or pairings it does."""
    every, one = "every film on the shelf", "film"
    if fact.pieces and not fact.shelf:
        there = " on the shelf" if all(film.on_shelf_m > 0 for film in fact.films) else ""
        every = f"every film{there} for {piece_name(fact.pieces[0])}"
    if fact.pair is not None:
        upper, lower = map(piece_name, fact.pair)
        every, one = f"every pairing of {upper} and {lower}", "pairing"
    others = fact.drawn - 1
    if others <= 0:
        return f"{fact.said}"
    if fact.drawn == fact.asked:
        return f"{fact.said} (and so for {every})"
    return f"{fact.said} (and so for {others} more {one}{'s' if others > 1 else ''})"


def _of_heat(say: Callable[[Sequence[Film]], str]) -> Callable[[RuleInstance], str]:
    def said(fact: RuleInstance) -> str:
        clause = f"{piece_name(fact.pieces[0])} {say(fact.films)}"
        return f"{clause} ({_films(fact.films)})" if len(fact.films) > 1 else clause

    return said


def _needs_c(films: Sequence[Film]) -> str:
    low = min(film.setpoint_c.low for film in films)
    return f"is pressed at {show_c(low, max(film.setpoint_c.high for film in films))}"


def _bears_c(films: Sequence[Film]) -> str:
    return f"bears {show_c(max(film.bears_c for film in films))} once it is down"


def _needs_s(films: Sequence[Film]) -> str:
    low = min(film.dwell_s.low for film in films)
    return f"is pressed for {low:.0f} to {show_s(max(film.dwell_s.high for film in films))}"


def _bears_s(films: Sequence[Film]) -> str:
    return f"bears {show_s(max(film.bears_s for film in films))} of pressing in all"


def _one_after_another(fact: RuleInstance) -> str:
    upper, lower = map(piece_name, fact.pair or ())
    return f"what lies on top goes down later, so that {lower} and {upper} follow one another"


def _reaches(fact: RuleInstance) -> str:
    press = fact.limits.press if fact.limits else None
    if press is None:
        return _found(fact)
    return f"{press.id} reaches {show_c(press.setpoint_low_c, press.setpoint_high_c)}"


def _fabric_bears(fact: RuleInstance) -> str:
    if fact.limits is None:
        return _found(fact)
    return f"{fact.limits.fabric_bears} {show_c(fact.limits.hottest_c)}"


def _foams(films: Sequence[Film]) -> str:
    return "foams, so that nothing is pressed after it"


def _films(films: Sequence[Film]) -> str:
    names = list(dict.fromkeys(film.id for film in films))
    if len(names) > MOST_NAMED:
        return f"one of {len(names)} films"
    return names[0] if len(names) == 1 else f"one of {and_list(names)}"


def _way(name: str) -> Meets:
    return next(way for way in MEETING_WORDS if way == name)


_OF_HEAT: dict[str, Callable[[RuleInstance], str]] = {
    "setpoint-window": _of_heat(_needs_c),
    "heat-order": _of_heat(_bears_c),
    "dwell-window": _of_heat(_needs_s),
    "pressed-seconds": _of_heat(_bears_s),
}

_SAID: dict[str, Callable[[RuleInstance], str]] = {
    "wish": _look,
    "wish-meets": _ways,
    "wish-samples": lambda fact: "no sample may be pressed first",
    "press-order": _one_after_another,
    "press-range": _reaches,
    "fabric-heat-limit": _fabric_bears,
    "pressure-window": lambda fact: "one pressure has to suit all films that finish together",
    "foam-last": _of_heat(_foams),
}
