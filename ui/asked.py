"""Asked: answers that depend on the shelf that ships alone, remembered by what was asked."""

from __future__ import annotations

from functools import lru_cache

from advisor.checker import CheckReport, check
from advisor.job import Prefer
from advisor.looks import LookAnswer, look
from rules.facts.step import Step
from ui.session import catalogue

__all__ = ["ask_check", "ask_look"]


@lru_cache(maxsize=64)
def ask_look(
    finishes: tuple[str, ...], *, fabric: str, press: str, prefer: Prefer, on_shelf_only: bool
) -> LookAnswer:
    """Every way to give a look; see :func:`advisor.looks.look`."""
    return look(
        *finishes,
        fabric=fabric,
        press=press,
        prefer=prefer,
        on_shelf_only=on_shelf_only,
        catalogue=catalogue(),
    )


@lru_cache(maxsize=512)
def ask_check(
    stack: tuple[str, ...], *, fabric: str, press: str, steps: tuple[Step, ...] | None = None
) -> CheckReport:
    """A verdict on a stack; see :func:`advisor.checker.check`."""
    return check(fabric=fabric, stack=stack, steps=steps, press=press, catalogue=catalogue())
