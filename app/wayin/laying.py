"""How the way in is laid out: the picture to the left, what is said of it to the right, the taking in below."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QEvent, QObject, QSize, Qt
from PySide6.QtWidgets import (
    QComboBox,
    QFrame,
    QHBoxLayout,
    QLabel,
    QProgressBar,
    QPushButton,
    QScrollArea,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from app.look.tokens import GAP, ROOM, SPACE
from app.messages.bar import MessageBar
from app.wayin.bysize import BySize
from app.wayin.checking import Check
from app.wayin.found import KINDS
from app.wayin.imagecard import ImageCard
from app.wayin.one import One
from app.wayin.scaling import Scaling
from app.wayin.view import PictureView

SIDE = 330
LEAST_SIDE = 260
ALL = {"die": "dies", "punch": "pieces from punches", "scrap": "scraps"}
HINT = (
    "Lay the dies on a scanner, a finger apart, on dark or coloured paper, and scan at 300 dots per inch. Or take a "
    "photo of them from straight above, beside a bank card. Open the picture here, or drop it. Drawings (SVG, DXF) "
    "and shapes by their size come in here as well."
)


@dataclass(frozen=True)
class Parts:
    """The parts of the window by what they are for."""

    bar: MessageBar
    view: PictureView
    one: One
    check: Check
    scaling: Scaling
    by_size: BySize
    images: ImageCard
    kinds: QWidget
    kind: QComboBox
    choose: QPushButton
    sizes: QPushButton
    doing: QLabel
    going: QProgressBar
    stop: QPushButton
    take: QPushButton
    count: QLabel
    hint: QLabel


class Side(QScrollArea):
    """Scrolls up and down, and is never narrower than what is in it: with large text nothing is cut off."""

    def minimumSizeHint(self) -> QSize:  # noqa: N802 (Qt's name)
        inside = self.widget().minimumSizeHint().width() if self.widget() is not None else 0
        return QSize(max(LEAST_SIDE, inside + self.verticalScrollBar().sizeHint().width()), 80)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 (Qt's name)
        """Hear when what is inside becomes wider."""
        if event.type() == QEvent.Type.LayoutRequest:
            self.updateGeometry()
        return super().eventFilter(watched, event)


def lay_out(window: QWidget) -> Parts:
    """Fill the window; it has `tray`, `document` and `messages`."""
    tray, document = window.tray, window.document
    parts = Parts(
        MessageBar(window.messages), PictureView(tray), One(tray, document), Check(tray, document), Scaling(document),
        BySize(document), ImageCard(tray, document), QWidget(), QComboBox(),
        QPushButton("&Open a scan, photo or drawing…"), QPushButton("By &size…"), QLabel(), QProgressBar(),
        QPushButton("Stop"), QPushButton("Take in"), QLabel(), QLabel(HINT),
    )  # fmt: skip
    parts.by_size.inset = window.inset
    parts.view.images = parts.images.hold
    parts.take.setProperty("role", "main")
    parts.take.setToolTip("Put them into the project as one step (Ctrl+Enter)")
    box = QVBoxLayout(window)
    box.setContentsMargins(0, 0, 0, 0)
    box.setSpacing(0)
    box.addWidget(_head(parts))
    box.addWidget(parts.bar)
    box.addWidget(_middle(parts), 1)
    box.addWidget(_foot(parts, window))
    parts.by_size.hide()
    parts.scaling.hide()
    middle = parts.view.parentWidget()
    side = round(SIDE * min(1.4, window.settings.text_scale))
    middle.setSizes([1180 - side, side])
    screen = window.screen().availableGeometry()
    window.resize(min(1180, screen.width() - 40), min(780, screen.height() - 60))
    return parts


def _head(parts: Parts) -> QFrame:
    frame = QFrame()
    frame.setProperty("bar", True)
    row = QHBoxLayout(frame)
    row.setContentsMargins(ROOM, SPACE, ROOM, SPACE)
    row.addWidget(parts.choose)
    row.addWidget(parts.sizes)
    row.addStretch(1)
    parts.going.setRange(0, 0)
    parts.going.setTextVisible(False)
    parts.going.setFixedWidth(120)
    parts.going.setAccessibleName("Reading is going on")
    parts.doing.setAccessibleName("What is being done")
    for part in (parts.doing, parts.going, parts.stop):
        row.addWidget(part)
    return frame


def _middle(parts: Parts) -> QSplitter:
    middle = QSplitter(Qt.Orientation.Horizontal)
    middle.addWidget(parts.view)
    scroll = Side()
    scroll.setWidgetResizable(True)
    scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    scroll.setWidget(_side(parts))
    middle.addWidget(scroll)
    middle.setCollapsible(1, False)
    middle.setStretchFactor(0, 1)
    middle.setCollapsible(0, False)
    return middle


def _side(parts: Parts) -> QWidget:
    side = QWidget()
    box = QVBoxLayout(side)
    box.setContentsMargins(SPACE, SPACE, SPACE, SPACE)
    box.setSpacing(SPACE)
    parts.hint.setWordWrap(True)
    box.addWidget(parts.hint)
    row = QHBoxLayout(parts.kinds)
    row.setContentsMargins(0, 0, 0, 0)
    row.setSpacing(GAP)
    label = QLabel("&All of these are")
    label.setBuddy(parts.kind)
    for kind in KINDS:
        parts.kind.addItem(ALL[kind], kind)
    parts.kind.setAccessibleName("All of these are")
    row.addWidget(label)
    row.addWidget(parts.kind, 1)
    for part in (parts.by_size, parts.one, parts.images, parts.check, parts.scaling, parts.kinds):
        box.addWidget(part)
    box.addStretch(1)
    return side


def _foot(parts: Parts, window: QWidget) -> QFrame:
    frame = QFrame()
    frame.setProperty("strip", True)
    row = QHBoxLayout(frame)
    row.setContentsMargins(ROOM, SPACE, ROOM, SPACE)
    parts.count.setProperty("tone", "quiet")
    row.addWidget(parts.count)
    row.addStretch(1)
    close = QPushButton("Close")
    close.clicked.connect(window.close)
    row.addWidget(close)
    row.addWidget(parts.take)
    return frame
