"""Shapes by their size: one, a frame of it, or a set in steps, seen at once."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QComboBox, QFormLayout, QFrame, QLabel, QLineEdit

from app.document.document import Document
from app.look.tokens import GAP, SPACE
from app.messages.sentence import sentence
from app.wayin.found import USUAL_INSET, Found
from layout.geometry.catalogue import KINDS, kind_by_name, steps
from layout.geometry.outline import Outline, OutlineError
from layout.geometry.pose import Pose
from layout.geometry.units import format_length, format_sides, parse_length, parse_sides

ROOM_BETWEEN = 8.0
MOST_STEPS = 24
LEAST, MOST = 2.0, 600.0
SETTING_LENGTHS = frozenset({"radius", "corner", "clip", "hole", "thickness", "notch"})


class BySize(QFrame):
    """Makes the shapes while they are written.

    `made` carries them, `refused` the sentence why there are none; `entered` says that Return was pressed in a field.
    """

    made = Signal(list)
    refused = Signal(str)
    entered = Signal()

    def __init__(self, document: Document) -> None:
        super().__init__()
        self.setProperty("card", True)
        self._document = document
        self.inset = USUAL_INSET
        self.kind, self.size, self.border = QComboBox(), QLineEdit(), QLineEdit()
        self.count, self.larger, self.told = QLineEdit("1"), QLineEdit(), QLabel()
        self.settings: dict[str, QLineEdit] = {}
        for kind in KINDS:
            self.kind.addItem(kind.name)
        self.kind.setAccessibleName("Shape")
        self.told.setWordWrap(True)
        self.told.setProperty("tone", "quiet")
        self._lay_out()
        self.kind.currentIndexChanged.connect(lambda _: self._kind_chosen())
        for field in (self.size, self.border, self.count, self.larger):
            self._follow(field)
        self._kind_chosen()

    def make(self) -> None:
        """Make what the fields say."""
        try:
            things = self._things()
        except (ValueError, OutlineError) as error:
            self.told.setText(str(error) if self.size.text().strip() else "")
            self.made.emit([])
            return
        self.told.clear()
        self.made.emit(things)

    def enter(self) -> None:
        """Go on from a field: with what is made, else say what is missing."""
        if self.told.text():
            self.refused.emit(sentence(self.told.text()))
        elif not self.size.text().strip():
            self.refused.emit("Write first how large it cuts.")
            self.size.setFocus()
        else:
            self.entered.emit()

    def _follow(self, field: QLineEdit) -> None:
        field.textEdited.connect(lambda _: self.make())
        field.returnPressed.connect(self.enter)

    def _things(self) -> list[Found]:
        kind, unit = self.kind.currentText(), self._document.unit
        wide, high = self._sides(kind)
        border = parse_length(self.border.text(), unit) if self.border.text().strip() else None
        count = self._steps()
        larger = parse_length(self.larger.text(), unit) if count > 1 else 0.0
        if max(wide, high or wide) + count * larger > MOST or min(wide, high or wide) < LEAST:
            least, most = format_length(LEAST, unit, with_unit=False), format_length(MOST, unit)
            raise OutlineError(f"sizes from {least} to {most} are made; check the size and its unit")
        settings = {
            name: self._setting(name, field.text()) for name, field in self.settings.items() if field.text().strip()
        }
        outlines = steps(kind, wide, high, count, larger, border=border, **settings)
        names = self._names(kind, outlines, border is not None)
        return [self._thing(o, n) for o, n in zip(_in_a_row(outlines), names, strict=True)]

    def _thing(self, outline: Outline, name: str) -> Found:
        windows = frozenset(range(len(outline.holes)))
        return Found(outline, name, metal=False, inset=self.inset, windows=windows)

    def _sides(self, kind: str) -> tuple[float, float | None]:
        text, unit = self.size.text(), self._document.unit
        follows = kind_by_name(kind).height_follows or kind == "circle"
        try:
            wide, high = parse_sides(text, unit)
        except ValueError:
            if not follows:
                raise
            return parse_length(text, unit), None
        return (wide, None) if kind == "circle" and wide == high else (wide, high)

    def _steps(self) -> int:
        text = self.count.text().strip()
        if not text.isdigit() or not 1 <= int(text) <= MOST_STEPS:
            raise OutlineError(f"“{text}” is no number of shapes: write 1 to {MOST_STEPS}")
        return int(text)

    def _setting(self, name: str, text: str) -> float:
        setting = next(s for s in kind_by_name(self.kind.currentText()).settings if s.name == name)
        try:
            return parse_length(text, self._document.unit) if name in SETTING_LENGTHS else float(text.replace(",", "."))
        except ValueError as error:
            raise OutlineError(f"“{text}” is no number for {_words(setting.name).lower()}") from error

    def _names(self, kind: str, outlines: tuple[Outline, ...], frame: bool) -> list[str]:
        unit = self._document.unit
        return [f"{kind}{' frame' if frame else ''} {_size(o, unit)}" for o in outlines]

    def _kind_chosen(self) -> None:
        known = kind_by_name(self.kind.currentText())
        for field in self.settings.values():
            self.form.removeRow(field)
        self.settings = {}
        for setting in known.settings:
            field = self.settings[setting.name] = QLineEdit()
            field.setAccessibleName(_words(setting.name))
            field.setPlaceholderText("as usual" if setting.default is None else f"{setting.default:g}")
            self._follow(field)
            self.form.insertRow(2 + len(self.settings) - 1, _words(setting.name), field)
        inches = self._document.unit == "in"
        two = "2 1/4 × 1 1/2" if inches else "57 × 38"
        one = "2 1/4" if inches else "57"
        self.size.setPlaceholderText(f"{one}, or {two}" if known.height_follows or known.name == "circle" else two)
        self.make()

    def _lay_out(self) -> None:
        form = self.form = QFormLayout(self)
        form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        form.setContentsMargins(SPACE, SPACE, SPACE, SPACE)
        form.setSpacing(GAP + 2)
        for name, field in (
            ("Shape", self.kind),
            ("It cuts", self.size),
            ("Even border", self.border),
            ("How many", self.count),
            ("Each larger by", self.larger),
        ):
            form.addRow(name, field)
            field.setAccessibleName(name)
        form.addRow(self.told)
        self.border.setPlaceholderText("none: the whole shape")
        self.border.setToolTip("With a border, a frame: the shape with a window that leaves this much all round")
        self.larger.setPlaceholderText("1/4 in" if self._document.unit == "in" else "6 mm")
        self.count.setAlignment(Qt.AlignmentFlag.AlignLeft)


def _size(outline: Outline, unit: str) -> str:
    left, low, right, high = outline.bounds
    wide, tall = right - left, high - low
    measure = "in" if unit == "in" else "mm"
    if abs(wide - tall) < 0.02:
        return format_length(wide, measure)
    return format_sides(wide, tall, measure)


def _in_a_row(outlines: tuple[Outline, ...]) -> list[Outline]:
    """Return the outlines side by side on a common foot, with room between."""
    x, laid = 0.0, []
    for outline in outlines:
        left, low, right, _ = outline.bounds
        laid.append(Pose(x - left, -low).outline(outline))
        x += right - left + ROOM_BETWEEN
    return laid


def _words(name: str) -> str:
    return name.replace("_", " ").capitalize()
