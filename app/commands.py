"""What the menus and buttons do: each command asks document, hands, planning or canvas, and holds nothing itself."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from app.document import files
from app.document.faults import dies_of, place_of, scraps_of
from app.document.state import State
from app.document.units import with_unit
from app.wayin.files import is_way_in
from layout.model.errors import FileError

if TYPE_CHECKING:
    from app.window import Window
    from layout.model.done import DoneRun
    from layout.rules.finding import Finding

CLOSER = 1.25
LAYERS = ("paper", "images", "metal", "cuts", "grid")
TURN = 15.0


class Commands:
    """The window's commands by name."""

    def __init__(self, window: Window) -> None:
        self._window = window

    def slots(self) -> dict[str, Callable[..., None]]:
        """Return what answers each command id."""
        window, hands, planning = self._window, self._window.hands, self._window.planning
        canvas, undo = window.canvas, window.document.undo
        return {
            "new": self.new,
            "open": self.open,
            "demo": self.open_demo,
            "way_in": lambda: self.way_in(),
            "by_size": lambda: self.way_in(by_size=True),
            "save": self.save,
            "save_as": self.save_as,
            "previous_version": self.bring_back_previous,
            "workshop": self.show_workshop,
            "print": self.print_guide,
            "sheet": self.print_sheet,
            "box": self.make_box,
            "mats": self.make_mats,
            "cuts": self.cut_sheets,
            "quit": lambda: window.close(),
            "undo": lambda: undo.undo(),
            "redo": lambda: undo.redo(),
            "pick_all": self.pick_all,
            "pick_alike": self.pick_alike,
            "pick_next": lambda: self.pick_by(1),
            "pick_previous": lambda: self.pick_by(-1),
            "pick_none": lambda: window.selection.pick(),
            "turn_left": lambda: hands.turn(TURN),
            "turn_right": lambda: hands.turn(-TURN),
            "place": lambda: window.picked.begin(),
            "swap": lambda: hands.swap(),
            "clear": lambda: canvas.lay_clear(),
            "hold": lambda: hands.hold(True),
            "release": lambda: hands.hold(False),
            "put_back": lambda: hands.put_back(),
            "plan": lambda: planning.start(),
            "plan_rest": lambda: planning.start(hold=True),
            "stop": lambda: planning.stop(),
            "previous_pass": lambda: self.turn_pass(-1),
            "next_pass": lambda: self.turn_pass(1),
            "tick": lambda: window.passes.tick(),
            "by_hand": self.show_hand_work,
            "kits": self.show_kits,
            "duplicate": lambda: window.ordering.duplicate(),
            "pass_earlier": lambda: window.ordering.move_run(-1),
            "pass_later": lambda: window.ordering.move_run(1),
            "remove_pass": lambda: window.ordering.remove_run(),
            "lift_off": lambda: window.ordering.lift_off(),
            "to_pass": self.carry_to_pass,
            "along": lambda on: setattr(hands, "along", on),
            "rollers": self.look_under_the_rollers,
            "ease": self.ease,
            **{f"export_{kind}": partial(self.export, kind) for kind in ("svg", "dxf", "csv", "png")},
            "stack": self.show_stack,
            "embossing": self.show_embossing,
            "fit": lambda: canvas.fit(),
            "closer": lambda: canvas.zoom(CLOSER),
            "farther": lambda: canvas.zoom(1 / CLOSER),
            "true_size": self.true_size,
            "calibrate": self.calibrate,
            "mirror": lambda on: canvas.set_mirrored(on),
            **{f"layer_{name}": partial(canvas.show_layer, name) for name in LAYERS},
            "inches": self.measure_in_inches,
            "fold_left": lambda on: window.left.setVisible(on),
            "fold_right": lambda on: window.answers.setVisible(on),
            "fold_bottom": lambda on: window.strip.setVisible(on),
            "keys": self.show_keys,
            "about": self.show_about,
        }

    # ---- files --------------------------------------------------------------------------------------------------

    def new(self) -> None:
        """Begin an empty project; one that was never saved can be had back."""
        document = self._window.document
        if document.path is None and not document.saved:
            # It has no file to come back from: beginning anew is a step, so that undoing brings it back.
            document.change("New project", State())
            self._window.messages.step(
                "A new project begins. The last was never saved.", "Bring it back", document.undo
            )
            return
        self._window.keeping.keep()
        document.start_with(State(), None)
        self.bring_back()
        self._window.keeper.agree()

    def open(self) -> None:
        """Ask for a file and open it."""
        from PySide6.QtWidgets import QFileDialog  # a class with many enumerations, which no start should wait for

        start = str(self._window.document.path.parent) if self._window.document.path else ""
        path, _ = QFileDialog.getOpenFileName(self._window, "Open a project or plan", start, files.PROJECT_FILES)
        if path:
            self.open_path(path)

    def open_path(self, path: str, _checked: bool = False) -> None:
        """Open a file; where that fails, say why and leave the open project. Pictures and drawings bring dies."""
        window = self._window
        if is_way_in(Path(path)):
            self.way_in([path])
            return
        window.keeping.keep()
        try:
            files.open_into(window.document, Path(path))
        except FileError as error:
            window.messages.fault(str(error))
            return
        window.messages.clear()
        if window.document.path is not None:
            window.settings.remember(window.document.path)
        self.bring_back()
        window.keeper.agree()

    def open_dropped(self, paths: Sequence[str]) -> None:
        """Open what was dropped: all pictures and drawings at once, or the first project."""
        brought = [path for path in paths if is_way_in(Path(path))]
        if brought:
            self.way_in(brought)
        else:
            self.open_path(paths[0])

    def way_in(self, paths: Sequence[str] = (), *, by_size: bool = False) -> None:
        """Bring in dies, punches and scraps from pictures, drawings or sizes."""
        from app.bringing import open_way_in

        open_way_in(self._window, [Path(path) for path in paths], by_size=by_size)

    def bring_back(self) -> None:
        """Bring back what was kept aside of the project just opened, and say so."""
        _ = self._window.keeper  # it hears of what it had not heard of when the window was left
        if self._window.keeping.bring_back():
            undo = self._window.document.undo
            self._window.messages.step("Your unsaved changes from last time are back.", "Undo them", undo)

    def open_demo(self) -> None:
        """Open the demo project."""
        from app.start import DEMO

        self.open_path(str(DEMO))

    def save(self) -> None:
        """Save where the project came from; the demo and a new project ask where to."""
        from app.start import DEMO

        path = self._window.document.path
        if path is None or path == DEMO:
            self.save_as()
        else:
            self.save_to(path)

    def save_as(self) -> None:
        """Ask for a place and save there."""
        from PySide6.QtWidgets import QFileDialog

        from app.exporting import own_folder
        from layout.formats.writing import file_stem

        document = self._window.document
        name = document.path.name if document.path else f"{file_stem(document.name)}.json"
        start = own_folder(self._window) / name
        path, _ = QFileDialog.getSaveFileName(self._window, "Save the project as", str(start), files.PROJECT_FILES)
        if path:
            self.save_to(Path(path if path.endswith(".json") else f"{path}.json"))

    def say_changed_outside(self, path: Path) -> None:
        """Say that somebody else changed the project's file, and let the person choose."""
        window = self._window
        window.messages.news(
            f"{path.name} was changed outside this window; your project here is as you left it.",
            ("Take the file’s", lambda: self.take_from_file(path)),
            ("Save mine over it", lambda: self.save_to(path, over=True)),
        )

    def take_from_file(self, path: Path) -> None:
        """Go on from what the file holds now, as one undo step."""
        window = self._window
        try:
            state = files.read_state(path)
        except FileError as error:
            window.messages.fault(str(error))
            return
        window.document.change(f"Taking {path.name} as it is now", state)
        window.document.saved_as(path)
        window.watching.note()
        window.keeper.agree()

    def bring_back_previous(self) -> None:
        """Bring back what the project's file held before it was last saved, as one undo step."""
        window, path = self._window, self._window.document.path
        if path is None or not files.previous_path(path).is_file():
            window.messages.fault("There is no version from before the last save yet.")
            return
        try:
            state = files.read_previous(path)
        except FileError as error:
            window.messages.fault(str(error))
            return
        window.document.change("Going back to the version before the last save", state)
        window.messages.step("The version before the last save is back.", "Undo", window.document.undo)

    def save_to(self, path: Path, *, over: bool = False) -> None:
        """Save to a file; where that fails, say why and keep the old file whole. `over`: what others wrote too."""
        if not over and self._window.watching.is_changed(path):
            self.say_changed_outside(path)
            return
        try:
            files.save(self._window.document, path)
        except FileError as error:
            self._window.messages.fault(str(error))
            return
        self._window.settings.remember(path)
        self._window.keeping.keep()
        self._window.watching.note()
        self._window.keeper.know()

    def may_leave(self) -> bool:
        """Keep aside what is not saved, so that leaving loses nothing and asks nothing."""
        self._window.keeping.keep()
        return True

    def print_guide(self) -> None:
        """Show the placement guide before it is printed."""
        from app.guiding import offer_guide

        offer_guide(self._window)

    def print_sheet(self) -> None:
        """Show the project sheet before it is printed."""
        from app.sheet.offering import offer_sheet

        offer_sheet(self._window)

    def make_box(self) -> None:
        """Show the form that makes a box blank."""
        from app.sheet.offering import offer_box

        offer_box(self._window)

    def make_mats(self) -> None:
        """Show the form that makes mats for a box or panel."""
        from app.sheet.offering import offer_mats

        offer_mats(self._window)

    def cut_sheets(self) -> None:
        """Show the sheets that are cut down, to move their cuts."""
        from app.sheet.offering import offer_cuts

        offer_cuts(self._window)

    def look_under_the_rollers(self) -> None:
        """Show the blade under the rollers along the pass shown."""
        from app.panels.rolling import open_rollers

        open_rollers(self._window)

    def show_workshop(self) -> None:
        """Show what is owned, for every project."""
        from app.workshop.window import open_workshop_window

        open_workshop_window(self._window)

    def show_hand_work(self) -> None:
        """Show what is to be done by hand, to be ticked off."""
        from app.panels.handwork import open_hand_work

        open_hand_work(self._window)

    def show_kits(self) -> None:
        """Show how the kits stand."""
        from app.panels.kits import open_kits

        open_kits(self._window)

    def say_ticked(self, record: DoneRun) -> None:
        """Say what a pass that was just ticked off made and left."""
        from app.panels.ticked import tick_words

        document = self._window.document
        self._window.messages.step(tick_words(document.project, record), "Not done after all", document.undo)

    def ease(self) -> None:
        """Take the advice that the plate shows, or ask for one."""
        from app.panels.easing import easer_of

        easer_of(self._window).ease()

    def export(self, kind: str, _checked: bool = False) -> None:
        """Write what the window shows to a file for others."""
        from app.exporting import ask_and_export

        ask_and_export(self._window, kind)

    def show_embossing(self) -> None:
        """Show embossing folders and what is embossed in them."""
        from app.panels.embossing import open_embossing

        open_embossing(self._window)

    def show_stack(self) -> None:
        """Show what lies on what in the pass shown."""
        from app.panels.stacking import open_stack

        open_stack(self._window)

    # ---- picking ------------------------------------------------------------------------------------------------

    def pick_all(self) -> None:
        """Pick every die of the layout."""
        scene = self._window.canvas.scene
        self._window.selection.pick(dies=frozenset(d.index for d in scene.dies))

    def pick_alike(self) -> None:
        """Pick every die that is the same as a picked one, or every scrap of the same paper."""
        scene, picked = self._window.canvas.scene, self._window.selection
        kinds = {d.die.id for d in scene.dies if d.index in picked.dies}
        papers = {s.scrap.paper for s in scene.scraps if s.index in picked.scraps}
        picked.pick(
            dies=frozenset(d.index for d in scene.dies if d.die.id in kinds),
            scraps=frozenset(s.index for s in scene.scraps if s.scrap.paper in papers),
        )

    def pick_by(self, step: int) -> None:
        """Pick the next or previous thing: the dies in turn, then the scraps."""
        scene, picked = self._window.canvas.scene, self._window.selection
        things = [("die", d.index) for d in scene.dies] + [("scrap", s.index) for s in scene.scraps]
        if not things:
            return
        now = [("die", i) for i in sorted(picked.dies)] + [("scrap", i) for i in sorted(picked.scraps)]
        at = (things.index(now[0]) + step) % len(things) if now else (0 if step > 0 else -1)
        kind, index = things[at]
        chosen = frozenset({index})
        picked.pick(dies=chosen if kind == "die" else frozenset(), scraps=chosen if kind == "scrap" else frozenset())
        self._window.canvas.setFocus()

    def show_finding(self, finding: Finding) -> None:
        """Turn to the pass that a fault is in and pick what it is about."""
        place = place_of(finding)
        if place is not None:
            selection = self._window.selection
            selection.look_at(*place)
            selection.pick(dies_of([finding], place[0]), scraps_of([finding], *place))

    def turn_pass(self, by: int) -> None:
        """Turn to the pass before or after."""
        passes = self._window.passes
        passes.turn(by)

    def draw_scrap(self, at: int | None = None) -> None:
        """Draw a new scrap by its corners, or mend the one of this number."""
        from app.heap.open import open_scrap

        open_scrap(self._window, at)

    def carry_to_pass(self) -> None:
        """Ask which pass to lay in what is picked."""
        from app.panels.to_pass import ask_for_pass

        ask_for_pass(self._window)

    # ---- views --------------------------------------------------------------------------------------------------

    def measure_in_inches(self, on: bool) -> None:
        """Measure in inches and sixteenths, or in millimetres."""
        document = self._window.document
        unit = "in" if on else "mm"
        if document.unit != unit:
            document.change(
                f"Measure in {'inches' if on else 'millimetres'}",
                State(with_unit(document.project, unit), document.plan),
            )

    def true_size(self) -> None:
        """Show the plate as large as it is, as far as this screen is known."""
        self._window.canvas.true_size(self._window.pixels_per_mm())

    def calibrate(self) -> None:
        """Hold a card to the screen to learn its true size."""
        from app.panels.calibrating import calibrate

        calibrate(self._window)

    def show_keys(self) -> None:
        """List every key."""
        from app.panels.keylist import show_keys

        show_keys(self._window)

    def show_about(self) -> None:
        """Say what this program is."""
        from app.panels.keylist import show_about

        show_about(self._window)
