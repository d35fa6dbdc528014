"""What to do in which order, in words: blades down under a clear plate, or blades up with the page mirrored."""

from __future__ import annotations

from collections.abc import Sequence

from app.guide.embossing import embossing_turns
from app.guide.job import Job
from app.guide.tiles import tiles

CHECK = "Print every page at actual size. Check the bars and the card outline before you tape anything."
FETCH = "Fetch the dies and scraps shown below. Pencil each scrap’s name on its back, and the arrow for its way up."
BY_HAND = "Do the handwork first: the pages “by hand” show what is cut down and punched."
DOWN = (
    "For each layout: lay its page on the table and every die on its outline, blade down. Put a loop of low-tack tape "
    "on the back of each die.",
    "Lower the clear top plate onto the dies, its edges on the bed outline, and press: the dies now hang on the plate.",
    "Lay the page under the clear cutting plate. Lay the scraps on that plate inside their dashed outlines, good side "
    "up, and hold them with a little low-tack tape.",
    "Lower the plate with the dies onto it, edges together. Build the stack as drawn, the arrow end first, crank it "
    "through once and tick the pass off.",
)
UP = (
    "These plate pages are mirrored, because you look at the blades: do not turn them over.",
    "For each layout: lay its page on the lower plate, the bed outline on the plate’s edges. Lay every die on its "
    "outline with the blade UP, and tape its edge down with low-tack tape at the small boxes, where no blade is.",
    "Lay the scraps over the dies inside their dashed outlines, good side DOWN, and hold them with a little low-tack "
    "tape.",
    "Lay the cutting plate on top, edges together. Build the stack as drawn, the arrow end first, crank it through "
    "once and tick the pass off.",
)
NEXT = (
    "For the next pass of the same layout the dies stay where they are; only the scraps change. A die marked “lift "
    "off” comes off for that pass."
)
NO_CLEAR = "No clear plates? Print this guide again with blades up: then the dies are taped to the page itself."
EMBOSS = "Emboss last: the tick list shows each folder, what lies in it, and its hinge, which goes in first."
JOIN = (
    "The bed is larger than a sheet. For each layout cut one sheet of each pair on its dotted line, lay the crosses of "
    "the same name on each other and tape. Check the joined bed: its edges are straight and it measures {bed}."
)


def steps(job: Job) -> list[str]:
    """Return the steps in their order."""
    plan = job.plan
    hand = [BY_HAND] if plan.punched or plan.cut_downs or plan.panels else []
    more = [NEXT] if any(len(layout.runs) > 1 for layout in plan.layouts) else []
    last = [EMBOSS] if embossing_turns(job) else []
    way = list(UP) if job.blades_up else list(DOWN)
    return [CHECK, FETCH, *hand, *_joining(job), *way, *more, *last]


def _joining(job: Job) -> list[str]:
    machine = job.project.machine
    if tiles(job.sheet, machine.bed_width, machine.bed_length)[0].is_whole:
        return []
    return [JOIN.format(bed=job.sides(machine.bed_width, machine.bed_length))]


def stack_order(job: Job) -> Sequence[tuple[str, float, Sequence[float]]]:
    """Return the layers from the top: words, height of the drawing in mm, dash for what is thin."""
    paper, die = (2.4, 0.8), (0.8, 0.5)
    if job.blades_up:
        return (
            ("cutting plate", 4.0, ()),
            ("scraps, good side DOWN", 2.0, paper),
            ("dies, blades UP, taped to this page", 2.0, die),
            ("this page", 1.0, ()),
            ("lower plate", 4.0, ()),
        )
    return (
        ("top plate, clear, dies taped under it", 4.0, ()),
        ("dies, blades DOWN", 2.0, die),
        ("scraps, good side UP", 2.0, paper),
        ("cutting plate, clear", 4.0, ()),
        ("(this page only lies under it to place the scraps)", 1.0, (0.6, 0.6)),
    )
