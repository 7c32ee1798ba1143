"""Rule fibre-bond: most of the fabric's fibres must be ones that the film bonds to."""

from rules.book.film_on_fabric.instead import SAFE_SHARE_PCT, take_instead
from rules.book.rule import Found, Rule
from rules.facts.subjects import FilmOnFabric

__all__ = ["RULE"]

MADE_FOR_IT = "a film made for the fabric's fibres"
SAMPLE = "press a sample and wash it"


def _finds(pair: FilmOnFabric) -> Found | None:
    if not pair.touches:
        return None
    film, fabric = pair.film, pair.fabric
    share_pct = fabric.face_share_pct(film.bonds_to)
    if share_pct >= SAFE_SHARE_PCT:
        return None
    foreign = [share for share in fabric.on_face if share.fibre.id not in film.bonds_to]
    shares = ", ".join(f"{share.pct:g} % {share.fibre.name}" for share in foreign)
    return Found(
        f"{film.id} does not name {shares} of {fabric.id} among the fibres that it bonds to",
        instead=lambda: take_instead(
            pair,
            MADE_FOR_IT,
            SAMPLE,
            lambda other: fabric.face_share_pct(other.bonds_to) >= SAFE_SHARE_PCT,
        ),
    )


RULE = Rule(
    id="fibre-bond",
    judges="film_on_fabric",
    severity="sample",
    summary="The film names most of the fabric's fibres among those that it bonds to.",
    why="An adhesive wets some fibres and not others. What a film does not name often holds all "
    "the same; where it does not, the film lifts at its edges in the first washes.",
    instead=f"take {MADE_FOR_IT}, or {SAMPLE}",
    basis="practice",
    source="common practice, no source; the fibres that the film's own entry lists",
    good={"film": "matte-smooth", "fabric": "cotton-jersey-tee"},
    bad={"film": {"like": "matte-smooth", "bonds_to": ["polyester"]}, "fabric": "denim"},
    finds=_finds,
)
