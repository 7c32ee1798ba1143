"""What Presslore works out: artwork, choice, order, schedule, heat, check and plan.

The everyday questions are functions here, loaded when first asked for:

>>> from advisor import check, look, plan
>>> check(fabric="cotton-jersey-tee", stack=["matte-smooth", "sparkle-coarse"]).verdict
'go'
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from advisor.answers.line_by_line import line_by_line
    from advisor.words.answers import (
        check,
        given_plan,
        jobs_of,
        look,
        order_again,
        plan,
        plan_again,
        plan_order,
        why_failed,
    )

__all__ = [
    "check", "given_plan", "jobs_of", "line_by_line", "look", "order_again", "plan", "plan_again",
    "plan_order", "why_failed",
]  # fmt: skip

_HOME = "advisor.words.answers"
_WITHOUT_SENTENCES = {"line_by_line": "advisor.answers.line_by_line"}


def __getattr__(name: str) -> object:
    """Load a question's module only when it is asked, so that the command line starts at once."""
    if name in __all__:
        return getattr(import_module(_WITHOUT_SENTENCES.get(name, _HOME)), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
