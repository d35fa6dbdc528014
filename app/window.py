"""The one window: the plate in the middle, what serves it folded round it."""

from __future__ import annotations

from collections.abc import Container
from typing import TYPE_CHECKING

from PySide6.QtCore import QByteArray, QPoint, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication, QFrame, QMainWindow, QMenu, QSplitter, QVBoxLayout, QWidget

from app.actions import COMMANDS, dress_actions, make_actions
from app.canvas.canvas import Canvas
from app.commands import Commands
from app.document.document import Document
from app.document.faults import Faults
from app.document.hands import Hands
from app.document.keeping import Keeping
from app.document.marking import Marking
from app.document.ordering import Ordering
from app.document.selection import Selection
from app.document.watching import Watching
from app.header import LEFT, VIEWS, Header
from app.look.theme import apply_look, look_for
from app.look.tokens import Look
from app.menus import fill_menus, fill_plate_menu
from app.messages.bar import MessageBar
from app.messages.channel import Messages
from app.panels.answers import Answers
from app.panels.passroom import LINE_BELOW
from app.panels.passstrip import PassStrip
from app.planner.planning import Planning
from app.settings import Settings

if TYPE_CHECKING:
    from PySide6.QtGui import QAction, QCloseEvent, QDragEnterEvent, QDropEvent, QKeyEvent, QResizeEvent

    from app.chores import Chores
    from app.panels.hints import Hints
    from app.panels.needs import Needs
    from app.panels.passes import Passes
    from app.panels.picked import Picked
    from app.workshop.keeper import Keeper

USUAL_SIZE = (1340, 860)
SIDE_WIDTH, LEFT_WIDTH = 300, 480
LEFT_SHARE = 0.35  # of the window's width, at most
ANSWERS_SHARE, NARROW_ANSWERS_SHARE = 0.22, 0.27  # likewise; the words of an answer keep a line's length
NARROW = 750  # of the window's width at the usual text size
SHORT = 600  # of the window's height at the usual text size: below that the plate comes before hints and roomy strips
LARGE_TEXT = 1.5  # from this size on, what is needed and owned takes half of what a larger window adds
ON_FROM_THE_START = (
    "fold_left",
    "fold_right",
    "fold_bottom",
    "layer_paper",
    "layer_images",
    "layer_metal",
    "layer_cuts",
)
IN_SIGHT = frozenset((*LEFT, *VIEWS, *ON_FROM_THE_START, "print", "plan", "stop", "inches"))
BELOW, SHORT_BELOW = 42, 40  # least height of the strip under the plate, kept from before there is anything in it


