"""What the class has to lay ready: papers with their amounts, and every piece with how it is made."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from PySide6.QtGui import QColor

from app.guide.cover import used_scraps
from app.guide.flow import Block, Heading, Words
from app.sheet.job import SheetJob, how_made
from app.sheet.tables import table
from layout.model.project import Wanted


def material_blocks(job: SheetJob) -> Iterator[Block]:
    """Give the papers with the pieces each gives, per kit and for all kits, and the sheets that the plan takes."""
    entries = [_material(job, paper) for paper in _papers(job)]
    if entries:
        yield Heading("Materials")
        yield from table(
            ("paper", "pieces a kit", f"pieces {job.kits_words()}", "sheets to lay ready"), SHARES, entries
        )
    spares = [f"{n} × {job.wanted_name(w)}" for w, n in job.project.spares.items() if n and w in job.wanted]
    if spares:
        yield Words(f"Ready in the spares tin: {', '.join(spares)}.", 2.8)


SHARES = (2.4, 1.3, 1.6, 5.0)
PIECES = (3.4, 1.6, 2.6, 1.8, 0.9, 1.4)


def piece_blocks(job: SheetJob) -> Iterator[Block]:
    """Give the cut list: panels and mats first, then what dies and punches cut."""
    wanted = sorted(job.project.wanted, key=lambda w: w.shape not in job.panels)
    if wanted:
        yield Heading("Cut list")
        head = ("piece", "made with", "size", "paper", "a kit", job.kits_words())
        yield from table(head, PIECES, [_piece(job, w) for w in wanted])
    if job.plan.unplaced:
        missing = ", ".join(f"{u.count} × {job.wanted_name(u.wanted)}" for u in job.plan.unplaced)
        yield Words(f"Not in this plan yet: {missing}.", 3.0, bold=True)


def _papers(job: SheetJob) -> list[str | None]:
    """Return the papers that pieces are wanted of, in the project's order, then 'any paper'."""
    asked = {w.paper for w in job.project.wanted}
    known: list[str | None] = [p.id for p in job.project.papers if p.id in asked or _sheets(job, p.id)]
    return [*known, *([None] if None in asked else [])]


def _material(job: SheetJob, paper: str | None) -> tuple[QColor, tuple[str, ...]]:
    per_kit = sum(w.count for w in job.project.wanted if w.paper == paper)
    name = job.paper_words(paper)
    weight = next((p.grammage for p in job.project.papers if p.id == paper), 0.0)
    words = f"{name}, {weight:.0f} g/m²" if weight else name
    sheets = "; ".join(_sheets(job, paper)) or ("whatever is left" if paper is None else "none yet")
    return job.tint(paper), (words, str(per_kit), str(per_kit * job.project.kits), sheets)


def _sheets(job: SheetJob, paper: str | None) -> list[str]:
    """Name the sheets of a paper that the plan takes, with their sizes."""
    found: dict[str, int] = defaultdict(int)
    for scrap, sheets in used_scraps(job):
        if scrap.paper == paper:
            x0, y0, x1, y1 = scrap.outline.bounds
            found[f"{job.names.scraps[scrap.id]} ({job.sides(x1 - x0, y1 - y0)})"] += sheets
    names = [name if n == 1 else f"{n} × {name}" for name, n in found.items()]
    return [name.replace(" ", "\u00a0") for name in names]


def _piece(job: SheetJob, wanted: Wanted) -> tuple[QColor, tuple[str, ...]]:
    x0, y0, x1, y1 = job.shapes[wanted.shape].bounds
    count = str(wanted.count * job.project.kits)
    name = job.wanted_name(wanted.id) + (", print upright" if wanted.turn == "upright" else "")
    if wanted.image:
        name += ", round its image"
    sides = job.sides(x1 - x0, y1 - y0)
    cells = (name, how_made(job, wanted), sides, job.paper_words(wanted.paper), str(wanted.count), count)
    return job.tint(wanted.paper), cells
