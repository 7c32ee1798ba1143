"""Other shade: films of the wished look that need no sample, but in a colour farther from it."""

from __future__ import annotations

from advisor.answers.other_films import OtherFilms
from advisor.layering.records.assessment import Assessment
from advisor.layering.records.prepared import PreparedJob
from advisor.layering.records.problem import Option
from rules.facts.finding import Finding, verdict
from rules.facts.subjects import FilmOnFabric
from rules.facts.text import PieceName, Text

__all__ = ["other_shades"]


def other_shades(prepared: PreparedJob, best: Assessment) -> tuple[Text, ...]:
    """For each film that its fabric makes a sample: one without that, in another shade.

    Only films near in colour are weighed in a plan. Whoever would rather have another shade than
    press a sample learns of it from these notes.
    """
    others = OtherFilms(prepared)
    rules = prepared.problem.knowledge.rules
    of_fabric = {rule.id for rule in rules.on(FilmOnFabric)}
    told = []
    for piece, option in best.choice.options.items():
        touching = option.fabric_findings if piece in best.on_fabric else ()
        worries = [
            found
            for found in (*option.findings, *touching)
            if found.severity == "sample" and found.rule in of_fabric
        ]
        if worries and (other := _without_worry(others, piece)):
            told.append(_told(piece, worries[0], option, other))
    return tuple(told)


def _without_worry(others: OtherFilms, piece: str) -> Option | None:
    """The film of the wished look, nearest in colour, that needs no sample wherever it lies."""
    sure = [
        option
        for option in others.swaps(piece).get("film", ())
        if verdict((*option.findings, *option.fabric_findings)) == "go"
    ]
    return min(sure, key=lambda option: (option.delta_e, option.film_cost), default=None)


def _told(piece: str, worry: Finding, option: Option, other: Option) -> Text:
    film, colour = other.film.id, other.colour.name
    return Text(
        f"{worry.rule} asks for a sample of {PieceName(piece, option.film.id)}; {film} needs none "
        f"of it, in {colour}, ΔE {other.delta_e:.0f} from the colour wanted: wish for "
        f"{{film: {film}, colour: {colour}}}"
    )
