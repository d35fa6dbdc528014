"""Rule 9: pieces made, spares and unplaced add up to what is due; nothing is made twice, nothing is missing unsaid."""

from __future__ import annotations

from collections import Counter

from layout.model.plan import Plan
from layout.model.project import Wanted
from layout.rules import words
from layout.rules.book import Book
from layout.rules.finding import Finding


def sums(book: Book, plan: Plan) -> list[Finding]:
    """Find pieces that are too many, too few, or missing without a reason."""
    made, told = plan.made, Counter[str]()
    for entry in plan.unplaced:
        told[entry.wanted] += entry.count
    found = [_sum(book, wanted, made[wanted.id], told[wanted.id]) for wanted in book.project.wanted]
    return [f for f in found if f is not None] + _without_reason(book, plan)


def _sum(book: Book, wanted: Wanted, made: int, told: int) -> Finding | None:
    due, name = book.project.due(wanted), book.wanted_name(wanted.id)
    if made > due and not wanted.more_is_fine:
        what = f"{name}: {words.pieces(made)} made, {due} due"
        return Finding("sums", "plan", what, made, due, (wanted.id,))
    missing = max(0, due - made)
    if missing == told:
        return None
    what = f"{name}: {words.pieces(missing)} missing, the plan names {told} as not placed"
    return Finding("sums", "plan", what, told, missing, (wanted.id,))


def _without_reason(book: Book, plan: Plan) -> list[Finding]:
    return [
        Finding(
            "sums", "plan", f"{book.wanted_name(entry.wanted)} is not placed, without a reason", things=(entry.wanted,)
        )
        for entry in plan.unplaced
        if not entry.reason
    ]
