"""What is said of a project's wanted list: whether it fits now, what is short, how few sheets would do."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.panels.kit_words import least_words, sides_words
from app.panels.words import count
from layout.geometry.units import Unit

if TYPE_CHECKING:
    from app.planner.survey import Fit, Standing

WAITING = "not looked at yet"
LOOKING = "Reading the projects of the workshop…"


def standing_words(standing: Standing) -> str:
    """Say how a list stands before anything was laid."""
    if standing.state == "unreadable":
        return "cannot be read"
    if standing.state == "made":
        return "all is made"
    if standing.state == "nothing":
        return "wants no piece yet"
    return f"at most {standing.most} of {count(standing.kits, 'kit')}; laying pieces on the scraps comes next"


def line_of(fit: Fit) -> str:
    """Say in a line how far the scraps at hand go."""
    answer = fit.answer
    asked = count(answer.asked, "kit")
    if answer.kits >= answer.asked:
        return f"fits now: all of {asked}" if answer.asked > 1 else "fits now"
    if not answer.final:
        return f"{answer.kits} of {asked} so far…"
    papers = {fit.pieces[w][1] or "paper" for w, *_ in answer.short if w in fit.pieces}
    short = f"; {', '.join(sorted(papers))} short" if papers else ""
    return f"{answer.kits} of {asked}{short}"


def details_of(fit: Fit, unit: Unit) -> str:
    """Say what is short and which sheets would cure it."""
    answer = fit.answer
    if answer.kits >= answer.asked:
        return "Everything that is still due fits on the scraps at hand."
    told = [f"{answer.kits} of {count(answer.asked, 'kit')} can be made of what is at hand."]
    if answer.kits == answer.most:
        told[0] += " More is impossible."
    told += [_short(fit, *one, unit) for one in answer.short]
    for paper, sides, sheets, least in answer.cures:
        named = fit.papers.get(paper, paper)
        more = f"{count(sheets, 'more sheet')} of {named}, {sides_words(sides, unit)}, would do"
        told.append(more + ("; fewer would not." if sheets == least else "."))
    told += [f"How many sheets of {fit.papers.get(p, p)} would do was not found." for p in answer.incurable]
    return "\n".join(told)


def _short(fit: Fit, wanted: str, missing: int, needs: tuple[float, float], why: str, unit: Unit) -> str:
    if wanted not in fit.pieces or max(needs) <= 0:
        return f"{missing} ×: {why}."
    name, paper = fit.pieces[wanted]
    return (
        f"Short: {missing} × {name}, {paper or 'any paper'}, each piece of paper at least {least_words(needs, unit)}."
    )
