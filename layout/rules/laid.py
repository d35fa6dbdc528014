"""A plan laid out for checking: every body, sheet and piece with its polygon, its place in words and its path."""

from __future__ import annotations

from collections.abc import Iterator

from layout.geometry.pose import Pose
from layout.geometry.value import Value
from layout.model.plan import LaidScrap, Layout, Plan, Punched, Run
from layout.rules.book import Book, PaperShape, Shape, posed
from layout.rules.cutting_down import Sheets


class Body(Value, frozen=True):
    """A die's metal where it is taped down, in the plate frame."""

    where: str
    thing: str
    die: str
    shape: Shape


class Sheet(Value, frozen=True):
    """Paper as it lies in one run: `paper` in the scrap's frame, `shape` in the plate frame."""

    where: str
    thing: str
    laid: LaidScrap
    paper: PaperShape
    shape: Shape


class Piece(Value, frozen=True):
    """A piece cut or punched off a sheet (or off each sheet of a stack), in the scrap's frame."""

    where: str
    thing: str
    wanted: str
    tool: str
    scrap: str
    copies: tuple[int, ...]
    pose: Pose
    paper: PaperShape
    shape: Shape


def layout_words(layout: Layout) -> str:
    """Say which layout is meant."""
    return f"layout {layout.id}"


def bodies_of(book: Book, layout: Layout, path: str) -> list[Body]:
    """Return the bodies of a layout, but for dies that the project does not have."""
    where = layout_words(layout)
    return [
        Body(where, f"{path}.dies[{i}]", placed.die, posed(book.body(placed.die), placed.pose))
        for i, placed in enumerate(layout.dies)
        if placed.die in book.dies
    ]


def sheets_of(book: Book, sheets: Sheets, run: Run, where: str, path: str) -> list[Sheet | None]:
    """Return the sheets of a run; None stands for a scrap that the project does not have."""
    return [
        sheet_of(sheets, laid, where, f"{path}.scraps[{i}]") if laid.scrap in book.scraps else None
        for i, laid in enumerate(run.scraps)
    ]


def sheet_of(sheets: Sheets, laid: LaidScrap, where: str, path: str) -> Sheet:
    """Lay one scrap down."""
    paper = sheets.shape(laid.scrap, laid.copies, laid.part)
    return Sheet(where, path, laid, paper, posed(paper.area, laid.pose))


def runs_of(plan: Plan) -> Iterator[tuple[Layout, Run, str, str]]:
    """Give each run with its layout, its words and its path."""
    for i, layout in enumerate(plan.layouts):
        for r, run in enumerate(layout.runs):
            yield layout, run, f"{layout_words(layout)}, run {r + 1}", f"layouts[{i}].runs[{r}]"


def pieces_of(book: Book, sheets: Sheets, layout: Layout, run: Run, where: str, path: str) -> Iterator[Piece]:
    """Give the pieces of a run, but for those whose die or scrap the project does not have."""
    outer = path.rpartition(".")[0]
    for cut in run.cuts:
        placed, laid = layout.dies[cut.die], run.scraps[cut.scrap]
        if placed.die in book.dies and laid.scrap in book.scraps:
            yield piece_of(book, sheets, (placed.die, placed.pose), laid, cut.wanted, where, f"{outer}.dies[{cut.die}]")


def piece_of(
    book: Book, sheets: Sheets, tool: tuple[str, Pose], laid: LaidScrap, wanted: str, where: str, thing: str
) -> Piece:
    """Give the piece that a tool at a pose in the plate frame takes out of a laid scrap."""
    pose = tool[1].seen_from(laid.pose)
    paper = sheets.shape(laid.scrap, laid.copies, laid.part)
    shape = posed(book.cut(tool[0]), pose)
    return Piece(where, thing, wanted, tool[0], laid.scrap, laid.copies, pose, paper, shape)


def punched_words(book: Book, entry: Punched) -> str:
    """Say which punching is meant."""
    return f"{book.name(entry.punch)}, punched"


def punched_of(book: Book, sheets: Sheets, entry: Punched, index: int) -> Piece | None:
    """Give a punched piece; None where its punch or scrap is not in the project."""
    if entry.punch not in book.punches or entry.scrap not in book.scraps:
        return None
    laid = LaidScrap(entry.scrap, Pose(), (entry.copy,), entry.part)
    where, thing = punched_words(book, entry), f"punched[{index}]"
    return piece_of(book, sheets, (entry.punch, entry.pose), laid, entry.wanted, where, thing)
