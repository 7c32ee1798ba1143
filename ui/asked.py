"""Asked: answers that depend on the shelf alone, remembered by what was asked."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from advisor.answers.check import CheckReport, check
from advisor.answers.look import LookAnswer, look
from advisor.job.records.job import Prefer
from rules.facts.step import Step
from ui.session import catalogue

__all__ = ["LookQuestion", "ask_check", "ask_look"]


@dataclass(frozen=True, slots=True)
class LookQuestion:
    """What *What can give this look?* asks; as it stands, the question that it opens with."""

    finishes: tuple[str, ...] = ("matte", "sparkle")
    fabric: str = "adult-tee"
    press: str = "clamshell-38x38"
    prefer: Prefer = "durable"
    on_shelf_only: bool = False


@lru_cache(maxsize=64)
def ask_look(question: LookQuestion) -> LookAnswer:
    """Every way to give a look; see :func:`advisor.answers.look.look`."""
    return look(
        *question.finishes,
        fabric=question.fabric,
        press=question.press,
        prefer=question.prefer,
        on_shelf_only=question.on_shelf_only,
        catalogue=catalogue(),
    )


@lru_cache(maxsize=512)
def ask_check(
    stack: tuple[str, ...], *, fabric: str, press: str, steps: tuple[Step, ...] | None = None
) -> CheckReport:
    """A verdict on a stack; see :func:`advisor.answers.check.check`."""
    return check(fabric=fabric, stack=stack, steps=steps, press=press, catalogue=catalogue())
