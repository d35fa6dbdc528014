"""The drawing in words: every corner or image of the tool in hand as a row whose lengths can be typed."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from app.heap.board import Board
from app.heap.drawn import Drawn, moved_image
from app.panels.tables import CellError, Column, ItemTable
from layout.geometry.pose import Pose
from layout.geometry.units import format_length, parse_length
from layout.geometry.value import Value, replace


class Row(Value, frozen=True):
    """A corner (its ring and number) or an image (ring -1), its place in mm and its turn in degrees."""

    ring: int
    number: int
    name: str
    x: float
    y: float
    turn: float = 0.0


def rows_of(board: Board) -> list[Row]:
    """Return what the tool in hand can move."""
    if board.tool == "image":
        return [
            Row(-1, k, image.image, image.pose.x, image.pose.y, image.pose.turn)
            for k, image in enumerate(board.drawn.images)
        ]
    if board.growing:
        return [Row(-2, k, f"Corner {k + 1}, not closed yet", x, y) for k, (x, y) in enumerate(board.growing)]
    rings = [(0, board.drawn.rings[0])] if board.tool == "border" else list(enumerate(board.drawn.rings))[1:]
    stained = board.tool == "stain"
    return [
        Row(ring, k, f"Stain {ring}, corner {k + 1}" if stained else f"Corner {k + 1}", x, y)
        for ring, corners in rings
        for k, (x, y) in enumerate(corners)
    ]


def table_of(board: Board, change: Callable[[Drawn, str], None], refuse: Callable[[str], None]) -> ItemTable:
    """Return the table of these rows; what is typed goes through `change`."""

    def length(mm: float) -> str:
        return format_length(mm, board.unit, with_unit=False)

    def moved(_at: int, row: Row, _title: str) -> None:
        if row.ring == -2:
            board.growing[row.number] = (row.x, row.y)
            board.picked_changed.emit()
        elif row.ring == -1:
            image = board.drawn.images[row.number]
            after = moved_image(image, Pose(row.x, row.y, row.turn))
            change(board.drawn.with_image(row.number, after), "Move of an image")
        else:
            change(board.drawn.with_corner(row.ring, row.number, (row.x, row.y)), "Move of a corner")

    def items() -> Sequence[Row]:
        return rows_of(board)

    return ItemTable(
        [
            Column("Thing", lambda r: r.name),
            Column("Left", lambda r: length(r.x), lambda r, t: replace(r, x=parse_length(t, board.unit)), number=True),
            Column(
                "Near end", lambda r: length(r.y), lambda r, t: replace(r, y=parse_length(t, board.unit)), number=True
            ),
            Column("Turn", lambda r: f"{r.turn % 360:g}°" if r.ring == -1 else "", _write_turn, number=True),
        ],
        items,
        moved,
        refuse,
    )


def degrees(text: str) -> float:
    """Read an angle; raises CellError with a sentence."""
    try:
        angle = float(text.strip().rstrip("°").strip().replace(",", "."))
        if not -1e6 < angle < 1e6:
            raise ValueError
    except ValueError:
        raise CellError(f'"{text}" is no angle: write degrees, for example 45 or 12.5') from None
    return angle % 360


def _write_turn(row: Row, text: str) -> Row:
    if row.ring != -1:
        raise CellError("Only a stamped image has a turn.")
    return replace(row, turn=degrees(text))
