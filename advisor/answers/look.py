"""Look: every way in which the shelf can give a wanted look on a fabric, and what was refused."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise, permutations

from advisor.answers.look_steps import heat_findings, stage_findings
from advisor.answers.records import Answer, LookAnswer, Refused
from advisor.heat.records import HeatRefusal
from advisor.job.records.job import Prefer, Rates, Wish
from advisor.job.records.print import EVERY_WAY, Meeting, Pair, PieceSize, PrintPiece
from advisor.layering.assessment import unpressable_finding
from advisor.layering.candidates import piece_with_options
from advisor.layering.records.assessment import Assessment
from advisor.layering.records.problem import Problem, ProblemPiece
from advisor.layering.stages import heat_limits
from advisor.layering.typed_print import SAMPLE_PRINT_MM, stack_print
from advisor.solver.listing import Listing, list_choices, rank
from rules.errors import BadInputError, UnknownNameError
from rules.facts.fabric import Fabric
from rules.facts.film import FINISHES, Film
from rules.facts.finding import Finding, verdict, worst_first
from rules.facts.press import Press
from rules.facts.step import Meets
from rules.knowledge import Knowledge, load_knowledge

__all__ = ["look"]

MOST_ANSWERS = 2_000
MOST_FINISHES = 4


def look(
    *finishes: str,
    fabric: str,
    press: str = "clamshell-38x38",
    prefer: Prefer = "durable",
    on_shelf_only: bool = False,
    knowledge: Knowledge | None = None,
) -> LookAnswer:
    """Every way in which the films of the catalogue give ``finishes`` together, best first.

    Each finish may lie in front of or behind the others, and each pair may be lapped, inset
    (rim under or over) or butted.

    Args:
        finishes: two or more finishes (or one, for the films that give it alone).
        fabric: a fabric, or a garment whose fabric is meant.
        on_shelf_only: leave out films of which the shelf holds nothing.

    Raises:
        BadInputError: no finish, an unknown one, or more than four.
        UnknownNameError: the fabric or press is not known; the nearest names are offered.

    >>> found = look("matte", "sparkle", fabric="cotton-jersey-tee")
    >>> found.answers[0].meets
    ('lap',)
    >>> behind = [r for r in found.refused if r.films == ("sparkle-coarse", "matte-smooth")]
    >>> [(refused.meets, refused.rule) for refused in behind if refused.meets == ("lap",)]
    [(('lap',), 'top-surface')]
    """
    knowledge = knowledge or load_knowledge()
    wanted = _checked(finishes)
    cloth, machine = knowledge.catalogue.fabric(fabric), knowledge.catalogue.press(press)
    domains = _domains(wanted, cloth, knowledge, on_shelf_only=on_shelf_only)
    problems = [
        _stacked([domains[finish] for finish in order], cloth, machine, knowledge, prefer=prefer)
        for order in permutations(wanted)
    ]
    listings = [list_choices(problem, most=MOST_ANSWERS) for problem in problems]
    answers: list[tuple[tuple[object, ...], Answer]] = []
    refused: list[Refused] = []
    followed: dict[tuple[object, ...], HeatRefusal | None] = {}
    for problem, listing in zip(problems, listings, strict=True):
        _judge_listed(problem, listing, followed, answers, refused)
    return LookAnswer(
        finishes=wanted,
        fabric=cloth.id,
        press=machine.id,
        prefer=prefer,
        answers=tuple(answer for _, answer in sorted(answers, key=lambda entry: entry[0])),
        refused=(*refused, *_refused_alone(tuple(domains.values()))),
        listed=sum(listing.listed for listing in listings),
        complete=all(listing.complete for listing in listings),
    )


def _domains(
    wanted: Sequence[str], fabric: Fabric, knowledge: Knowledge, *, on_shelf_only: bool
) -> dict[str, ProblemPiece]:
    """For each finish the films that give it, on a sample print."""
    size = PieceSize(SAMPLE_PRINT_MM, SAMPLE_PRINT_MM)
    return {
        finish: piece_with_options(
            PrintPiece(finish, None, (size,)),
            Wish(finish=finish),  # type: ignore[arg-type]
            fabrics=[fabric],
            knowledge=knowledge,
            rates=Rates(),
            on_shelf_only=on_shelf_only,
        )
        for finish in wanted
    }


def _judge_listed(
    problem: Problem,
    listing: Listing,
    followed: dict[tuple[object, ...], HeatRefusal | None],
    answers: list[tuple[tuple[object, ...], Answer]],
    refused: list[Refused],
) -> None:
    """Sort the listed ways into answers, each with its place among them, and refusals."""
    known, order = problem.knowledge.catalogue, [piece.id for piece in problem.pieces]
    for found in listing.assessments:
        findings = worst_first(
            (
                *found.findings,
                *stage_findings(problem, found, known),
                *heat_findings(problem, found, known, followed),
            )
        )
        if verdict(findings) == "stop":
            refused.append(_refused(*_in_order(order, found), findings))
        else:
            measured, *names = rank(found, problem.prefer)
            place = (_sample_count(findings), measured[1:], *names)
            answers.append((place, _answer(problem, order, found, findings)))
    refused += _refused_pairs(problem)
    refused += [_unpressable(problem, order, found) for found in listing.unpressable]


def _refused_alone(domains: Sequence[ProblemPiece]) -> list[Refused]:
    """Each film that is refused by itself, whatever lies beside it, or straight on the fabric."""
    anywhere = [
        _refused((refusal.film,), (), refusal.findings)
        for domain in domains
        for refusal in domain.refused
    ]
    return anywhere + _kept_off_fabric(domains)


def _checked(finishes: Sequence[str]) -> tuple[str, ...]:
    wanted = tuple(dict.fromkeys(finish.lower() for finish in finishes))
    for finish in wanted:
        if finish not in FINISHES:
            raise UnknownNameError("finish", finish, FINISHES)
    if not wanted:
        raise BadInputError(f"name a finish, or several: {', '.join(FINISHES)}")
    if len(wanted) > MOST_FINISHES:
        raise BadInputError(
            f"{len(wanted)} finishes at once; a look is judged for at most {MOST_FINISHES}, a "
            "larger design as a job"
        )
    return wanted


def _stacked(
    domains: Sequence[ProblemPiece],
    fabric: Fabric,
    press: Press,
    knowledge: Knowledge,
    *,
    prefer: Prefer,
) -> Problem:
    """A sample print: each piece lies within the one behind it."""
    return Problem(
        print=stack_print(
            [piece.id for piece in domains], fabric=fabric, ways=EVERY_WAY, nested=True
        ),
        pieces=tuple(domains),
        fabrics=(fabric,),
        limits=heat_limits([fabric], press),
        knowledge=knowledge,
        prefer=prefer,
    )


def _neighbours(order: Sequence[str]) -> list[Pair]:
    return [(upper, lower) for lower, upper in pairwise(order)]


def _sample_count(findings: Sequence[Finding]) -> int:
    return sum(finding.severity == "sample" for finding in findings)


def _in_order(order: Sequence[str], found: Assessment) -> tuple[tuple[str, ...], tuple[Meets, ...]]:
    return (
        tuple(found.choice.options[piece].film.id for piece in order),
        tuple(found.choice.meets[pair] for pair in _neighbours(order)),
    )


def _answer(
    problem: Problem, order: Sequence[str], found: Assessment, findings: tuple[Finding, ...]
) -> Answer:
    if found.measures is None or found.grouping is None:
        raise ValueError("only what can be pressed is an answer")
    options = [found.choice.options[piece] for piece in order]
    films, meets = _in_order(order, found)
    return Answer(
        films=films,
        colours=tuple(option.colour.name for option in options),
        finishes=tuple(order),
        meets=meets,
        verdict=verdict(findings),
        finished_together=tuple(
            tuple(found.choice.films[piece].id for piece in stage.finishes)
            for stage in found.stages
        ),
        findings=findings,
        press_order=tuple(
            tuple(found.choice.options[piece].film.id for piece in group)
            for group in found.grouping.groups
        ),
        setpoints_c=tuple(stage.setpoint_c for stage in found.stages),
        dwells_s=tuple(stage.dwell_s for stage in found.stages),
        thickness_um=found.measures.thickness_um,
        minutes=round(found.measures.seconds / 60, 2),
        cost=found.measures.cents / 100,
    )


def _refused_pairs(problem: Problem) -> list[Refused]:
    """Every two neighbouring films, in every way of meeting, that the rules stop."""
    refused = []
    for meeting in problem.meetings:
        if meeting.hidden:
            continue
        uppers, lowers = problem.piece(meeting.upper), problem.piece(meeting.lower)
        for below in lowers.options:
            for above in uppers.options:
                for way in meeting.ways:
                    found = _stops_on_pair(problem, meeting, above.film, below.film, way)
                    if found:
                        refused.append(_refused((below.film.id, above.film.id), (way,), found))
    return refused


def _kept_off_fabric(domains: Sequence[ProblemPiece]) -> list[Refused]:
    """Each film that may not lie on this fabric itself, whatever it may lie on besides."""
    return [
        _refused((option.film.id,), (), stops)
        for domain in domains
        for option in domain.options
        if (stops := tuple(f for f in option.fabric_findings if f.severity == "stop"))
    ]


def _stops_on_pair(
    problem: Problem, meeting: Meeting, upper: Film, lower: Film, way: Meets
) -> tuple[Finding, ...]:
    found = problem.at_joint(meeting, upper, lower, way)
    if way in {"lap", "inset-over"}:
        found += problem.on_film(upper, lower, rim=way != "lap")
    elif way == "inset-under":
        found += problem.on_film(lower, upper, rim=True)
    return tuple(finding for finding in found if finding.severity == "stop")


def _refused(
    films: tuple[str, ...], meets: tuple[Meets, ...], findings: tuple[Finding, ...]
) -> Refused:
    first = worst_first(findings)[0]
    return Refused(
        films=films,
        meets=meets,
        rule=first.rule,
        reason=first.message,
        instead=first.instead,
        findings=findings,
    )


def _unpressable(problem: Problem, order: Sequence[str], found: Assessment) -> Refused:
    return _refused(*_in_order(order, found), (unpressable_finding(problem, found),))
