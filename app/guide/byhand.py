"""Handwork: sheets cut down first, shapes punched, panels trimmed and scored."""

from __future__ import annotations

from collections.abc import Iterator

from app.guide.cutdown import cut_down_cells
from app.guide.flow import Block, Heading, Words, rows
from app.guide.job import Job
from app.guide.punching import punch_rows
from app.guide.trimming import panel_cells

CUT_DOWN = (
    "In circles: the cuts in their order, each from edge to edge of the piece that it divides and measured on that "
    "piece. Bold: the parts. Pencil sheet and part on the back of each."
)
PUNCH = (
    "Turn each sheet as drawn and push the edge at the arrow into the punch, as deep as is said below; the arrow bears "
    "the number of the shape. Along the edge go by the picture."
)
TRIM = "Trim to the rectangle, score the dashed lines, then snip away what is hatched. Fold after all cutting is done."


def hand_blocks(job: Job) -> Iterator[Block]:
    """Give the blocks of the handwork pages."""
    if job.plan.cut_downs:
        yield Heading("Cut these sheets down")
        yield Words(CUT_DOWN, 3.2, keep=True)
        yield from rows(cut_down_cells(job), 2)
    if job.plan.punched:
        yield Heading("Punch")
        yield Words(PUNCH, 3.2, keep=True)
        yield from punch_rows(job)
    if job.plan.panels:
        yield Heading("Trim these panels to size")
        if any(panel.scores for panel in job.project.panels):
            yield Words(TRIM, 3.2, keep=True)
        yield from rows(panel_cells(job), 2)
