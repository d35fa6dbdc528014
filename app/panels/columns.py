"""What the tables show of wanted pieces, dies, punches, scraps and papers, and how their cells are read."""

from __future__ import annotations

from collections import Counter
from functools import partial

from PySide6.QtGui import QIcon

from app.canvas.paths import path_of
from app.document.document import Document
from app.look.papers import paper_looks
from app.look.shapes import shape_icon
from app.look.tokens import Look
from app.panels.tables import CellError, Column, whole, words
from app.panels.words import paper_name, piece_name
from layout.geometry.outline import Outline
from layout.geometry.paper_weight import parse_caliper, parse_weight
from layout.geometry.units import format_length, format_sides, parse_length, parse_sides
from layout.geometry.value import replace
from layout.model.plan import Plan
from layout.model.project import Die, Paper, Punch, Scrap, Wanted

WAYS = (("any", "any"), ("upright", "upright"))
WAY_TIP = "How the piece lies on its paper: any way, upright as a print is, or round a stamped image"
MADE_TIP = "How many there will be once the passes are made, with those from the tin, and how many are needed"
ROUND = "image:"  # before the name of an image that a piece is to be cut round
NUMBER, NUMBER_TIP = "No.", "The number of the die: on the plate, and in the placement guide"
LEAST_SIDE, MOST_SIDE = 3.0, 2000.0


