"""What to do in which order, in words: blades down under a clear plate, or blades up with the page mirrored."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass

from app.guide.embossing import embossing_turns
from app.guide.job import Job
from app.guide.tiles import tiles

CHECK = "Print every page at actual size. Check the bars and the card outline before you tape anything."
FETCH = "Fetch the dies and scraps shown below. Pencil each scrap’s name on its back, and the arrow for its way up."
BY_HAND = "Do the handwork first, as “By hand”{hand} shows: {what}."
HANDS = ("cut sheets down", "punch", "trim panels")
DOWN = (
    "Take one layout after the other{plates}. Lay its page on the table and every die on its outline, blade down. Put "
    "a loop of low-tack tape on the back of each die.",
    "Lower the clear top plate onto the dies, its edges on the bed outline, and press: the dies now hang on the plate. "
    "If one hangs loosely, turn the plate over and tape its edge at the small boxes, where no blade is.",
    "Lay the page under the clear cutting plate, edges on the bed outline. Lay the scraps on that plate inside their "
    "dashed outlines, good side up, and hold them with a little low-tack tape.",
    "Lower the plate with the dies onto it, edges together. Build the stack as drawn, the arrow end first, crank it "
    "through once and tick the pass off{ticks}.",
)
UP = (
    "The plate pages{plates} are mirrored, because you look at the blades: do not turn them over.",
    "Take one layout after the other. Lay its page on the lower plate, the bed outline on the plate’s edges. Lay every "
    "die on its outline with the blade UP, and tape its edge down with low-tack tape at the small boxes, where no "
    "blade is.",
    "Lay the scraps over the dies inside their dashed outlines, good side DOWN, and hold them with a little low-tack "
    "tape.",
    "Lay the cutting plate on top, edges together. Build the stack as drawn, the arrow end first, crank it through "
    "once and tick the pass off{ticks}.",
)
NEXT = (
    "For the next pass of the same layout the dies stay where they are. Lay the scraps of that pass: by its own page, "
    "or, where passes share a page, by the tick list. A die marked “lift off” comes off for that pass."
)
NO_CLEAR = "No clear plates? Print this guide again with blades up: then the dies are taped to the page itself."
EMBOSS = "Emboss last: the tick list shows each folder, what lies in it, and its hinge, which goes in first."
JOIN = (
    "The bed is larger than a sheet. For each layout cut one sheet of each pair on its dotted line, lay the crosses of "
    "the same name on each other and tape. Check the joined bed: its edges are straight and it measures {bed}."
)


@dataclass(frozen=True)
class Places:
    """Where the later parts of the guide stand, in words: 'pages 3–5'; empty where there are none."""

    hand: str = ""
    ticks: str = ""
    plates: str = ""


def steps(job: Job, places: Places) -> list[str]:
    """Return the steps in their order."""
    plan = job.plan
    what = [words for words, there in zip(HANDS, (plan.cut_downs, plan.punched, plan.panels), strict=True) if there]
    hand = [BY_HAND] if what else []
    more = [NEXT] if any(len(layout.runs) > 1 for layout in plan.layouts) else []
    last = [EMBOSS] if embossing_turns(job) else []
    way = list(UP) if job.blades_up else list(DOWN)
    told = {name: f" ({words})" if words else "" for name, words in asdict(places).items()}
    bed = job.sides(job.project.machine.bed_width, job.project.machine.bed_length)
    found = [CHECK, FETCH, *hand, *_joining(job), *way, *more, *last]
    return [words.format(**told, what=", ".join(what), bed=bed) for words in found]


def _joining(job: Job) -> list[str]:
    machine = job.project.machine
    if tiles(job.sheet, machine.bed_width, machine.bed_length)[0].is_whole:
        return []
    return [JOIN]


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
        ("this page, only while you place the scraps", 1.0, (0.6, 0.6)),
    )
