"""Asked: what the rulebook says of the films of a problem, each thing asked once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import product
from typing import TYPE_CHECKING, Any

from advisor.job.records.print import Meeting, Pair, PieceSize, Print
from advisor.layering.joint_width import joints_to_judge, shrink_mm, width_drawn_in
from advisor.layering.judged import seen_at
from rules.alike import AskedOnce, Pairs
from rules.facts.fabric import Fabric
from rules.facts.film import Film
from rules.facts.finding import Finding, Severity, distinct
from rules.facts.step import Meets
from rules.facts.subjects import FilmOnFilm, Joint, SeenAgainst, Stack
from rules.knowledge import Knowledge

if TYPE_CHECKING:
    from advisor.layering.records.problem import Option, ProblemPiece

__all__ = ["AskedRules", "RuleAnswers", "Said"]

Said = tuple[str, str, str]
"""What a finding says: its rule, its place and its message."""


@dataclass(slots=True)
class RuleAnswers:
    """What the rulebook has said so far on the films of a problem, so that it is asked once.

    What is said of two films holds on every print; what is said of a joint or a stack, on prints
    of the same sizes and fabrics.
    """

    on_film: dict[tuple[str, str, bool], tuple[Finding, ...]] = field(default_factory=dict)
    film_pairs: dict[tuple[object, ...], Pairs] = field(default_factory=dict)
    said: dict[tuple[str, str, str, bool], tuple[Said, ...]] = field(default_factory=dict)
    asked: AskedOnce = field(default_factory=dict)
    at_joint: dict[tuple[Pair, str, str, str], tuple[Finding, ...]] = field(default_factory=dict)
    joint_pairs: dict[tuple[object, ...], Pairs] = field(default_factory=dict)
    seen: dict[tuple[Pair, str, str], tuple[Finding, ...]] = field(default_factory=dict)
    seen_pairs: dict[tuple[object, ...], Pairs] = field(default_factory=dict)
    in_stack: dict[tuple[str, ...], tuple[Finding, ...]] = field(default_factory=dict)
    stack_limits: dict[tuple[object, ...], Any] = field(default_factory=dict)
    as_cut: dict[object, Mapping[str, tuple[PieceSize, ...]]] = field(default_factory=dict)

    def on_another_print(self) -> RuleAnswers:
        """What holds on prints of other sizes and fabrics too."""
        return RuleAnswers(self.on_film, self.film_pairs, self.said, self.asked)


class AskedRules:
    """What the rules say of the films, joints and stacks of a print."""

    print: Print
    pieces: tuple[ProblemPiece, ...]
    fabrics: tuple[Fabric, ...]
    knowledge: Knowledge
    rule_answers: RuleAnswers

    @cached_property
    def _sizes(self) -> dict[str, tuple[PieceSize, ...]]:
        return {piece.id: piece.sizes for piece in self.pieces}

    def on_film(self, upper: Film, lower: Film, *, rim: bool) -> tuple[Finding, ...]:
        """What the rules say of one film pressed onto another."""
        key = (upper.id, lower.id, rim)
        if key not in self.rule_answers.on_film:
            self.rule_answers.on_film[key] = self.knowledge.judge(FilmOnFilm(upper, lower, rim))
        return self.rule_answers.on_film[key]

    def on_film_pairs(self, above: Sequence[Film], below: Sequence[Film], *, rim: bool) -> Pairs:
        """Which of some films pressed onto which others draw a stop or a sample."""
        key = (_ids(above), _ids(below), rim)
        if key not in self.rule_answers.film_pairs:
            self.rule_answers.film_pairs[key] = self.knowledge.severities_of_pairs(
                above,
                below,
                lambda upper, lower: FilmOnFilm(upper, lower, rim),
                asked=self.rule_answers.asked,
                same=rim,
            )
        return self.rule_answers.film_pairs[key]

    def said_on_film(self, rule: str, upper: Film, lower: Film, *, rim: bool) -> tuple[Said, ...]:
        """What a rule's findings on one film pressed onto another say."""
        key = (rule, upper.id, lower.id, rim)
        if key not in self.rule_answers.said:
            found = self.knowledge.said_by(rule, FilmOnFilm(upper, lower, rim))
            self.rule_answers.said[key] = found
        return self.rule_answers.said[key]

    def at_joint(
        self, meeting: Meeting, upper: Film, lower: Film, way: Meets
    ) -> tuple[Finding, ...]:
        """What the rules say of two pieces meeting in that way, at every size of the job."""
        key = (meeting.pair, upper.id, lower.id, way)
        if key not in self.rule_answers.at_joint:
            drawn_in = max(*self._drawn_in(meeting, [upper]), *self._drawn_in(meeting, [lower]))
            joints = self._joints(meeting, upper, lower, way, drawn_in)
            self.rule_answers.at_joint[key] = self.knowledge.judge(*joints)
        return self.rule_answers.at_joint[key]

    def at_joint_pairs(
        self, meeting: Meeting, above: Sequence[Film], below: Sequence[Film], way: Meets
    ) -> Pairs:
        """Which films of two pieces draw a stop or a sample where they meet in that way.

        Films make a joint wider by how far they draw in, and by nothing else.
        """
        key = (meeting.pair, way, _ids(above), _ids(below))
        if key not in self.rule_answers.joint_pairs:
            found: dict[tuple[str, Severity], dict[tuple[int, int], None]] = {}
            uppers, lowers = self._drawn_in(meeting, above), self._drawn_in(meeting, below)
            for (one_mm, us), (other_mm, ls) in product(uppers.items(), lowers.items()):
                over, under = [above[i] for i in us], [below[j] for j in ls]
                for joint in self._joints(meeting, over[0], under[0], way, max(one_mm, other_mm)):
                    for drawn, pairs in self._joint_pairs(joint, over, under).items():
                        of_films = ((us[i], ls[j]) for i, j in pairs)
                        found.setdefault(drawn, {}).update(dict.fromkeys(of_films))
            self.rule_answers.joint_pairs[key] = {d: list(pairs) for d, pairs in found.items()}
        return self.rule_answers.joint_pairs[key]

    def _joint_pairs(self, joint: Joint, above: Sequence[Film], below: Sequence[Film]) -> Pairs:
        wide = (joint.trap_mm, joint.gap_mm, joint.shift_mm, joint.shrink_mm, joint.narrowest_mm)
        drawn = (joint.meets, *wide, joint.rim_mm)
        return self.knowledge.severities_of_pairs(
            above,
            below,
            lambda upper, lower: replace(joint, upper=upper, lower=lower),
            asked=self.rule_answers.asked,
            same=drawn,
        )

    def _drawn_in(self, meeting: Meeting, films: Sequence[Film]) -> dict[float, list[int]]:
        """The films of a piece by how far they draw in at the joint, mm."""
        sizes = (*self._sizes[meeting.upper], *self._sizes[meeting.lower])
        extent_mm = max(size.extent_mm for size in sizes)
        found: dict[float, list[int]] = {}
        for i, film in enumerate(films):
            found.setdefault(shrink_mm(film, extent_mm), []).append(i)
        return found

    def said_at_joint(
        self, rule: str, meeting: Meeting, upper: Film, lower: Film, way: Meets
    ) -> tuple[Said, ...]:
        """What a rule's findings on two pieces meeting in that way say."""
        found = self.at_joint(meeting, upper, lower, way)
        return tuple(finding.said for finding in found if finding.rule == rule)

    def _joints(
        self, meeting: Meeting, upper: Film, lower: Film, way: Meets, drawn_in: float
    ) -> tuple[Joint, ...]:
        return joints_to_judge(
            upper,
            lower,
            way,
            width_drawn_in(drawn_in, way, registration_mm=self.print.registration_mm),
            upper_sizes=self._sizes[meeting.upper],
            rims_mm=meeting.rims_mm,
            registration_mm=self.print.registration_mm,
            pieces=meeting.pair,
        )

    @cached_property
    def drawn(self) -> tuple[Finding, ...]:
        """What the rules say of what is drawn and no film shows as it is drawn."""
        return distinct(self.knowledge.judge(*self.print.set_aside))

    def seen(self, meeting: Meeting, upper: Option, lower: Option) -> tuple[Finding, ...]:
        """What the rules say of how two options look side by side."""
        key = (meeting.pair, upper.name, lower.name)
        if key not in self.rule_answers.seen:
            looks = [(option.film, option.colour) for option in (upper, lower)]
            self.rule_answers.seen[key] = self.knowledge.judge(
                *seen_at(self.print, meeting, looks[0], looks[1])
            )
        return self.rule_answers.seen[key]

    def seen_pairs(
        self, meeting: Meeting, above: Sequence[Option], below: Sequence[Option]
    ) -> Pairs:
        """Which options of two pieces draw a stop or a sample by how they look side by side.

        The eye tells options apart by finish and colour; evidence may tell films apart.
        """
        names = (tuple(one.name for one in options) for options in (above, below))
        key = (meeting.pair, *names)
        if key not in self.rule_answers.seen_pairs:
            found: dict[tuple[str, Severity], list[tuple[int, int]]] = {}
            for us, ls in product(self._looks(above), self._looks(below)):
                for drawn in self._severities_seen(meeting, above[us[0]], below[ls[0]]):
                    found.setdefault(drawn, []).extend(product(us, ls))
            self.rule_answers.seen_pairs[key] = found
        return self.rule_answers.seen_pairs[key]

    def _severities_seen(
        self, meeting: Meeting, upper: Option, lower: Option
    ) -> Iterator[tuple[str, Severity]]:
        """What is more than a note of how two options look side by side, by rule."""
        if self.knowledge.evidence:
            for finding in self.seen(meeting, upper, lower):
                if finding.severity != "note":
                    yield finding.rule, finding.severity
            return
        looks = ((option.film, option.colour) for option in (upper, lower))
        for subject in seen_at(self.print, meeting, *looks):
            for rule in self.knowledge.rules.on(SeenAgainst):
                severity = rule.severity_on(subject)
                if severity in {"stop", "sample"}:
                    yield rule.id, severity

    def _looks(self, options: Sequence[Option]) -> list[list[int]]:
        alike: dict[tuple[object, ...], list[int]] = {}
        for i, option in enumerate(options):
            film = (option.film.finishes, option.film.id if self.knowledge.evidence else "")
            alike.setdefault((*film, option.colour.srgb), []).append(i)
        return list(alike.values())

    def said_of_seen(
        self, rule: str, meeting: Meeting, upper: Option, lower: Option
    ) -> tuple[Said, ...]:
        """What a rule's findings on how two options look side by side say."""
        found = self.seen(meeting, upper, lower)
        return tuple(finding.said for finding in found if finding.rule == rule)

    def in_stack(self, films: tuple[Film, ...]) -> tuple[Finding, ...]:
        """What the rules say of these films over one another, bottom first."""
        key = tuple(film.id for film in films)
        if key not in self.rule_answers.in_stack:
            stacks = [Stack(fabric, films) for fabric in self.fabrics]
            self.rule_answers.in_stack[key] = distinct(self.knowledge.judge(*stacks))
        return self.rule_answers.in_stack[key]


def _ids(films: Sequence[Film]) -> tuple[str, ...]:
    return tuple(film.id for film in films)
