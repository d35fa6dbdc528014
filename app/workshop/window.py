"""The workshop: what is owned, for every project. Kinds left, things in the middle, what is picked right."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QSize, Qt, QTimer
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QAbstractItemView,
    QDialog,
    QFileDialog,
    QHBoxLayout,
    QInputDialog,
    QLabel,
    QLineEdit,
    QListView,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QVBoxLayout,
)

from app.look.theme import look_for
from app.look.tokens import ROOM, SPACE
from app.messages.bar import MessageBar
from app.messages.channel import Messages
from app.panels.beside import show_beside
from app.panels.columns import SWATCH
from app.panels.words import count
from app.workshop.deeds import Deeds
from app.workshop.details import Details
from app.workshop.places import SET, TAG, Places
from app.workshop.rows import Row, RowModel
from app.workshop.tiles import TileDelegate
from app.workshop.words import KINDS, found_words, told, told_project
from layout.model.errors import PlatefulError

if TYPE_CHECKING:
    from app.window import Window
    from layout.geometry.outline import Outline
    from layout.workshop import Thing

MOST = 3000  # rows shown at once; more is searched for
PAUSE_MS = 80  # between writing and searching
ALL, PROJECTS = "all", "projects"
DRAWERS = "Plateful drawers (*.plateful-drawer);;All files (*)"
WORTH = "What is left of a cut sheet is kept where a circle this wide fits on it."
EMPTY = (
    "The workshop is empty. “Keep from the project” puts the dies, papers and scraps of the open project here, "
    "once and for good; “Take a drawer in” brings what a friend has shared."
)


class WorkshopWindow(Places, QDialog):
    """Asks the store and shows what it says; every refusal is one sentence in its bar."""

    def __init__(self, window: Window) -> None:
        super().__init__(window)
        self.setWindowTitle("Workshop")
        self._window = window
        self.messages = Messages(self)
        self.bar = MessageBar(self.messages)
        self.deeds = Deeds(window.keeper, window.document, self.messages)
        self.kinds = QListWidget()
        self.search = QLineEdit()
        self.model = RowModel(self._outline, self._photo)
        self.list = QListView()
        self.rename_button, self.apart_button = QPushButton("Rename…"), QPushButton()
        self.found, self.details, self.worth = QLabel(), Details(), QLineEdit()
        self._things: dict[str, Thing] = {}
        self._tiles = TileDelegate()
        self.list.setItemDelegate(self._tiles)
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(PAUSE_MS)
        self._pause.timeout.connect(self.refresh)
        self._lay_out()
        self._listen()
        self.set_look()
        self.refresh_kinds()

    # ---- showing ------------------------------------------------------------------------------------------------

    def set_look(self) -> None:
        """Show everything in the present look and text size."""
        settings = self._window.settings
        look, scale = look_for(settings), settings.text_scale
        self.bar.set_look(look)
        self.model.look = look
        self.model.forget()
        self._tiles.set_look(look, scale)
        self.list.setGridSize(self._tiles.size + QSize(SPACE, SPACE))
        self.kinds.setFixedWidth(round(170 * scale))
        self.details.setFixedWidth(round(250 * scale))

    def refresh_kinds(self) -> None:
        """Read kinds, sets and tags again, staying where one is."""
        now = self.place
        self.kinds.blockSignals(True)
        self.kinds.clear()
        for value, name in ((ALL, "Everything"), *KINDS, (PROJECTS, "Projects")):
            _add(self.kinds, value, name)
        sets = self.deeds.ask(lambda store: store.sets()) or []
        tags = self.deeds.ask(lambda store: store.tags()) or []
        for kit in sets:
            _add(self.kinds, SET + kit.name, f"Set: {kit.name}")
        for tag in tags:
            _add(self.kinds, TAG + tag, f"Tag: {tag}")
        at = next((i for i in range(self.kinds.count()) if self.kinds.item(i).data(_VALUE) == now), 0)
        self.kinds.setCurrentRow(at)
        self.kinds.blockSignals(False)
        self.worth.setText(self.deeds.worth_keeping())
        self.refresh()

    def refresh(self) -> None:
        """Read the things of the place looked at that match what is searched for."""
        self._pause.stop()
        picked = self.picked
        named = self.place.startswith((SET, TAG))
        self.rename_button.setVisible(named)
        self.apart_button.setVisible(named)
        self.apart_button.setText("Take the set apart" if self.place.startswith(SET) else "Take the tag off")
        search = self.search.text().strip()
        rows = self._projects(search) if self.place == PROJECTS else self._found(search)
        self.model.show_rows(rows)
        self._pick(picked)
        nothing = not rows and not search and self.place == ALL
        self.found.setText(EMPTY if nothing else found_words(len(rows), MOST, search))
        self._show_picked()

    @property
    def place(self) -> str:
        """The kind, set or tag looked at."""
        item = self.kinds.currentItem()
        return str(item.data(_VALUE)) if item is not None else ALL

    @property
    def picked(self) -> list[str]:
        """The ids of what is picked, in the order shown."""
        rows = sorted(index.row() for index in self.list.selectionModel().selectedIndexes())
        return [self.model.rows[row].id for row in rows]

    def _found(self, search: str) -> list[Row]:
        place = self.place
        kind = place if place in dict(KINDS) else None
        in_set = place.removeprefix(SET) if place.startswith(SET) else None
        tag = place.removeprefix(TAG) if place.startswith(TAG) else None
        things = self.deeds.ask(
            lambda store: store.things(kind=kind, search=search, tag=tag, in_set=in_set, limit=MOST)
        )
        self._things = {thing.id: thing for thing in things or ()}
        unit, grounds = self._window.document.unit, self.deeds.grounds()
        return [Row(t.id, t.name, told(t, unit), ground=grounds.get(t.paper or t.name, "")) for t in things or ()]

    def _projects(self, search: str) -> list[Row]:
        self._things = {}
        found = self.deeds.ask(lambda store: store.projects(search=search, limit=MOST)) or []
        return [Row(str(p.path), p.name, told_project(p), pictured=False) for p in found]

    def _outline(self, thing: str) -> Outline | None:
        if self._things[thing].kind == "paper":
            return SWATCH
        try:
            return self._window.keeper.store.outline(thing)
        except PlatefulError:
            return None  # a picture less is no fault worth a sentence

    def _photo(self, thing: str) -> bytes | None:
        try:
            return self._window.keeper.store.picture(thing)
        except (PlatefulError, ValueError):
            return None

    def _show_picked(self) -> None:
        picked = self.picked
        for button in self._needing_pick:
            button.setEnabled(bool(picked))
        thing = self._things.get(picked[0]) if len(picked) == 1 else None
        if thing is not None:
            at = self.model.index(self.model.row_of(thing.id))
            icon = at.data(Qt.ItemDataRole.DecorationRole)
            photo = self._photo(thing.id) is not None
            self.details.show_thing(thing, told(thing, self._window.document.unit), icon, photo=photo)
        else:
            self.details.say(f"{count(len(picked), 'thing')} picked." if picked else "Nothing is picked.")

    def _pick(self, things: list[str]) -> None:
        wanted = set(things)
        mode = self.list.selectionModel()
        for row, shown in enumerate(self.model.rows):
            if shown.id in wanted:
                mode.select(self.model.index(row), mode.SelectionFlag.Select)

    # ---- doing --------------------------------------------------------------------------------------------------

    def put_into_project(self) -> None:
        """Put what is picked into the open project, or open the picked project."""
        if self.place == PROJECTS:
            self.open_project()
            return
        ready = [i for i in self.picked if i in self._things and self._things[i].kind == "spare"]
        others = [i for i in self.picked if i not in ready]
        if others:
            self.deeds.put_into_project(others)
        for spare in ready:
            self.take_from_tin(spare)
        if ready:
            self.refresh_kinds()

    def open_project(self) -> None:
        """Open the project that is picked."""
        if self.picked:
            self._window.commands.open_path(self.picked[0])

    def keep_from_project(self) -> None:
        """Keep what the open project has, and the workshop has not, for every other project."""
        self.deeds.keep_from_project()
        self.refresh_kinds()

    def remove(self) -> None:
        """Take what is picked out of the workshop; it can be brought back."""
        removed = self.deeds.remove(self.picked)
        self.refresh_kinds()
        if removed:
            undo = ("Bring back", lambda: self.walk_back(removed))
            self.messages.news(f"{count(removed, 'thing')} removed.", undo)

    def walk_back(self, steps: int = 1) -> None:
        """Take the newest changes of the drawer back."""
        self.deeds.walk_back(steps)
        self.refresh_kinds()

    def rename(self, name: str) -> None:
        """Give what is picked another name."""
        self._change(lambda thing: self.deeds.change(thing, name=name))

    def note(self, text: str) -> None:
        """Write a note on what is picked."""
        self._change(lambda thing: self.deeds.change(thing, note=text))

    def tag(self, text: str) -> None:
        """Give what is picked other tags."""
        self._change(lambda thing: self.deeds.tag(thing, text))

    def make_set(self) -> None:
        """Ask for a name and keep what is picked together under it."""
        name, agreed = QInputDialog.getText(self, "Make a set", "What is the set called?")
        if agreed and name.strip():
            self.put_set(name.strip())

    def put_set(self, name: str) -> None:
        """Keep what is picked together under a name."""
        self.deeds.put_set(name, self.picked)
        self.refresh_kinds()

    def take_drawer_in(self) -> None:
        """Ask for a drawer's file and take it in."""
        path, _ = QFileDialog.getOpenFileName(self, "Take a drawer in", "", DRAWERS)
        if path:
            self.deeds.import_from(Path(path))
            self.refresh_kinds()

    def give_drawer_out(self) -> None:
        """Ask for a file and write what is picked, or everything, into it."""
        path, _ = QFileDialog.getSaveFileName(self, "Give a drawer out", "drawer.plateful-drawer", DRAWERS)
        if path:
            self.deeds.export_to(Path(path), self.picked)

    def choose_folder(self) -> None:
        """Ask for the folder where the workshop lives from now on."""
        here = str(self._window.keeper.folder)
        if chosen := QFileDialog.getExistingDirectory(self, "The folder where the workshop lives", here):
            self.move_to(Path(chosen))

    def move_to(self, folder: Path) -> None:
        """Take the workshop to a folder, or go over to the one that is there."""
        from layout.workshop.moving import holds_workshop

        keeper = self._window.keeper
        if folder.resolve() == keeper.folder.resolve():
            self.messages.news(f"The workshop lives in {folder} already.")
            return
        there = holds_workshop(folder)
        left = keeper.move(folder, self.messages)
        if left is None:
            return
        self._window.settings.set_value("workshop/folder", str(folder))
        keeper.agree()
        self.refresh_kinds()
        went = "The workshop found in that folder is open now" if there else f"The workshop lives in {folder} now"
        self.messages.news(f"{went}; the old one is kept in {left}.")

    def show_lists(self) -> None:
        """Show which projects' wanted lists fit on what is at hand."""
        from app.workshop.lists import open_lists

        open_lists(self._window)

    def show_history(self) -> None:
        """Show what was cut when, and what was changed."""
        from app.workshop.history import open_history

        open_history(self._window).finished.connect(lambda _: self.refresh_kinds())

    # ---- inside -------------------------------------------------------------------------------------------------

    def _change(self, change: Callable[[Thing], None]) -> None:
        for thing in [self._things[i] for i in self.picked if i in self._things]:
            change(thing)
        self.refresh_kinds()

    def _keep_from(self) -> None:
        text = self.worth.text().strip()
        if text != self.deeds.worth_keeping():
            self.deeds.keep_from(text)
            self.worth.setText(self.deeds.worth_keeping())

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802 (Qt's name)
        """Look again when one comes back: another window may have changed the workshop."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.ActivationChange and self.isActiveWindow() and not self.details.hasFocus():
            self.refresh_kinds()

    def _listen(self) -> None:
        self.kinds.currentRowChanged.connect(lambda _: self.refresh())
        for keys, act in (("F2", self.rename_place), ("Del", self.remove_place)):
            key = QShortcut(QKeySequence(keys), self.kinds, activated=act)
            key.setContext(Qt.ShortcutContext.WidgetShortcut)
        self.search.textChanged.connect(lambda _: self._pause.start())
        self.search.returnPressed.connect(self.refresh)
        self.list.selectionModel().selectionChanged.connect(lambda *_: self._show_picked())
        self.list.activated.connect(lambda _: self.put_into_project())
        self.worth.editingFinished.connect(self._keep_from)
        self.details.renamed.connect(self.rename)
        self.details.tagged.connect(self.tag)
        self.details.noted.connect(self.note)
        self.details.photo_asked.connect(self.choose_photo)
        self.details.photo_gone.connect(self.take_photo_away)
        self.rename_button.clicked.connect(self.rename_place)
        self.apart_button.clicked.connect(self.remove_place)
        self._window.settings.look_changed.connect(self.set_look)
        for keys, act in (("Del", self.remove), ("Ctrl+Z", self.walk_back), ("Ctrl+F", self.search.setFocus)):
            QShortcut(QKeySequence(keys), self.list if keys == "Del" else self, activated=lambda act=act: act())

    def _lay_out(self) -> None:
        self.kinds.setAccessibleName("Kinds, sets and tags")
        self.search.setAccessibleName("Search")
        self.search.setPlaceholderText("Search by name, tag or note")
        self.search.setClearButtonEnabled(True)
        self.worth.setAccessibleName("Worth keeping of a cut sheet")
        self.worth.setToolTip(WORTH)
        self.worth.setFixedWidth(round(80 * self._window.settings.text_scale))
        self.found.setWordWrap(True)
        self.found.setProperty("tone", "quiet")
        _dress(self.list, self.model)
        middle = QVBoxLayout()
        for part in (self.search, self.found):
            middle.addWidget(part)
        middle.addWidget(self.list, 1)
        row = QHBoxLayout()
        row.setContentsMargins(ROOM, SPACE, ROOM, 0)
        row.setSpacing(SPACE)
        places = QVBoxLayout()
        places.addWidget(self.kinds, 1)
        for button in (self.rename_button, self.apart_button):
            button.setAutoDefault(False)
            places.addWidget(button)
        places.addWidget(_button("What can I make?", self.show_lists))
        places.addWidget(_button("History…", self.show_history))
        folder = _button("Folder…", self.choose_folder)
        folder.setToolTip("Choose the folder where the workshop lives")
        places.addWidget(folder)
        row.addLayout(places)
        row.addLayout(middle, 1)
        row.addLayout(self._for_picked())
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.addWidget(self.bar)
        outer.addLayout(row, 1)
        outer.addLayout(self._buttons())

    def _for_picked(self) -> QVBoxLayout:
        into = _button("Put into the project", self.put_into_project)
        into.setProperty("role", "main")
        remove = _button("Remove", self.remove)
        remove.setAccessibleName("Remove what is picked from the workshop")
        self._needing_pick = (into, remove, _button("Make a set…", self.make_set))
        side = QVBoxLayout()
        side.addWidget(self.details, 1)
        for button in self._needing_pick:
            side.addWidget(button)
        return side

    def _buttons(self) -> QHBoxLayout:
        box = QHBoxLayout()
        box.setContentsMargins(ROOM, SPACE, ROOM, SPACE)
        for text, press in (
            ("Keep from the project", self.keep_from_project),
            ("Take a drawer in…", self.take_drawer_in),
            ("Give a drawer out…", self.give_drawer_out),
        ):
            box.addWidget(_button(text, press))
        box.addStretch(1)
        label = QLabel("Worth keeping")
        label.setToolTip(WORTH)
        label.setBuddy(self.worth)
        box.addWidget(label)
        box.addWidget(self.worth)
        return box


def open_workshop_window(window: Window) -> WorkshopWindow:
    """Show the workshop beside the window."""
    shown = WorkshopWindow(window)
    show_beside(shown, window, 1000, 620)
    shown.search.setFocus()
    return shown


_VALUE = Qt.ItemDataRole.UserRole


def _add(kinds: QListWidget, value: str, name: str) -> None:
    item = QListWidgetItem(name, kinds)
    item.setData(_VALUE, value)


def _button(text: str, press: object) -> QPushButton:
    button = QPushButton(text)
    button.setAutoDefault(False)
    button.clicked.connect(lambda: press())
    return button


def _dress(view: QListView, model: RowModel) -> None:
    view.setModel(model)
    view.setAccessibleName("Things")
    view.setViewMode(QListView.ViewMode.IconMode)
    view.setFlow(QListView.Flow.LeftToRight)
    view.setMovement(QListView.Movement.Static)
    view.setResizeMode(QListView.ResizeMode.Adjust)
    view.setUniformItemSizes(True)
    view.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
    view.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
