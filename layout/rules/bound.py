"""Rule 10: the lower bound is true. It can only be held against passes that are known to do."""

from __future__ import annotations

from layout.model.plan import Plan
from layout.rules.book import Book
from layout.rules.finding import Finding


def bound(book: Book, plan: Plan) -> list[Finding]:
    """Find a lower bound above a number of passes that do: the plan's own where it is complete, or a known one."""
    own = plan.passes if plan.status == "complete" else None
    told = ((own, "this plan does with"), (book.project.known_passes, "a known plan does with"))
    return [
        _above(plan.lower_bound, passes, words)
        for passes, words in told
        if passes is not None and plan.lower_bound > passes
    ]


def _above(lower_bound: int, passes: int, words: str) -> Finding:
    what = f"fewer than {lower_bound} passes are said to be impossible, but {words} {passes}"
    return Finding("bound", "plan", what, lower_bound, passes)
