"""The one window for every way in: a scan, a photo, a drawing, a size; looked at, named, then taken in as one step."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from PySide6.QtCore import QPointF, QRectF, Qt, QTimer, Signal
from PySide6.QtGui import QCloseEvent, QDragEnterEvent, QDropEvent, QKeyEvent, QKeySequence, QPixmap, QShortcut
from PySide6.QtWidgets import QDialog, QFileDialog, QFormLayout, QPushButton, QWidget

from app.document.asking import ask
from app.document.document import Document
from app.look.theme import look_for
from app.look.tokens import Look
from app.messages.channel import Messages
from app.messages.sentence import sentence
from app.settings import Settings
from app.wayin.closeness import close_pairs
from app.wayin.files import DRAWINGS, is_way_in
from app.wayin.found import KINDS, USUAL_INSET, Found, taken_in
from app.wayin.job import outline_from
from app.wayin.laying import Parts, lay_out
from app.wayin.reader import ENDS, Reader
from app.wayin.scaling import how_true
from app.wayin.searching import lay_images, wish_for_images
from app.wayin.tray import Tray
from app.wayin.view import Shown
from layout.geometry.value import replace
from layout.model.errors import PlatefulError

FILES = "Pictures and drawings (*.png *.jpg *.jpeg *.tif *.tiff *.svg *.dxf)"
LARGE_TEXT = 1.5  # from here on a field stands under its name
LONG = 3  # seconds from which the time is shown
INSET = "wayin/inset"
FOLDER = "wayin/folder"


class WayIn(QDialog):
    """Holds tray and reader together; the document is asked once, when the things are taken in."""

    taken = Signal(str, bool, bool)  # in words, and whether there are things for the drawer and for the heap among it

    def __init__(self, document: Document, settings: Settings, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowFlag(Qt.WindowType.WindowMaximizeButtonHint)
        self.document, self.settings = document, settings
        self.tray, self.messages, self.reader = Tray(self), Messages(self), Reader(self)
        self.path: Path | None = None
        self.queue: list[Path] = []
        self._place: dict[str, Any] = {}
        self._leaving = False
        self._work = ""
        self._clock = QTimer(self, interval=1000)
        self._clock.timeout.connect(self._tick)
        self.parts: Parts = lay_out(self)
        self._listen()
        self.set_look(look)
        self.setAcceptDrops(True)
        for button in self.findChildren(QPushButton):
            button.setAutoDefault(False)
        self.refresh()

    # ---- coming in ----------------------------------------------------------------------------------------------

    def add_files(self, paths: Sequence[Path]) -> None:
        """Read files one after another; what waits to be taken in comes first."""
        self.queue += [p for p in paths if is_way_in(p)]
        strange = [p for p in paths if not is_way_in(p)]
        if strange:
            self.messages.fault(f"{strange[0].name} is no picture or drawing: give a PNG, JPEG, TIFF, SVG or DXF file.")
        if self.queue and not self.tray.things and not self.reader.running:
            self._next()
        self.refresh()

    def choose(self) -> None:
        """Ask for files."""
        names, _ = QFileDialog.getOpenFileNames(self, "Scans, photos, drawings", self.settings.value(FOLDER), FILES)
        if names:
            self.settings.set_value(FOLDER, str(Path(names[0]).parent))
            self.add_files([Path(name) for name in names])

    def begin_by_size(self) -> None:
        """Make shapes by their size."""
        self._clear()
        self.messages.clear()
        self.parts.by_size.show()
        self.parts.scaling.hide()
        self.parts.by_size.size.setFocus()
        self.parts.by_size.make()
        self.refresh()

    def read(self, wish: dict[str, Any]) -> None:
        """Read the present file again, as the person says its scale is."""
        if self.path is None:
            return
        view = self.parts.view
        if wish.get("how") == "corners":
            by = self.tray.things[0].scale if self.tray.things else 1.0
            wish["corners"] = [self._pixel(mark / by) for mark in view.marks or ()]
        view.ask_marks(False)
        self.tray.start([])
        self._start(wish)

    def _next(self) -> None:
        self._clear()
        self.path = self.queue.pop(0)
        self.parts.scaling.show()
        self.parts.scaling.show_picture(self.path.suffix.lower() not in DRAWINGS)
        self._start({"how": "auto", "value": None})

    def _start(self, wish: dict[str, Any]) -> None:
        kind = self.parts.kind.currentData()
        self.messages.clear()
        request = {"path": str(self.path), "kind": kind, "measure": self.document.unit, "how": "auto", "value": None}
        self.reader.start({**request, **wish})
        self.refresh()

    def stop(self) -> None:
        """End the reading; the file stays, to be read another way."""
        if self.reader.running:
            self.reader.stop()
            self.messages.news("Stopped. Find the outlines again when you like.")
            self.parts.scaling.find.setFocus()

    def _clear(self) -> None:
        self.reader.stop()
        self.path, self._place = None, {}
        parts = self.parts
        parts.by_size.hide()
        parts.scaling.hide()
        parts.scaling.told.clear()
        parts.check.uncertainty = parts.check.dpi = None
        parts.view.ask_marks(False)
        parts.view.close_pairs = ()
        parts.images.searchable = False
        self.tray.start([])
        parts.view.show_picture(None)

    # ---- what the reader says -----------------------------------------------------------------------------------

    def _told(self, said: dict[str, Any]) -> None:
        act = {
            "doing": self._doing, "seen": self._seen, "done": self._done, "images": self._images, "asks": self._asks,
            "fault": self._fault,
        }  # fmt: skip
        if said["event"] in ENDS:
            self.reader.stop()
        act[said["event"]](said)
        self.refresh()

    def _doing(self, said: dict[str, Any]) -> None:
        self._work = said["words"]
        self._tick()

    def _tick(self) -> None:
        """Say what is being done and for how long: a picture that takes long is seen to be alive."""
        seconds = self.reader.seconds
        self.parts.doing.setText(f"{self._work}…" + (f" {seconds} s" if seconds >= LONG else ""))

    def _seen(self, said: dict[str, Any]) -> None:
        self._place = said
        place = QRectF(said["left"], said["top"] - said["height"], said["width"], said["height"])
        self.parts.view.show_picture(Shown(QPixmap(said["file"]), place))
        way, dpi = said["how"], said["dpi"]
        if way in ("dpi", "card"):
            self.parts.scaling.show_way(way, f"{dpi:.0f}" if way == "dpi" and dpi else self.parts.scaling.value.text())

    def _done(self, said: dict[str, Any]) -> None:
        kind = self.parts.kind.currentData()
        things = [self._found(thing, kind) for thing in said["things"]]
        check, scaling = self.parts.check, self.parts.scaling
        check.uncertainty = said["uncertainty"]
        check.dpi = 25.4 / self._place["pixel"] if said["rests"].startswith("a scan") and self._place else None
        self.parts.view.close_pairs, words = close_pairs(things, self.document.unit)
        sure = how_true(said["uncertainty"], self.document.unit)
        told = [sure, f"The scale rests on {said['rests']}.", *said["findings"], *words]
        scaling.told.setText("\n".join(sentence(t) for t in told if t))
        scaling.form.setRowVisible(scaling.sizes, False)
        self.tray.start(things)
        self.parts.view.fit()
        self.parts.one.begin_naming()
        self.parts.images.searchable = bool(self._place)
        if kind == "scrap":
            self.look_for_images()

    def look_for_images(self) -> None:
        """Look for stamped images on the scraps, where there is a picture to look at and a die that may frame one."""
        wish = wish_for_images(self.tray, self.document, self._place)
        if wish is not None and not self.reader.running:
            self._start(wish)

    def _images(self, said: dict[str, Any]) -> None:
        count, framed = lay_images(self.tray, self.document, said["scraps"])
        words = f"{count} stamped {_were(count)} found." if count else "No stamped image was found on them."
        if count > framed:
            words += f" {count - framed} without a die that fits: choose what frames it, or keep pieces off it."
        self.messages.news(words)
        self.parts.images.refresh()

    def _asks(self, said: dict[str, Any]) -> None:
        self.messages.news(said["words"])
        if said["what"] == "unit":
            buttons = self.parts.scaling.offer_sizes(said["sizes"])
            buttons[0].setFocus()
        else:
            self.parts.scaling.way.setFocus()

    def _fault(self, said: dict[str, Any]) -> None:
        self.messages.fault(said["words"])
        if self._place:
            self.parts.scaling.way.setFocus()
        else:  # nothing was seen: another scale would help nothing, another file does
            self.parts.scaling.hide()
            self.parts.choose.setFocus()

    def _found(self, said: dict[str, Any], kind: str) -> Found:
        body = None if said["body"] is None else outline_from(said["body"])
        return Found(
            outline_from(said["outline"]),
            said["name"],
            kind,
            metal=said["metal"] and kind == "die",
            inset=self.inset,
            windows=frozenset(said["windows"]),
            body=body,
            paper=self.document.project.papers[0].name if self.document.project.papers else "",
        )

    def _pixel(self, mark: QPointF) -> tuple[float, float]:
        place = self._place
        mm = place["pixel"]
        return (mark.x() - place["left"]) / mm - 0.5, (place["top"] - mark.y()) / mm - 0.5

    # ---- taking in ----------------------------------------------------------------------------------------------

    def take_in(self) -> None:
        """Put everything kept into the project as one undo step; then the next file, or done."""
        things = self.tray.things
        if not self.tray.kept:
            return
        try:
            project = taken_in(self.document.project, things)
        except (PlatefulError, ValueError) as error:
            self.messages.fault(str(error) if str(error).endswith(".") else f"{error}.")
            return
        counted = self._counted()
        ask(self.document, f"Addition of {counted}", project)
        scraps = [t.kind == "scrap" for t in things if t.kept]
        self.taken.emit(counted, not all(scraps), any(scraps))
        if self.queue:
            self._next()
        else:
            self._leave()

    @property
    def inset(self) -> float:
        """How far in the blade lay last time."""
        try:
            return float(self.settings.value(INSET))
        except ValueError:
            return USUAL_INSET

    def _made_by_size(self, things: list[Found]) -> None:
        self.tray.start(things)
        self.parts.view.fit()
        self.refresh()

    def _all_are(self, at: int) -> None:
        kind = KINDS[at]
        self.tray.change(tuple(self._as(t, kind) for t in self.tray.things))
        if kind == "scrap" and not any(t.stamps for t in self.tray.things):
            self.look_for_images()

    def _as(self, thing: Found, kind: str) -> Found:
        return replace(thing, kind=kind)

    # ---- showing ------------------------------------------------------------------------------------------------

    def set_look(self, look: Look) -> None:
        """Paint in a look."""
        self.parts.view.set_look(look, self.settings.text_scale)
        self.parts.bar.set_look(look)
        large = self.settings.text_scale >= LARGE_TEXT
        policy = QFormLayout.RowWrapPolicy.WrapAllRows if large else QFormLayout.RowWrapPolicy.WrapLongRows
        for part in (self.parts.one, self.parts.scaling, self.parts.by_size, self.parts.images):
            part.form.setRowWrapPolicy(policy)

    def dress(self) -> None:
        """Paint in the look that is set now."""
        self.set_look(look_for(self.settings))

    def refresh(self) -> None:
        """Show how things stand."""
        parts, running = self.parts, self.reader.running
        waiting = f" – {len(self.queue)} more after this" if self.queue else ""
        name = self.path.name if self.path else "by size" if not parts.by_size.isHidden() else ""
        self.setWindowTitle(f"Dies, punches and scraps in{f' – {name}' if name else ''}{waiting}")
        if running != self._clock.isActive():
            self._clock.start() if running else self._clock.stop()
        parts.going.setVisible(running)
        parts.doing.setVisible(running)
        parts.stop.setVisible(running)
        parts.take.setEnabled(self.tray.kept > 0 and not running)
        parts.take.setText(f"Take in {self._counted()}" if self.tray.kept else "Take in")
        for part in (parts.one, parts.kinds):
            part.setVisible(bool(self.tray.things))
        parts.check.setVisible(bool(self.tray.things) and self.path is not None)
        parts.hint.setVisible(self.path is None and parts.by_size.isHidden())
        discarded = len(self.tray.things) - self.tray.kept
        parts.count.setText(f"{discarded} discarded" if discarded else "")

    def _counted(self) -> str:
        counts = [(sum(t.kept and t.kind == kind for t in self.tray.things), kind) for kind in KINDS]
        said = [f"{n} {_plural(kind, n)}" for n, kind in counts if n]
        return " and ".join(said) or "nothing"

    def _listen(self) -> None:
        parts = self.parts
        self.reader.told.connect(self._told)
        self.reader.ended.connect(self.refresh)
        self.tray.changed.connect(self.refresh)
        parts.scaling.asked.connect(self.read)
        parts.scaling.marks_wanted.connect(self._mark)
        parts.by_size.made.connect(self._made_by_size)
        parts.by_size.entered.connect(self.take_in)
        parts.one.inset_chosen.connect(self._remember_inset)
        parts.one.ended.connect(parts.take.setFocus)
        parts.view.name_asked.connect(parts.one.begin_naming)
        parts.view.discard_asked.connect(parts.one.toggle)
        for part in (parts.one, parts.scaling, parts.check, parts.view, parts.by_size):
            part.refused.connect(self.messages.fault)
        parts.kind.activated.connect(self._all_are)
        parts.images.search.connect(self.look_for_images)
        parts.images.shown.connect(parts.view.update)
        parts.images.refused.connect(self.messages.fault)
        parts.take.clicked.connect(self.take_in)
        parts.stop.clicked.connect(self.stop)
        parts.choose.clicked.connect(self.choose)
        parts.sizes.clicked.connect(self.begin_by_size)
        parts.check.asked.connect(self._ruler)
        for keys, act in (
            ("Ctrl+Return", self.take_in), ("Ctrl+D", parts.one.toggle), ("Ctrl+Z", self.tray.undo),
            ("Ctrl+Shift+Z", self.tray.redo), ("Ctrl+Y", self.tray.redo), ("Ctrl+O", self.choose),
        ):  # fmt: skip
            QShortcut(QKeySequence(keys), self).activated.connect(act)

    def _ruler(self, on: bool) -> None:
        self.parts.view.ruler = on
        self.parts.view.update()

    def _mark(self, on: bool) -> None:
        if on and self._place and self._place.get("left"):
            # The corners are marked on the photo itself, not on what was made of it.
            file = Path(self._place["file"]).with_name("seen.jpg")
            picture = QPixmap(str(file))
            place = {**self._place, "file": str(file), "left": 0.0, "pixel": 0.1}
            self._place = place
            self.parts.view.show_picture(Shown(picture, QRectF(0, 0, picture.width(), picture.height())))
        self.parts.view.ask_marks(on and self.path is not None)
        if on and self.path is not None:
            self.parts.view.setFocus()

    def _remember_inset(self, mm: float) -> None:
        self.settings.set_value(INSET, f"{mm:g}")

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 (Qt's name)
        """Let Enter press the button it stands on, and no other."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            button = self.focusWidget()
            if isinstance(button, QPushButton):
                button.click()
            return
        super().keyPressEvent(event)

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:  # noqa: N802 (Qt's name)
        if any(url.isLocalFile() for url in event.mimeData().urls()):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:  # noqa: N802 (Qt's name)
        event.acceptProposedAction()
        self.add_files([Path(url.toLocalFile()) for url in event.mimeData().urls() if url.isLocalFile()])

    def reject(self) -> None:
        """Close by the key as by the button."""
        self.close()

    def closeEvent(self, event: QCloseEvent) -> None:  # noqa: N802 (Qt's name)
        if self.tray.kept and not self._leaving and not self.isHidden():
            event.ignore()
            words = f"{self._counted()} {'is' if self.tray.kept == 1 else 'are'} not taken in yet."
            self.messages.news(words, ("Take in and close", self._finish), ("Close without", self._leave))
            self.parts.bar.buttons[0].setFocus()
            return
        self.reader.stop()
        event.accept()

    def _finish(self) -> None:
        self.queue = []
        self.take_in()

    def _leave(self) -> None:
        self._leaving = True
        self.close()


def _were(count: int) -> str:
    return "image was" if count == 1 else "images were"


def _plural(kind: str, count: int) -> str:
    return {"die": "die" if count == 1 else "dies", "punch": "punch" if count == 1 else "punches"}.get(
        kind, "scrap" if count == 1 else "scraps"
    )
