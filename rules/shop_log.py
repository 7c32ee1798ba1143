"""Shop log: the evidence of what became of garments in this shop, weighed against what rules find.

A sample that just these films on this cloth have outlived often enough is a note; what failed is
to be tried again. A stop stays a stop.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from rules.book.outcomes import FAILURES, SOUND, WEIGHED
from rules.book.trials import HOLDS, LIKE, SURE, WASHES, share_that_holds, sound_to_trust
from rules.catalogue import Catalogue
from rules.facts.fabric import Fabric
from rules.facts.film import Film
from rules.facts.finding import Finding, worst_first
from rules.facts.subjects import BondLine, FilmOnFabric, FilmOnFilm, Subject
from rules.facts.text import Text
from rules.facts.trial import Occasion, SeenHere, Setting, Trial

__all__ = ["ShopLog"]

ANYTHING = "anything"
"""What a film lies on, where nobody knows."""

BY_COLOUR = "dye-bleed"
"""The rule whose word hangs on the colours: what kept one clean says nothing of a paler film."""


@dataclass(frozen=True, slots=True)
class _Bond:
    """A bond line as it is asked about: a film on what is under it, on one cloth.

    Attributes:
        below: the film that it lies on; ``None`` for the cloth.
        colour: that it is cut in; ``None`` before one is chosen, when any may be.
        under: the films between that and the cloth, bottom first; ``None`` where they do not count.
        anywhere: nothing is known of what is under it, so that whatever was may be.
    """

    film: Film
    below: Film | None
    under: tuple[str, ...] | None
    fabric: Fabric
    colour: str | None = None
    anywhere: bool = False

    @property
    def below_id(self) -> str:
        return self.fabric.make if self.below is None else self.below.id


@dataclass(frozen=True, slots=True)
class _Counted:
    """What speaks for and against a bond line: each trial with what one of its garments counts."""

    sound: tuple[tuple[Trial, float], ...]
    failed: tuple[tuple[Trial, float], ...]

    @property
    def sums(self) -> tuple[float, float]:
        """Sound and failed garments, those of like stacks for less."""
        sound, failed = (
            sum(trial.garments * weight for trial, weight in some)
            for some in (self.sound, self.failed)
        )
        return sound, failed

    def own(self, *, failed: bool) -> int:
        """Garments of just this, sound or failed."""
        some = self.failed if failed else self.sound
        return sum(trial.garments for trial, weight in some if weight == 1)

    @property
    def enough(self) -> bool:
        """Whether as many are sure to hold as must be."""
        sound, failed = self.sums
        return share_that_holds(sound, sound + failed) >= HOLDS


@dataclass(frozen=True)
class ShopLog:
    """All that a shop has logged, as evidence.

    Attributes:
        catalogue: what the films, cloths and presses of the log are.
    """

    trials: tuple[Trial, ...]
    catalogue: Catalogue

    def weigh(
        self, subject: Subject, findings: tuple[Finding, ...], at: Occasion
    ) -> tuple[Finding, ...]:
        """The findings on a film's bond line as the trials of it leave them."""
        weighed = [
            finding
            for line in self._lines(subject, at.fabrics)
            for finding in self._weighed(line, subject, findings, at)
        ]
        return worst_first(weighed) if weighed else findings

    def tried(self, films: Sequence[str], fabric: Fabric, at: Occasion) -> SeenHere | None:
        """What the trials say of a film on those under it, by their ids and bottom first."""
        *under, film = (self.catalogue.film(one) for one in films)
        below = under[-1] if under else None
        line = _Bond(film, below, tuple(one.id for one in under[:-1]), fabric)
        counted = self._counted(line, at)
        own, failed = counted.own(failed=False), counted.own(failed=True)
        if not counted.sound and not counted.failed:
            return None
        all_sound, all_failed = counted.sums
        return SeenHere(
            films=tuple(films),
            trials=own + failed,
            sound=own,
            washes=_washes(counted),
            like=round(all_sound + all_failed - own - failed, 2),
            at_least=share_that_holds(all_sound, all_sound + all_failed),
            confidence=SURE,
            sound_to_go=sound_to_trust(all_sound, all_failed),
        )

    def _lines(self, subject: Subject, fabrics: Iterable[Fabric]) -> Iterator[_Bond]:
        if isinstance(subject, FilmOnFabric):
            colour = subject.colour.srgb if subject.colour else None
            over = None if subject.touches else subject.over
            yield _Bond(
                subject.film,
                over[-1] if over else None,
                None if over is None else tuple(one.id for one in over[:-1]),
                subject.fabric,
                colour,
                anywhere=over == (),
            )
        elif isinstance(subject, FilmOnFilm):
            for fabric in fabrics:
                colour = subject.upper_colour.srgb if subject.upper_colour else None
                yield _Bond(subject.upper, subject.lower, None, fabric, colour)
        elif isinstance(subject, BondLine):
            for fabric in fabrics:
                below = self.catalogue.films.get(subject.below)
                yield _Bond(subject.film, below, None, fabric)

    def _weighed(
        self, line: _Bond, subject: Subject, findings: tuple[Finding, ...], at: Occasion
    ) -> Iterator[Finding]:
        """The findings on one bond line, and what has failed there and no rule spoke of."""
        of_it = self._trials_of(line)
        if at.press is None or not of_it:
            yield from findings
            return
        failed = {trial.outcome for trial, own in of_it if own} - {SOUND}
        for finding in findings:
            yield self._judged(finding, line, at)
        if line.anywhere or isinstance(subject, BondLine):
            return
        if isinstance(subject, FilmOnFabric) and not subject.touches:
            return  # It is the film under it that it lifts from: that is asked apart.
        told = {finding.rule for finding in findings}
        for outcome, failure in FAILURES.items():
            if outcome not in failed or not told.isdisjoint(failure.rules):
                continue
            name = failure.on_fabric if line.below is None else failure.on_film
            counted = self._counted(line, at, name)
            fell = sum(t.garments for t, weight in counted.failed
                       if weight == 1 and t.outcome == outcome)  # fmt: skip
            if fell and not counted.enough:
                yield Finding(
                    rule=name,
                    severity="sample",
                    where=Text(subject.where),
                    message=Text(f"{line.film.id} on {line.below_id}: here {failure.told} before"),
                    why=Text("What failed in this shop may fail again."),
                    instead=Text("take another film there, or press a sample set otherwise"),
                    basis="shop",
                    seen=Text(_told(counted)),
                )

    def _judged(self, finding: Finding, line: _Bond, at: Occasion) -> Finding:
        """One finding as the trials that bear on its rule leave it."""
        if finding.severity == "stop" or finding.rule not in WEIGHED:
            return finding
        counted = self._counted(line, at, finding.rule)
        if not counted.sound and not counted.failed:
            return finding
        severity = finding.severity
        if counted.enough:
            severity = "note"
        elif counted.own(failed=True):
            severity = "sample"
        if line.anywhere or (severity == finding.severity == "note"):
            return finding.model_copy(update={"severity": severity})
        basis = finding.basis if severity == finding.severity else "shop"
        seen = Text(_told(counted))
        return finding.model_copy(update={"severity": severity, "seen": seen, "basis": basis})

    def _counted(self, line: _Bond, at: Occasion, rule: str | None = None) -> _Counted:
        """What counts for and against a rule's word on a bond line; without a rule, of them all."""
        setting = None if at.settings is None else at.settings.get(line.film.id)
        sound, failed = [], []
        for trial, own in self._trials_of(line):
            if trial.outcome != SOUND:
                failure = FAILURES.get(trial.outcome)
                speaks = failure is not None and (rule is None or rule in failure.rules)
                if speaks and not line.anywhere:
                    same = own and at.press is not None and trial.press == at.press.id
                    failed.append((trial, 1.0 if same else LIKE))
                continue
            weight = self._of_sound(trial, line, own=own, at=at, setting=setting)
            if rule == BY_COLOUR and not _same_colours(trial, line):
                weight = 0.0
            if weight:
                sound.append((trial, weight))
        return _Counted(tuple(sound), tuple(failed))

    def _of_sound(
        self, trial: Trial, line: _Bond, *, own: bool, at: Occasion, setting: Setting | None
    ) -> float:
        """What a garment that held counts: nothing if it was pressed elsewhere, or was spared."""
        if at.press is None or trial.press != at.press.id or trial.washes < WASHES:
            return 0.0
        if setting is not None and trial.setting is not None:
            hotter = setting.setpoint_c > trial.setting.setpoint_c
            if hotter or setting.dwell_s > trial.setting.dwell_s:
                return 0.0
            own = own and setting == trial.setting
        if not own and not self._as_thick(trial, line):
            return 0.0
        return 1.0 if own and trial.setting is not None else LIKE

    def _trials_of(self, line: _Bond) -> Sequence[tuple[Trial, bool]]:
        """The trials of a bond line, or of one that is like it, and whether they are its own."""
        key = (line.film.id, line.below_id, line.under, line.fabric.id, line.anywhere)
        if key not in self._looked_up:
            below = ANYTHING if line.anywhere else None if line.below is None else line.below.family
            alike = self._by_families.get((line.film.family, below), ())
            owned = ((trial, self._is_own(trial, line)) for trial in alike)
            self._looked_up[key] = [
                (trial, own) for trial, own in owned if own or self._is_like(trial, line)
            ]
        return self._looked_up[key]

    @cached_property
    def _looked_up(self) -> dict[tuple[object, ...], Sequence[tuple[Trial, bool]]]:
        """What was asked for so far, since every plan that is weighed asks for the same."""
        return {}

    @cached_property
    def _by_families(self) -> Mapping[tuple[str, str | None], Sequence[Trial]]:
        """The trials by the families of the film and of what it lies on; ``None`` is the cloth."""
        films, fabrics = self.catalogue.films, self.catalogue.fabrics
        found: dict[tuple[str, str | None], list[Trial]] = defaultdict(list)
        for trial in self.trials:
            if trial.film not in films:
                continue
            family = films[trial.film].family
            if trial.below in films or trial.below in fabrics:
                below = films[trial.below].family if trial.below in films else None
                found[family, below].append(trial)
                found[family, ANYTHING].append(trial)
        return found

    def _is_own(self, trial: Trial, line: _Bond) -> bool:
        """Whether it is a trial of the very films on the very cloth."""
        if trial.film != line.film.id or trial.cloth != line.fabric.make:
            return False
        return line.anywhere or (trial.below == line.below_id and line.under in {None, trial.under})

    def _is_like(self, trial: Trial, line: _Bond) -> bool:
        """Whether it is one of the same families in the same order on a cloth that is like it."""
        cloth = self.catalogue.fabrics.get(trial.cloth)
        if cloth is None or cloth.dye_class != line.fabric.dye_class:
            return False
        if cloth.main_fibre.id != line.fabric.main_fibre.id:
            return False
        return not line.under or [self._family(one) for one in line.under] == [
            self._family(one) for one in trial.under or ()
        ]

    def _family(self, film: str) -> str:
        known = self.catalogue.films.get(film)
        return film if known is None else known.family

    def _as_thick(self, trial: Trial, line: _Bond) -> bool:
        """Whether what was tried was at least as thick as what is asked about."""
        films = self.catalogue.films
        pairs = [(line.film, films[trial.film])]
        if line.below is not None:
            pairs.append((line.below, films[trial.below]))
        return all(asked.thickness_um <= tried.thickness_um for asked, tried in pairs)


