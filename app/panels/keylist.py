"""The list of keys, and what this program is."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QIcon
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QGridLayout,
    QLabel,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.actions import COMMANDS, keys_of
from app.look.fonts import font
from app.look.tokens import ROOM, SPACE

ON_THE_PLATE = (
    ("Pick", "Click"),
    ("Pick more", "Ctrl or Shift + click"),
    ("Pick by a box", "Shift + drag, or drag beside the paper"),
    ("Move", "Drag; with Shift straight, with Alt without snapping"),
    ("Turn", "Drag the round handle; with Shift in steps of 15°"),
    ("Turn by 1°", "[  and  ]"),
    ("Push by one step", "Arrow keys"),
    ("Push by a fine step", "Shift + arrow keys"),
    ("Let go without moving", "Esc"),
    ("Closer, farther", "Wheel"),
    ("Push the view", "Drag with the middle button, or arrow keys with nothing picked"),
)


def show_keys(parent: QWidget) -> None:
    """Show every key and what it does."""
    rows = [("On the plate", "", True)] + [(text, keys, False) for text, keys in ON_THE_PLATE]
    menu = ""
    for command in COMMANDS:
        if command.keys:
            if command.menu != menu:
                menu = command.menu
                rows.append((menu, "", True))
            rows.append((command.text.rstrip("…"), keys_of(command), False))
    _show(parent, "Keys", _grid(parent, rows), (560, 620))


def show_about(parent: QWidget) -> None:
    """Say what this program is, and the cautions that come with the work."""
    text = QLabel(
        "Plateful plans which paper scrap goes under which cutting die, in the fewest passes, "
        "and shows where to tape each die down.\n\n"
        "Dies have sharp edges, and rollers pull fingers in: keep hands, hair and sleeves clear, "
        "and stop when the crank turns hard. "
        "What your machine's manual says about plates, shims and thickness counts for more than any plan.\n\n"
        "The typeface is Lato, under the SIL Open Font License; its licence lies beside it in resources/fonts."
    )
    text.setWordWrap(True)
    _show(parent, "About Plateful", text, (460, 320))


def _grid(parent: QWidget, rows: list[tuple[str, str, bool]]) -> QWidget:
    inside = QWidget()
    grid = QGridLayout(inside)
    grid.setHorizontalSpacing(2 * ROOM)
    grid.setVerticalSpacing(SPACE - 2)
    for at, (text, keys, head) in enumerate(rows):
        label = QLabel(text)
        if head:
            label.setFont(font(bold=True, text_scale=parent.font().pointSizeF() / 10.0))
            label.setContentsMargins(0, ROOM if at else 0, 0, 0)
        grid.addWidget(label, at, 0, Qt.AlignmentFlag.AlignTop)
        written = QLabel(keys)
        written.setWordWrap(True)
        grid.addWidget(written, at, 1, Qt.AlignmentFlag.AlignTop)
    grid.setColumnStretch(1, 1)
    return inside


def _show(parent: QWidget, title: str, inside: QWidget, size: tuple[int, int]) -> None:
    dialog = QDialog(parent)
    dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    dialog.setWindowTitle(title)
    area = QScrollArea()
    area.setWidget(inside)
    area.setWidgetResizable(True)
    area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAsNeeded)
    buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
    buttons.button(QDialogButtonBox.StandardButton.Close).setIcon(QIcon())
    buttons.rejected.connect(dialog.close)
    box = QVBoxLayout(dialog)
    box.setContentsMargins(ROOM, ROOM, ROOM, ROOM)
    box.addWidget(area)
    box.addWidget(buttons)
    scale = parent.font().pointSizeF() / 10.0
    dialog.resize(round(size[0] * scale), min(round(size[1] * scale), parent.height() + 100))
    dialog.show()
