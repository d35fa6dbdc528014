"""The passes that are done: which they are, what to draw of them, and what they made in words."""

from __future__ import annotations

from app.panels.words import count, piece_name
from layout.geometry.value import replace
from layout.model.done import DoneRun
from layout.model.plan import Plan
from layout.model.project import Project

PASS, LAYOUT = "Pass", "layout "
DONE = -1  # stands for the layout of a pass that is done: the plan has it no more


def done_passes(project: Project) -> tuple[DoneRun, ...]:
    """Return the passes that are done, in the order they were made; hand work is none."""
    return tuple(run for run in project.done.runs if run.layout is not None)


def caption(row: int, layout: str) -> str:
    """Return the words under a pass that is to come."""
    return f"{PASS} {row + 1} · {LAYOUT}{layout}"


def done_caption(row: int) -> str:
    """Return the words under a pass that is ticked off."""
    return f"{PASS} {row + 1} · done"


def shown_state(project: Project, plan: Plan, place: tuple[int, int]) -> tuple[Project, Plan, tuple[int, int]]:
    """Return project, plan and place from which a pass is drawn: a pass that is done with the scraps as they were."""
    if place[0] != DONE:
        return project, plan, place
    record = done_passes(project)[place[1]]
    assert record.layout is not None
    return replace(project, scraps=tuple(t.scrap for t in record.taken)), Plan((record.layout,)), (0, 0)


def done_words(project: Project, record: DoneRun) -> str:
    """Say what a pass that is done made: for the kits, for the tin."""
    names = {w.id: piece_name(project, w) for w in project.wanted}
    made = [f"{number} × {names.get(wanted, wanted)}" for wanted, number in record.made.items()]
    spare = sum(s.count for s in record.spares)
    words = f"done: {'; '.join(made) or 'nothing for the kits'}"
    return words + (f"; and {count(spare, 'piece')} over for the tin" if spare else "")


def tick_words(project: Project, record: DoneRun) -> str:
    """Say what a tick did: what the pass made, and what became of the paper."""
    words = done_words(project, record)
    kept, sheets = len(record.left), sum(len(t.copies) for t in record.taken)
    paper = f"{count(sheets, 'sheet')} cut"
    paper += f", {count(kept, 'scrap')} of {'it' if sheets == 1 else 'them'} kept" if kept else ", nothing of it kept"
    return f"Pass {words}. {paper[:1].upper()}{paper[1:]}."
