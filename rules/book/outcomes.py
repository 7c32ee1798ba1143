"""Outcomes: what may become of a bond line, and which rules each failure speaks for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

__all__ = ["FAILURES", "OUTCOMES", "SOUND", "WEIGHED", "Failure"]

SOUND = "sound"


@dataclass(frozen=True, slots=True)
class Failure:
    """One way in which a bond line fails. Which rules it speaks for: common practice, no source.

    Attributes:
        told: what has become of it.
        on_fabric, on_film: the rule in whose name a sample is asked for, where no rule has said
            anything of it yet: of a film on the cloth, and of one on another film.
        others: what else it speaks for.
    """

    told: str
    on_fabric: str
    on_film: str
    others: tuple[str, ...] = ()

    @property
    def rules(self) -> tuple[str, ...]:
        """All that it speaks for."""
        return (self.on_fabric, self.on_film, *self.others)


FAILURES: Mapping[str, Failure] = MappingProxyType({
    "edge-lift": Failure(
        "an edge has lifted", "fibre-bond", "top-surface",
        ("coated-fabric", "sealed-face", "texture-only-on-top", "bond-line-heat"),
    ),
    "crack": Failure("the film has cracked", "stretch-match", "overlay-stretch"),
    "fade": Failure("its colour has faded", "wash-limit", "wash-limit"),
    "bleed": Failure("the fabric's dye has come through", "dye-bleed", "dye-bleed"),
    "mark": Failure(
        "the press or a carrier has left its mark", "platen-shine", "carrier-line",
        ("flake-transfer", "texture-only-on-top"),
    ),
    "scorch": Failure("fabric or film is scorched", "fabric-heat-limit", "heat-order"),
    "wrinkle": Failure("the film has wrinkled", "registration-shrink", "heat-order"),
    "shrink": Failure(
        "the film has drawn in", "registration-shrink", "registration-shrink", ("stretch-match",)
    ),
    "bubble": Failure(
        "the film has bubbles", "preheat-dry", "top-surface", ("fibre-bond", "bond-line-heat")
    ),
})  # fmt: skip

OUTCOMES: Mapping[str, str] = MappingProxyType(
    {SOUND: "holds and looks as it did"} | {name: one.told for name, one in FAILURES.items()}
)
"""What may become of a bond line, as it is typed and as it is told."""

WEIGHED = frozenset(rule for failure in FAILURES.values() for rule in failure.rules)
"""The rules that the sound speak against. What a rule says of looks, of the hand, of joints, of
how it is pressed, or of safety, no wash test can lift."""
