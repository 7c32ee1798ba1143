"""Knowledge: the rules, the catalogue and the shop's evidence, handed on together."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Protocol

from rules.alike import AskedOnce, Pairs, severities_of_pairs
from rules.catalogue import Catalogue, load_catalogue
from rules.facts.fabric import Fabric
from rules.facts.film import Film
from rules.facts.finding import Finding
from rules.facts.press import Press
from rules.facts.subjects import FilmOnFilm, Joint, Subject
from rules.facts.trial import NOWHERE, Occasion, SeenHere, Setting
from rules.rulebook import Rulebook, rulebook
from rules.shop_log import ShopLog

__all__ = ["Evidence", "Knowledge", "load_knowledge"]


class Evidence(Protocol):
    """What a shop has seen for itself, as one thing that has a say in every judgement."""

    def weigh(
        self, subject: Subject, findings: tuple[Finding, ...], at: Occasion
    ) -> tuple[Finding, ...]:
        """The findings of the rules on ``subject``, pressed so, as this evidence leaves them.

        It may add a finding, make one more or less serious, or take one away.
        """
        ...


@dataclass(frozen=True)
class Knowledge:
    """All that a judgement rests on; whoever judges is handed it as one argument.

    Attributes:
        evidence: weighed one after the other, each on what the one before left.
        at: where and how it is pressed, for the evidence; the rules are told by what they judge.
    """

    rules: Rulebook
    catalogue: Catalogue
    evidence: tuple[Evidence, ...] = ()
    at: Occasion = NOWHERE

    def pressed_at(
        self,
        press: Press,
        *fabrics: Fabric,
        settings: Mapping[str, Setting] | None = None,
    ) -> Knowledge:
        """The same for whoever judges what is pressed there; see `rules.facts.trial.Occasion`."""
        if not self.evidence:
            return self
        return replace(self, at=Occasion(press, fabrics, settings))

    def tried(self, films: Sequence[str], fabric: Fabric) -> SeenHere | None:
        """What the shop's log says of a film on those under it, by their ids and bottom first."""
        logs = (one for one in self.evidence if isinstance(one, ShopLog))
        return next((log.tried(films, fabric, self.at) for log in logs), None)

    def judge(self, *subjects: Subject) -> tuple[Finding, ...]:
        """What rules and evidence find on these things, in the order of the things.

        >>> from rules.facts.subjects import FilmOnFilm
        >>> known = load_knowledge()
        >>> film = known.catalogue.film
        >>> [f.rule for f in known.judge(FilmOnFilm(film("matte-smooth"), film("sparkle-coarse")))]
        ['top-surface', ...]
        """
        if not self.evidence:
            return self.rules.judge(*subjects)
        findings: list[Finding] = []
        for subject in subjects:
            of_one = self.rules.judge(subject)
            for evidence in self.evidence:
                of_one = evidence.weigh(subject, of_one, self.at)
            findings += of_one
        return tuple(findings)

    def severities_of_pairs(
        self,
        above: Sequence[Film],
        below: Sequence[Film],
        subject: Callable[[Film, Film], FilmOnFilm | Joint],
        *,
        asked: AskedOnce,
        same: Hashable = None,
    ) -> Pairs:
        """`rules.alike.severities_of_pairs`, by every rule and as the evidence leaves it."""
        if above and below and not self.evidence:
            rules = self.rules.on(type(subject(above[0], below[0])))
            return severities_of_pairs(rules, above, below, subject, asked=asked, same=same)
        found: Pairs = {}
        for i, upper in enumerate(above):
            for j, lower in enumerate(below):
                for finding in self.judge(subject(upper, lower)):
                    if finding.severity != "note":
                        found.setdefault((finding.rule, finding.severity), []).append((i, j))
        return found

    def said_by(self, rule: str, subject: Subject) -> tuple[tuple[str, str, str], ...]:
        """What findings of one rule, or of evidence by that name, say on a thing."""
        if not self.evidence:
            finding = self.rules.by_id[rule].judge(subject)
            return (finding.said,) if finding is not None else ()
        return tuple(one.said for one in self.judge(subject) if one.rule == rule)


def load_knowledge(*shop_folders: Path) -> Knowledge:
    """The rules and the catalogue that ship, with each shop folder's entries laid over them.

    Raises:
        BadInputError: a folder or file cannot be read, or an entry is wrong.

    >>> "top-surface" in load_knowledge().rules.by_id
    True
    """
    return Knowledge(rulebook(), load_catalogue(*shop_folders))