class Columns:
    """Columns of every table over one document."""

    def __init__(self, document: Document) -> None:
        self._document = document
        self.look: Look | None = None
        self._counted: tuple[Plan, Counter[str]] | None = None  # the pieces made, counted once for all rows
        self._icons: dict[tuple[int, str], tuple[Outline, QIcon]] = {}

    # ---- wanted -------------------------------------------------------------------------------------------------

    def wanted(self) -> list[Column]:
        """Return the columns of the pieces that a kit needs."""
        return [
            Column("Piece", self._piece, partial(_set, "shape"), self.shapes, lambda w: w.shape, self._wanted_icon),
            Column(NUMBER, lambda w: self.number_of(w.shape), number=True, tip=NUMBER_TIP),
            Column("A kit", lambda w: str(w.count), self._write_count, number=True),
            Column("Paper", lambda w: paper_name(self._document.project, w.paper), _write_paper, self.papers_or_any,
                   lambda w: w.paper or ""),
            Column("Way", _way, _write_way, self.ways, _way_value, tip=WAY_TIP, more=_way_more),
            Column("Made", self._made, number=True, tip=MADE_TIP, more=self._made_more),
        ]  # fmt: skip

    def ways(self) -> list[tuple[str, str]]:
        """Return the ways a piece may be wanted to lie: any, upright, or round an image stamped on a scrap."""
        images = dict.fromkeys(i.image for s in self._document.project.scraps for i in s.images)
        return [*WAYS, *((ROUND + name, f"round the image “{name}”") for name in images)]

    def shapes(self) -> list[tuple[str, str]]:
        """Return every shape that can be wanted."""
        project = self._document.project
        return [(s.id, s.name) for s in (*project.dies, *project.punches, *project.panels)]

    def papers(self) -> list[tuple[str, str]]:
        """Return every paper."""
        return [(p.id, p.name) for p in self._document.project.papers]

    def papers_or_any(self) -> list[tuple[str, str]]:
        """Return every paper, and that it does not matter."""
        return [("", "any paper"), *self.papers()]

    def _made(self, wanted: Wanted) -> str:
        return f"{sum(self._ready(wanted))} of {wanted.count * self._document.project.kits}"

    def _made_more(self, wanted: Wanted) -> str:
        told = ("in the passes to come", "made already", "ready in the tin")
        return ", ".join(f"{n} {words}" for n, words in zip(self._ready(wanted), told, strict=True) if n)

    def _ready(self, wanted: Wanted) -> tuple[int, int, int]:
        """Return how many of a piece the plan makes, the passes done have made, and the tin has."""
        plan, project = self._document.plan, self._document.project
        if self._counted is None or self._counted[0] is not plan:
            self._counted = (plan, plan.made)
        needed, done = wanted.count * project.kits, project.made(wanted.id)
        return self._counted[1][wanted.id], done, min(project.spares.get(wanted.id, 0), max(0, needed - done))

    def _piece(self, wanted: Wanted) -> str:
        return piece_name(self._document.project, wanted)

    def _write_count(self, wanted: Wanted, text: str) -> Wanted:
        return replace(wanted, count=whole(text, "pieces", 1))

    # ---- drawer -------------------------------------------------------------------------------------------------

    def dies(self) -> list[Column]:
        """Return the columns of the dies in the drawer."""
        return [
            Column("Die", lambda d: d.name, lambda d, t: replace(d, name=words(t, "die")), icon=self.tool_icon),
            Column(NUMBER, lambda d: self.number_of(d.id), number=True, tip=NUMBER_TIP),
            Column("Size", lambda d: self._size(d.cut)),
            Column("Owned", lambda d: str(d.copies), lambda d, t: replace(d, copies=whole(t, "dies")), number=True),
        ]

    def number_of(self, shape: str) -> str:
        """Return a die's number in the drawer, nothing for what is no die."""
        numbers = (number for number, die in enumerate(self._document.project.dies, 1) if die.id == shape)
        return str(next(numbers, ""))

    def punches(self) -> list[Column]:
        """Return the columns of the hand punches."""
        return [
            Column("Punch", lambda p: p.name, lambda p, t: replace(p, name=words(t, "punch")), icon=self.tool_icon),
            Column("Size", lambda p: self._size(p.cut)),
            Column("Reach", lambda p: self._length(p.reach), self._write_reach, number=True),
        ]

    def _write_reach(self, punch: Punch, text: str) -> Punch:
        return replace(punch, reach=parse_length(text, self._document.unit))

    # ---- heap ---------------------------------------------------------------------------------------------------

    def scraps(self) -> list[Column]:
        """Return the columns of the heap of scraps."""
        return [
            Column("Scrap", self._scrap_name, _write_scrap_name, icon=self.scrap_icon),
            Column("Paper", lambda s: paper_name(self._document.project, s.paper), partial(_set, "paper"), self.papers,
                   lambda s: s.paper),
            Column("Size", lambda s: self._size(s.outline), self._write_size),
            Column("Sheets", lambda s: str(s.count), lambda s, t: replace(s, count=whole(t, "sheets")), number=True),
        ]  # fmt: skip

    def _scrap_name(self, scrap: Scrap) -> str:
        return str(scrap.extra.get("name") or scrap.id)

    def _write_size(self, scrap: Scrap, text: str) -> Scrap:
        if not is_rectangle(scrap.outline):
            raise CellError("This scrap is no rectangle, so two sides do not tell its shape; add a new one instead.")
        if scrap.images or scrap.spoiled:
            raise CellError("This scrap has stains or images on it that a new size could lose; add a new one instead.")
        return replace(scrap, outline=sheet_of(text, self._document))

    # ---- papers -------------------------------------------------------------------------------------------------

    def papers_table(self) -> list[Column]:
        """Return the columns of the papers."""
        return [
            Column("Paper", lambda p: p.name, lambda p, t: replace(p, name=words(t, "paper")), icon=self._paper_icon),
            Column("g/m²", lambda p: f"{p.grammage:g}", _write_grammage, number=True),
            Column("Caliper, mm", lambda p: f"{p.caliper:g}", _write_caliper, number=True),
            Column("Layers", lambda p: str(p.layers), lambda p, t: replace(p, layers=whole(t, "layers", 1)),
                   number=True),
        ]  # fmt: skip

    # ---- pictures -----------------------------------------------------------------------------------------------

    def _wanted_icon(self, wanted: Wanted) -> QIcon:
        project = self._document.project
        shape = next((s for s in (*project.dies, *project.punches) if s.id == wanted.shape), None)
        outline = shape.cut if shape else next((p.outline for p in project.panels if p.id == wanted.shape), None)
        ground = self._ground(wanted.paper)
        return QIcon() if outline is None else self._icon(outline, ground)

    def tool_icon(self, tool: Die | Punch) -> QIcon:
        """Return the picture of a die or a punch."""
        outline = tool.body if isinstance(tool, Die) else tool.cut
        return self._icon(outline, self.look.metal_dark if self.look else "#a9b0b8")

    def scrap_icon(self, scrap: Scrap) -> QIcon:
        """Return the picture of a scrap in its paper."""
        return self._icon(scrap.outline, self._ground(scrap.paper))

    def _paper_icon(self, paper: Paper) -> QIcon:
        return self._icon(SWATCH, self._ground(paper.id))

    def _ground(self, paper: str | None) -> str:
        looks = paper_looks(self._document.project.papers)
        return looks[paper].ground if paper in looks else (self.look.field if self.look else "#ffffff")

    def _icon(self, outline: Outline, ground: str) -> QIcon:
        edge = self.look.text if self.look else "#23262b"
        key = (id(outline), ground + edge)
        if key not in self._icons or self._icons[key][0] is not outline:
            self._icons[key] = (outline, shape_icon(path_of(outline), ground, edge))
        return self._icons[key][1]

    # ---- lengths ------------------------------------------------------------------------------------------------

    def _size(self, outline: Outline) -> str:
        left, low, right, high = outline.bounds
        return format_sides(right - left, high - low, self._document.unit)

    def _length(self, mm: float) -> str:
        return format_length(mm, self._document.unit)


