"""Rule childrens-wear: what children and infants wear has laws of its own."""

from rules.book.rule import Found, Rule
from rules.book.schedule.sample_steps import full
from rules.facts.subjects import Pressing

__all__ = ["RULE"]

_LAWS = (
    "in the US lead (CPSIA § 101(a)(2)(C), 100 ppm), phthalates (16 CFR 1307) and small parts "
    "(16 CFR 1501), in the EU REACH entry 51, and for toys EN 71-3"
)


def _finds(job: Pressing) -> Found | None:
    if job.wearer not in {"child", "infant"}:
        return None
    where = f"worn by a{'n' if job.wearer == 'infant' else ''} {job.wearer}"
    loose = [f.id for f in job.films if f.sheds or f.family in {"sparkle", "flock"}]
    if job.wearer == "infant" and loose:
        return Found(
            f"flakes or fibres of {', '.join(dict.fromkeys(loose))} can come off and be swallowed; "
            f"{_LAWS} may apply",
            where,
            instead="take smooth films for infants, or have the finished garment tested by an "
            "accredited laboratory",
        )
    return Found(f"{_LAWS} may apply", where, severity="note")


RULE = Rule(
    id="childrens-wear",
    judges="safety",
    severity="sample",
    summary="Films for children and infants come with their maker's declarations, and nothing on "
    "them comes loose.",
    why="Children mouth what they wear; limits on lead, phthalates and small parts are stricter "
    "for them, and this advice cannot tell whether a garment meets them.",
    instead="ask for the film's test reports, and defer to local law and an accredited laboratory",
    basis="standard",
    source="CPSIA § 101(a)(2)(C), 100 ppm lead; 16 CFR 1307 (from memory); 16 CFR 1501; Regulation "
    "(EU) 2018/2005, REACH annex XVII entry 51; EN 71-3, which is for toys",
    good={"films": ["sparkle-coarse"], "steps": [full("base")]},
    bad={"films": ["sparkle-coarse"], "wearer": "infant", "steps": [full("base")]},
    finds=_finds,
)
