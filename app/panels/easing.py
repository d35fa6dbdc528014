"""Taking the peak off a pass: the advice is worked out beside the work, shown as a ghost, and taken as one step."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QThread

from app.canvas.ghost import Ghost
from layout.geometry.units import Unit
from layout.model.plan import Plan
from layout.model.project import Project
from layout.rules.easing import Advice, advise, follow

if TYPE_CHECKING:
    from app.window import Window

NONE_FOUND = "No small turn or move would take the peak off this layout and keep every rule."
NO_PASS = "There is no pass to look at yet: press Plan first."
KEY = "E"


class Asking(QThread):
    """Works the advice out beside the work."""

    def __init__(self, project: Project, plan: Plan, layout: int, unit: Unit, parent: QObject) -> None:
        super().__init__(parent)
        self.plan, self.layout = plan, layout
        self._project, self._unit = project, unit
        self.advice: Advice | None = None

    def run(self) -> None:
        """Find the advice."""
        self.advice = advise(self._project, self.plan, self.layout, unit=self._unit)


class Easer(QObject):
    """Asks for advice on the layout shown, shows it on the plate, and follows it when it is taken."""

    def __init__(self, window: Window) -> None:
        super().__init__(window)
        self._window = window
        self._asking: Asking | None = None
        self._shown: tuple[Plan, int, Advice] | None = None
        window.destroyed.connect(self._end)

    def ease(self) -> None:
        """Take the advice that the plate shows; where it shows none, ask for it."""
        document, layout = self._window.document, self._window.selection.layout
        if not document.plan.layouts or not document.plan.layouts[layout].runs:
            self._window.messages.fault(NO_PASS)
        elif self._window.canvas.ghost is not None and self._still_fits():
            self.take()
        elif self._asking is None:
            self._asking = Asking(document.project, document.plan, layout, document.unit, self)
            self._asking.finished.connect(partial(self._answer, self._asking))
            self._asking.start()
            self._window.messages.news("Looking for a die to turn or to move…")

    def show(self, plan: Plan, layout: int, advice: Advice) -> None:
        """Show an advice for a layout of a plan on the plate, and offer it in words."""
        run = self._window.selection.run
        scraps = {place: pose for (at, place), pose in advice.scraps.items() if at == run}
        self._shown = (plan, layout, advice)
        canvas = self._window.canvas
        words = f"peak falls from {advice.before:.0f} to {advice.after:.0f} mm of blade: press {KEY}"
        canvas.ghost = Ghost(words, dict(advice.dies), scraps)
        canvas.update()

    def take(self) -> None:
        """Lay things as advised, as one step that can be undone; nothing where the plan has gone on since."""
        shown, self._shown = self._shown, None
        self._window.canvas.ghost = None
        document = self._window.document
        if shown is not None and shown[0] is document.plan:
            self._window.messages.clear()
            document.change_plan("Easing", follow(document.plan, shown[1], shown[2]))
        self._window.canvas.update()

    def _still_fits(self) -> bool:
        shown = self._shown
        here = (self._window.document.plan, self._window.selection.layout)
        return shown is not None and shown[0] is here[0] and shown[1] == here[1]

    def _answer(self, asking: Asking) -> None:
        self._asking = None
        here = (self._window.document.plan, self._window.selection.layout)
        if asking.plan is not here[0] or asking.layout != here[1]:
            self._window.messages.clear()
        elif asking.advice is None:
            self._window.messages.news(NONE_FOUND)
        else:
            self.show(asking.plan, asking.layout, asking.advice)
            words = asking.advice.what
            self._window.messages.news(f"{words[:1].upper()}{words[1:]}.", ("Do it", self.take))

    def _end(self) -> None:
        if self._asking is not None:
            self._asking.wait()


def easer_of(window: Window) -> Easer:
    """Return the window's one easer, made when it is first asked for."""
    return window.findChild(Easer) or Easer(window)