def _same_colours(trial: Trial, line: _Bond) -> bool:
    if line.anywhere:
        return True
    as_cut = line.colour is None or line.colour == trial.film_colour
    return as_cut and trial.cloth_colour == line.fabric.colour.srgb


def _washes(counted: _Counted) -> int:
    """How often the least washed of those that held was washed."""
    return min((trial.washes for trial, _ in counted.sound), default=0)


def _told(counted: _Counted) -> str:
    """What the trials say, as a sentence beside the rule's own reason."""
    own, fell = counted.own(failed=False), counted.own(failed=True)
    sound, failed = counted.sums
    like = sum(t.garments for some in (counted.sound, counted.failed) for t, w in some if w < 1)
    after = f" after {_washes(counted)} washes" if counted.sound else ""
    said = []
    if own + fell:
        times = "once" if own + fell == 1 else f"{own + fell} times"
        held = "all sound" if not fell else f"{own} sound" if own else "none sound"
        said.append(f"Pressed {times} here, {held}{after}")
    if like:
        garments = "garment" if like == 1 else "garments"
        counts = f"for {sound + failed - own - fell:g}"
        said.append(f"{like} {garments} of like stacks or settings count {counts}")
    share, more = share_that_holds(sound, sound + failed), sound_to_trust(sound, failed)
    promise = f": at least {share:.2f} of them last, at {SURE * 100:.0f} %" if sound else ""
    wanted = f"{more} more that {'holds lifts' if more == 1 else 'hold lift'} the sample"
    return f"{'; '.join(said)}{promise}; {wanted if more else 'no sample is asked for'}."
