"""The paper at hand while a plan grows: piles of alike sheets, and what lies cut on each."""

from __future__ import annotations

from collections.abc import Iterable

from shapely.geometry import Polygon

from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.geometry.value import Value, replace
from layout.model.project import PLAIN_UP, Clearances, Project, Scrap


class Lying(Value, frozen=True):
    """A piece cut or punched from a sheet, in the scrap's frame."""

    wanted: str
    cut: Outline


class Pile(Value, frozen=True):
    """Sheets (or like parts of sheets) of one scrap that are alike in everything, so that they may be stacked."""

    scrap: Scrap
    copies: tuple[int, ...]
    outline: Outline
    part: int | None = None
    lying: tuple[Lying, ...] = ()

    @property
    def paper(self) -> str:
        """The paper's id."""
        return self.scrap.paper

    @property
    def turned_by(self) -> float:
        """How far the print's upright is turned in the scrap's frame, degrees."""
        return self.scrap.up - PLAIN_UP

    def room(self, paper_edge: float) -> float:
        """Area (square mm) inside the edge that no piece, stain or image takes up; an estimate for choosing sheets."""
        taken: float = sum(piece.cut.solid.area for piece in self.lying)
        taken += sum(s.area for s in self.scrap.spoiled) + sum(i.outline.area for i in self.scrap.images if i.outline)
        shape: Polygon = self.outline.polygon
        return max(0.0, float(shape.area - paper_edge * shape.length) - taken)

    def marks(self, web: float) -> tuple[tuple[Outline, float], ...]:
        """What no further cut may come nearer to than so many mm: stains, inked images, pieces."""
        inked = [(i.outline, 0.0) for i in self.scrap.images if i.outline is not None]
        return (*((s, 0.0) for s in self.scrap.spoiled), *inked, *((p.cut, web) for p in self.lying))


class Stock(Value, frozen=True):
    """All piles; taking sheets gives a new stock."""

    piles: tuple[Pile, ...]

    def of_paper(self, paper: str | None) -> list[Pile]:
        """The piles of a paper; all piles where any paper will do."""
        return [p for p in self.piles if paper is None or p.paper == paper]

    def after(self, pile: Pile, copies: Iterable[int], pieces: Iterable[Lying]) -> Stock:
        """The stock after some sheets of a pile have lost some pieces."""
        used = frozenset(copies)
        kept: list[Pile] = []
        for p in self.piles:
            if p.scrap is not pile.scrap or p.part != pile.part or not used.intersection(p.copies):
                kept.append(p)
                continue
            rest = tuple(c for c in p.copies if c not in used)
            if rest:
                kept.append(replace(p, copies=rest))
            cut = tuple(c for c in p.copies if c in used)
            kept.append(replace(p, copies=cut, lying=(*p.lying, *pieces)))
        return Stock(tuple(kept))


def whole_stock(project: Project) -> Stock:
    """The stock before anything is cut."""
    return Stock(tuple(Pile(s, tuple(range(s.count)), s.outline) for s in project.scraps if s.count > 0))


def seen_from_sheet(cut: Outline, die: Pose, sheet: Pose) -> Outline:
    """The piece that a die at a pose on the plate cuts, in the frame of a sheet at its pose on the plate."""
    return die.seen_from(sheet).outline(cut)


def kept_edge(gaps: Clearances, part: int | None) -> float:
    """How far pieces keep from the edge (mm): of a part at least half a web, for others may lie beyond the cut."""
    return gaps.paper_edge if part is None else max(gaps.paper_edge, gaps.web / 2)