class Window(QMainWindow):
    """Puts the parts together; every part knows the document and none knows the window."""

    def __init__(self, settings: Settings, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.settings = settings
        self._needs: Needs | None = None
        self._passes: Passes | None = None
        self._picked: Picked | None = None
        self._keeper: Keeper | None = None
        self._hints: Hints | None = None
        self._shared_at = 0.0  # the text size for which the width was shared out
        self._dress_program()
        self.messages = Messages(self)
        self.document = Document(self)
        self.selection = Selection(self.document, self)
        self.faults = Faults(self.document, self)
        self.hands = Hands(self.document, self.selection, self)
        self.ordering = Ordering(self.document, self.selection, self.hands)
        self.keeping = Keeping(self.document, settings.folder / "kept", self.messages.fault, self)
        self.marking = Marking(self.document, self)
        self.keeping.mind(self.marking)
        self.watching = Watching(self.document, self)
        self.planning = Planning(self.document, self.messages, self)
        self.canvas = Canvas(self.document, self.selection, self.hands, self.faults)
        self.left = QFrame()
        self.answers = Answers(self.document, self.faults)
        self.strip = PassStrip(self.document)
        self.bar = MessageBar(self.messages)
        self.commands = Commands(self)
        self.actions_by_id: dict[str, QAction] = {}
        self._make_actions(IN_SIGHT)
        self.header = Header(self.document, self.planning, self.actions_by_id)
        self._put_together()
        fill_menus(self)
        self._listen()
        for name in ON_FROM_THE_START:
            self.actions_by_id[name].setChecked(True)
        self._name_undo()
        self._show_unit()
        self.set_look()
        self._restore()
        self.canvas.setFocus()

    def _make_actions(self, some: Container[str]) -> None:
        """Make some of the actions, those that are not there yet."""
        slots = self.commands.slots()
        missing = {name: slots[name] for name in slots if name in some and name not in self.actions_by_id}
        self.actions_by_id.update(make_actions(self, self.canvas, missing))

    def _put_together(self) -> None:
        self.across = QSplitter(Qt.Orientation.Horizontal)
        self.below = QFrame()
        self.below.setProperty("strip", True)
        for part in (self.left, self.canvas, self.answers):
            self.across.addWidget(part)
        self.across.setStretchFactor(1, 1)
        self.across.setCollapsible(1, False)
        middle = QWidget()
        box = _stacked(middle)
        box.addWidget(self.header)
        box.addWidget(self.across, 1)
        for part in (self.below, self.strip):
            box.addWidget(part)
        self.bar.setParent(middle)
        self.bar.float_on(self.canvas)
        self.canvas.resized.connect(self.bar.place)
        self.setCentralWidget(middle)
        self.setAcceptDrops(True)
        self.resize(*USUAL_SIZE)

    def _listen(self) -> None:
        self.document.title_changed.connect(self._say_title)
        self.document.replaced.connect(self._say_title)
        self.hands.refused.connect(lambda text: self.messages.refusal(text, self.document.undo))
        self.watching.changed.connect(self.commands.say_changed_outside)
        self.marking.refused.connect(self.messages.fault)
        self.marking.done.connect(self.commands.say_ticked)
        self.planning.improved.connect(lambda: self.selection.pick())
        self.hands.touched.connect(self.planning.leave_to_hand)
        self.canvas.takers.append(lambda at: self.passes.take(at))
        self.canvas.menu_asked.connect(self._plate_menu)
        self.document.undo.undoTextChanged.connect(self._name_undo)
        self.document.undo.redoTextChanged.connect(self._name_undo)
        self.document.project_changed.connect(self._show_unit)
        self.document.replaced.connect(self._show_unit)
        self.answers.shown.connect(self.commands.show_finding)
        self.settings.look_changed.connect(self.set_look)
        QGuiApplication.styleHints().colorSchemeChanged.connect(self.set_look)
        self._say_title()

    @property
    def needs(self) -> Needs:
        """What is needed and owned; made when it is first asked for, because the plate must be seen first."""
        if self._needs is None:
            self._needs = self._make_needs()
        return self._needs

    @property
    def passes(self) -> Passes:
        """The passes; made when they are first asked for."""
        if self._passes is None:
            self._passes = self._make_passes()
            self.strip.show_in(self._passes)
        return self._passes

    @property
    def picked(self) -> Picked:
        """What is picked and where it lies; made when it is first asked for."""
        if self._picked is None:
            from app.panels.picked import Picked

            self._picked = Picked(self.document, self.selection, self.hands, self.canvas, self.actions_by_id)
            self._picked.set_look(look_for(self.settings), self.settings.text_scale)
            _stacked(self.below).addWidget(self._picked)
            self._picked.show()
        return self._picked

    @property
    def keeper(self) -> Keeper:
        """The tie to the workshop; made when it is first asked for."""
        if self._keeper is None:
            from app.workshop.keeper import Keeper

            self._keeper = Keeper(self.document, self.marking, self.messages, self.settings.workshop_folder, self)
        return self._keeper

    def _make_needs(self) -> Needs:
        from app.panels.leaf import LeafTitles
        from app.panels.needs import Needs

        needs = Needs(self.document, self.selection)
        needs.refused.connect(self.messages.fault)
        needs.way_in_asked.connect(lambda: self.commands.way_in())
        needs.scrap_asked.connect(self.commands.draw_scrap)
        needs.put_on_asked.connect(lambda die: self.hands.put_on(die, self._bed_middle()))
        needs.lay_asked.connect(lambda scrap: self.hands.lay_scrap(scrap, self._bed_middle()))
        needs.set_look(look_for(self.settings), self.settings.text_scale)
        box = _stacked(self.left)
        box.addWidget(LeafTitles(needs))
        box.addWidget(needs, 1)
        needs.show()
        return needs

    def _make_passes(self) -> Passes:
        from app.panels.passes import Passes

        passes = Passes(self.document, self.selection, self.ordering, self.strip.room, self.strip)
        passes.tick_asked.connect(self.marking.mark)
        passes.untick_asked.connect(self.marking.unmark)
        passes.told.connect(self.messages.news)
        passes.resize(self.strip.size())
        passes.set_look(look_for(self.settings), self.settings.text_scale)
        return passes

    def finish(self) -> None:
        """Do what may come after the first picture: the other commands, tables, rules, what was kept aside."""
        self._make_actions([command.id for command in COMMANDS])
        for late in (self.needs, self.picked):  # made here
            late.show()
        self.passes.fit(self.height())  # likewise
        dress_actions(self.actions_by_id, self.canvas.look)
        self._speak()
        self._offer_hints()
        self.faults.go()
        self.commands.bring_back()
        self.keeper.agree()

    def work_between(self, chores: Chores) -> None:
        """From now on, do between events what takes long."""
        self.canvas.work_between(chores)
        for part in (self.faults, self.passes, self.answers, self.needs, self.planning):
            part.chores = chores

    def _speak(self) -> None:
        from app.panels.spoken import Spoken

        Spoken(self.canvas)

    def _offer_hints(self) -> None:
        from app.panels.hints import Hints

        hints = self._hints = Hints(self.settings)
        if hints.left:
            self.answers.add_below(hints)
        self._give_way()

    def set_look(self) -> None:
        """Dress the whole window as the settings and the system say."""
        look, scale = self._dress_program()
        # Before the first picture only what is in sight is inked.
        dress_actions(self.actions_by_id, look, some=() if self._needs else (*LEFT, *VIEWS))
        for part in (self.canvas, self.answers, self.strip, self.header):
            part.set_look(look, scale)
        self.bar.set_look(look)
        self._give_way()
        self._share_width(scale)
        for late in (self._needs, self._picked):
            if late is not None:
                late.set_look(look, scale)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 (Qt's name)
        super().resizeEvent(event)
        self._give_way()

    def _give_way(self) -> None:
        """Leave the plate its height in a low window, or with large text."""
        scale = self.settings.text_scale
        short = self.height() < SHORT * scale
        self.below.setMinimumHeight(round((SHORT_BELOW if short else BELOW) * scale))
        self.strip.fit(self.height())
        self.answers.set_terse(self.height() < LINE_BELOW * scale)
        if self._hints is not None:
            self._hints.give_way(short)

    def _share_width(self, scale: float) -> None:
        """Give what is needed and owned more room where text is larger, yet never more than the plate has."""
        if scale == self._shared_at:
            return
        self._shared_at, whole = scale, max(self.across.width(), self.width())
        left = min(round(LEFT_WIDTH * scale), round(whole * LEFT_SHARE))
        share = NARROW_ANSWERS_SHARE if whole < NARROW * scale else ANSWERS_SHARE
        right = max(SIDE_WIDTH, min(round(SIDE_WIDTH * scale), round(whole * share)))
        self.across.setSizes([left, whole - left - right, right])
        self.across.setStretchFactor(0, int(scale >= LARGE_TEXT))

    def _dress_program(self) -> tuple[Look, float]:
        app = QApplication.instance()
        assert isinstance(app, QApplication)
        look, scale = look_for(self.settings), self.settings.text_scale
        apply_look(app, look, scale)
        return look, scale

    def _say_title(self) -> None:
        self.setWindowTitle(f"{self.document.name}[*] – Plateful")
        self.setWindowModified(not self.document.saved)

    def _name_undo(self) -> None:
        undo = self.document.undo
        for name, can, text in (("undo", undo.canUndo(), undo.undoText()), ("redo", undo.canRedo(), undo.redoText())):
            action = self.actions_by_id[name]
            action.setEnabled(can)
            action.setText(f"{name.capitalize()} {text[:1].lower()}{text[1:]}" if text else name.capitalize())

    def _show_unit(self) -> None:
        self.actions_by_id["inches"].setChecked(self.document.unit == "in")
        self.canvas.refresh()

    def _plate_menu(self, at: QPoint) -> None:
        menu = QMenu(self)
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        fill_plate_menu(self, menu)
        menu.popup(at)

    def _bed_middle(self) -> tuple[float, float]:
        machine = self.document.project.machine
        return machine.bed_width / 2, machine.bed_length / 2

    def pixels_per_mm(self) -> float:
        """Return how many logical pixels a millimetre has on this screen: as calibrated, else as the screen says."""
        calibrated = self.settings.value("screen/pixels_per_mm")
        try:
            return float(calibrated)
        except ValueError:
            return self.screen().physicalDotsPerInch() / 25.4

    def set_pixels_per_mm(self, value: float) -> None:
        """Remember how large a millimetre is on this screen, and show the plate so."""
        self.settings.set_value("screen/pixels_per_mm", f"{value:.4f}")
        self.canvas.true_size(value)

    # ---- coming and going ---------------------------------------------------------------------------------------

    def focusNextPrevChild(self, on: bool) -> bool:  # noqa: N802 (Qt's name)
        from app.tabbing import next_stop

        parts = (self.header, self.bar, self.left, self.canvas, self.below, self.answers, self.strip)
        stop = next_stop(parts, self.focusWidget(), on=on)
        if stop is None:
            return super().focusNextPrevChild(on)
        stop.setFocus(Qt.FocusReason.TabFocusReason if on else Qt.FocusReason.BacktabFocusReason)
        return True

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 (Qt's name)
        if event.key() == Qt.Key.Key_Escape and self.bar.text:
            self.bar.hide()  # what has no other use for the key puts the message away
        else:
            super().keyPressEvent(event)

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:  # noqa: N802 (Qt's name)
        if any(url.isLocalFile() for url in event.mimeData().urls()):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:  # noqa: N802 (Qt's name)
        files = [url.toLocalFile() for url in event.mimeData().urls() if url.isLocalFile()]
        if files:
            event.acceptProposedAction()
            self.commands.open_dropped(files)

    def closeEvent(self, event: QCloseEvent) -> None:  # noqa: N802 (Qt's name)
        if not self.commands.may_leave():
            event.ignore()
            return
        self.planning.drop()
        self.keeping.drop()
        self.keeper.close()
        self.settings.set_value("window/place", bytes(self.saveGeometry().toBase64().data()).decode())
        super().closeEvent(event)

    def _restore(self) -> None:
        place = self.settings.value("window/place")
        if place:
            self.restoreGeometry(QByteArray.fromBase64(place.encode()))


def _stacked(frame: QWidget) -> QVBoxLayout:
    box = QVBoxLayout(frame)
    box.setContentsMargins(0, 0, 0, 0)
    box.setSpacing(0)
    return box
