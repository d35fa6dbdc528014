"""The three answers in words: how many passes, what is missing, what is wrong."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from app.messages.sentence import sentence
from layout.model.embossing import turns
from layout.model.plan import Plan
from layout.model.project import Project, Wanted

if TYPE_CHECKING:
    from layout.rules.finding import Finding


def count(number: int, one: str, many: str | None = None) -> str:
    """Return a number with its noun: '1 pass', '2 passes'."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def passes_figure(project: Project, plan: Plan) -> str:
    """Return the answer in one glance."""
    done = any(run.layout for run in project.done.runs)
    if plan.passes:
        return count(plan.passes, "pass", "passes") + (" left" if done else "")
    if done and not any(project.due(w) for w in project.wanted):
        return "All passes are done"
    if not any(project.due(w) for w in project.wanted):
        return "Nothing to cut"
    return "No pass" if plan.punched or plan.panels else "Not planned"


def passes_words(project: Project, plan: Plan) -> str:
    """Return whether fewer passes are impossible, and because of what."""
    if not plan.layouts:
        return "" if plan.punched or plan.panels else _before_planning(project)
    embossing = len(turns(plan))
    taped = f"{count(len(plan.layouts), 'layout')} to tape down."
    taped += f" Then {count(embossing, 'turn')} with embossing folders." if embossing else ""
    if plan.unplaced:
        return taped
    # What the proof counted is less by the passes that are done.
    because = "" if project.done.runs else plan.because.strip().rstrip(".")
    if plan.proven:
        return f"{taped} Fewer is impossible{': ' + because if because else ''}."
    least = f"At least {plan.lower_bound} needed" if plan.lower_bound else "Fewer may be possible"
    return f"{taped} {least}{': ' + because if because else ''}."


def missing_figure(project: Project, plan: Plan) -> str:
    """Return how many pieces the plan does not make."""
    if not plan.layouts and not plan.punched and not plan.panels and not plan.unplaced:
        due = sum(project.due(w) for w in project.wanted)
        return f"{count(due, 'piece')} due" if due else "Nothing is missing"
    missing = sum(u.count for u in plan.unplaced)
    return f"{count(missing, 'piece')} missing" if missing else "Nothing is missing"


def missing_lines(project: Project, plan: Plan) -> list[tuple[str, str]]:
    """Return every missing piece by name and number, and the reason."""
    names = {w.id: piece_name(project, w) for w in project.wanted}
    return [(f"{u.count} × {names.get(u.wanted, u.wanted)}", sentence(u.reason)) for u in plan.unplaced]


def faults_figure(findings: Iterable[Finding]) -> str:
    """Return how much is wrong."""
    found = len(list(findings))
    return count(found, "fault") if found else "Nothing is wrong"


def in_passes(text: str, project: Project, plan: Plan) -> str:
    """Say 'pass 3', as the row of passes counts them, where the checker says which run of which layout."""
    number = sum(run.layout is not None for run in project.done.runs) + plan.passes
    for layout in reversed(plan.layouts):
        for r in range(len(layout.runs), 0, -1):  # from the last: 'run 1' begins 'run 12' as well
            text = text.replace(f"layout {layout.id}, run {r}", f"pass {number}")
            number -= 1
    return text


def piece_name(project: Project, wanted: Wanted) -> str:
    """Return what a person calls a wanted piece: its shape, and its paper where shapes are wanted in several."""
    shapes = {s.id: s.name for s in (*project.dies, *project.punches, *project.panels)}
    name = str(wanted.extra.get("name") or shapes.get(wanted.shape, wanted.shape))
    if wanted.paper is not None and sum(w.shape == wanted.shape for w in project.wanted) > 1:
        name += f" in {paper_name(project, wanted.paper)}"
    return name


def paper_name(project: Project, paper: str | None) -> str:
    """Return what a person calls a paper."""
    return "any paper" if paper is None else next((p.name for p in project.papers if p.id == paper), paper)


def _before_planning(project: Project) -> str:
    if not project.wanted:
        first = "" if project.dies or project.punches else "Bring dies into the drawer, then papers and scraps. "
        if not project.scraps:
            first = first or "Add papers and scraps to the heap. "
        return first + "Say what the project needs, then press Plan."
    if not project.scraps:
        return "Add the scraps that you have to the heap, then press Plan."
    return "Press Plan to see what can be cut together."