SWATCH = Outline.rectangle(3.0, 2.4)


def sheet_of(text: str, document: Document) -> Outline:
    """Read a rectangle by its two sides; raises ValueError with a sentence."""
    width, height = parse_sides(text, document.unit)
    for side in (width, height):
        if not LEAST_SIDE <= side <= MOST_SIDE:
            raise CellError(
                f"A side of {format_length(side, document.unit)} is no sheet of paper; check the two sides."
            )
    return Outline.rectangle(width, height)


def is_rectangle(outline: Outline) -> bool:
    """Whether an outline is an upright rectangle from the origin, as two sides give it."""
    left, low, right, high = outline.bounds
    corners = {(left, low), (right, low), (right, high), (left, high)}
    return not outline.holes and len(outline.outer) == 4 and set(outline.outer) == corners


def _set(field: str, item: Wanted | Scrap, value: str) -> Wanted | Scrap:
    return replace(item, **{field: value})


def _write_paper(wanted: Wanted, value: str) -> Wanted:
    return replace(wanted, paper=value or None)


def _way(wanted: Wanted) -> str:
    if wanted.image is not None:
        return f"image: {wanted.image}"
    if isinstance(wanted.turn, str):
        return dict(WAYS)[wanted.turn]
    return ", ".join(f"{angle:g}°" for angle in wanted.turn)


def _way_more(wanted: Wanted) -> str:
    return "" if wanted.image is None else f"It is cut round the stamped image “{wanted.image}”, which the die frames."


def _way_value(wanted: Wanted) -> str:
    if wanted.image is not None:
        return ROUND + wanted.image
    return wanted.turn if isinstance(wanted.turn, str) else ""


def _write_way(wanted: Wanted, value: str) -> Wanted:
    if value.startswith(ROUND):
        return replace(wanted, image=value.removeprefix(ROUND))
    return replace(wanted, turn=value, image=None) if value in dict(WAYS) else wanted


def _write_scrap_name(scrap: Scrap, text: str) -> Scrap:
    return replace(scrap, extra={**scrap.extra, "name": words(text, "scrap")})


def _write_grammage(paper: Paper, text: str) -> Paper:
    return replace(paper, grammage=parse_weight(text))


def _write_caliper(paper: Paper, text: str) -> Paper:
    return replace(paper, caliper=parse_caliper(text))
