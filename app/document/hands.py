"""What a person may ask of the plan by hand. Each request becomes one named undo step of the document."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from PySide6.QtCore import QObject, Signal

from app.document import edits
from app.document.document import NEVER_MERGES, Document
from app.document.selection import Selection
from layout.geometry.pose import Pose
from layout.geometry.units import MM_PER
from layout.geometry.value import replace
from layout.model.plan import LaidScrap, Layout, PlacedDie, Plan, Run

NUDGE_MERGE, TURN_MERGE = 1, 2
STEP_MM, FINE_MM = 1.0, 0.1
HELD = "What is picked is held in place; let it go first."
SWAP_HELD = "One of the two dies is held in place; let it go first (Shift+H), then swap."
STEP_SIXTEENTHS, FINE_SIXTEENTHS = 1.0, 1.0 / 8


class Hands(QObject):
    """Turns gestures and commands about the picked things into undo steps."""

    refused = Signal(str)
    touched = Signal()  # a hand changed the plan

    def __init__(self, document: Document, selection: Selection, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document, self._selection = document, selection
        self.along = False  # whether what lies on a sheet moves with it

    # ---- where things lie ---------------------------------------------------------------------------------------

    def in_hand(self) -> tuple[dict[int, Pose], dict[int, Pose]]:
        """Return the poses of the picked dies and scraps; what is held in place stays out."""
        layout = self._layout()
        if layout is None:
            return {}, {}
        laid = layout.runs[self._selection.run].scraps if layout.runs else ()
        scraps = {i: laid[i].pose for i in sorted(self._selection.scraps) if not laid[i].extra.get("held")}
        chosen = self._selection.dies | self._riding(layout, frozenset(scraps))
        dies = {i: layout.dies[i].pose for i in sorted(chosen) if not layout.dies[i].extra.get("held")}
        return dies, scraps

    def take_up(self) -> tuple[dict[int, Pose], dict[int, Pose]]:
        """Return what is in hand; where all that is picked is held in place, say why nothing happens."""
        dies, scraps = self.in_hand()
        if not (dies or scraps) and not self._selection.empty:
            self.refused.emit(HELD)
        return dies, scraps

    def _riding(self, layout: Layout, scraps: frozenset[int]) -> frozenset[int]:
        """Return the dies that lie on sheets in hand and go along with them."""
        if not self.along or not scraps:
            return frozenset()
        run, project = layout.runs[self._selection.run], self._document.project
        return frozenset(
            i
            for i, die in enumerate(layout.dies)
            if edits.scrap_under(project, self._document.plan.cut_downs, die, run) in scraps
        )

    def all_held(self) -> bool:
        """Whether everything picked is held in place."""
        dies, scraps = self.in_hand()
        return not self._selection.empty and not dies and not scraps

    def place(
        self, dies: Mapping[int, Pose], scraps: Mapping[int, Pose], verb: str, *, merge: int = NEVER_MERGES
    ) -> None:
        """Lay dies and scraps at new poses, as one step named after what was done to what."""
        layout = self._layout()
        if layout is None or not (dies or scraps):
            return
        riding = frozenset(dies) - self._selection.dies if scraps else frozenset()
        name = f"{verb} of {self.naming(frozenset(dies) - riding, frozenset(scraps))}"

        short = self._short()

        def moved(old: Layout) -> Layout:
            new = (
                edits.move_scraps(
                    self._document.project, self._document.plan.cut_downs, old, self._selection.run, scraps, short
                )
                if scraps
                else old
            )
            return (
                edits.move_dies(self._document.project, self._document.plan.cut_downs, new, dies, short)
                if dies
                else new
            )

        self._change_layout(name, moved, merge=merge)

    def nudge(self, across: float, along: float, *, fine: bool) -> None:
        """Push what is picked by one step or one fine step of the person's unit; nudges in a row are one step."""
        inch = self._document.unit == "in"
        step = (
            (FINE_SIXTEENTHS if fine else STEP_SIXTEENTHS) * MM_PER["in"] / 16 if inch else FINE_MM if fine else STEP_MM
        )

        def push(pose: Pose) -> Pose:
            return Pose(pose.x + across * step, pose.y + along * step, pose.turn)

        self._carry(push, "Nudge", NUDGE_MERGE)

    def turn(self, degrees: float) -> None:
        """Turn each picked thing about its own middle; turns in a row are one step."""
        self._turn(lambda _: degrees, merge=TURN_MERGE)

    def turn_to(self, degrees: float) -> None:
        """Turn each picked thing to an angle, about its own middle."""
        self._turn(lambda pose: degrees - pose.turn)

    def _turn(self, by: Callable[[Pose], float], *, merge: int = NEVER_MERGES) -> None:
        """Turn what is picked; what rides on a sheet turns about the sheet's middle, with the sheet."""
        layout = self._layout()
        dies, scraps = self.take_up()
        if layout is None:
            return
        turned = {i: _turned(p, by(p), self._middle_of_die(layout, i)) for i, p in dies.items()}
        run = layout.runs[self._selection.run] if scraps else Run((), ())
        middles = {
            i: _middle(edits.posed_scrap(self._document.project, self._document.plan.cut_downs, run.scraps[i]).bounds)
            for i in scraps
        }
        sheets = {i: _turned(p, by(p), middles[i]) for i, p in scraps.items()}
        for i in dies.keys() - self._selection.dies:
            under = edits.scrap_under(self._document.project, self._document.plan.cut_downs, layout.dies[i], run)
            if under is not None:
                turned[i] = _turned(dies[i], by(scraps[under]), middles[under])
        self.place(turned, sheets, "Turn", merge=merge)

    def move_to(self, x: float, y: float) -> None:
        """Move the picked things so that the middle of the first lies at a point of the plate."""
        layout = self._layout()
        dies, scraps = self.take_up()
        if layout is None or not (dies or scraps):
            return
        if scraps and not self._selection.dies:
            laid = layout.runs[self._selection.run].scraps[next(iter(scraps))]
            at = _middle(edits.posed_scrap(self._document.project, self._document.plan.cut_downs, laid).bounds)
        else:
            at = self._middle_of_die(layout, next(iter(dies)))
        self._carry(lambda p: Pose(p.x + x - at[0], p.y + y - at[1], p.turn), "Move", NEVER_MERGES)

    def swap(self) -> None:
        """Let two picked dies change places, each keeping its turn."""
        layout = self._layout()
        dies = {i: p for i, p in self.in_hand()[0].items() if i in self._selection.dies}
        if layout is None or len(dies) != 2:
            held = len(self._selection.dies) == 2 and len(dies) < 2
            self.refused.emit(
                SWAP_HELD if held else "Pick two dies to swap them: the second one with Shift and a click."
            )
            return
        (i, a), (j, b) = dies.items()
        mi, mj = self._middle_of_die(layout, i), self._middle_of_die(layout, j)
        there = Pose(a.x + mj[0] - mi[0], a.y + mj[1] - mi[1], a.turn)
        here = Pose(b.x + mi[0] - mj[0], b.y + mi[1] - mj[1], b.turn)
        self.place({i: there, j: here}, {}, "Swap")

    # ---- drawer and heap ----------------------------------------------------------------------------------------

    def put_back(self) -> None:
        """Put the picked dies back in the drawer and the picked scraps back on the heap."""
        dies, scraps, run = self._selection.dies, self._selection.scraps, self._selection.run
        if not (dies or scraps):
            return
        name = f"Put back {self.naming(dies, scraps)}"

        def without(layout: Layout) -> Layout:
            left = edits.with_run(layout, run, lambda r: edits.take_away(r, scraps)) if scraps else layout
            return edits.put_back(left, dies) if dies else left

        self._selection.pick()
        self._change_layout(name, without)

    def put_on(self, die: str, at: tuple[float, float]) -> None:
        """Take a die from the drawer and lay its middle at a point of the plate."""
        owned = edits.die_of(self._document.project, die)
        layout = self._layout()
        if layout is not None and sum(d.die == die for d in layout.dies) >= owned.copies:
            self.refused.emit(f"{owned.name} is already on the plate; you own {owned.copies}.")
            return
        middle = _middle(owned.cut.bounds)
        placed = PlacedDie(die, Pose(at[0] - middle[0], at[1] - middle[1]))
        self._ensure_layout(
            f"Put {owned.name} on the plate",
            lambda old: edits.put_on(self._document.project, self._document.plan.cut_downs, old, placed, self._short()),
        )
        new = self._layout()
        if new is not None:
            self._selection.pick(dies=frozenset({len(new.dies) - 1}))

    def lay_scrap(self, scrap: str, at: tuple[float, float]) -> None:
        """Take a sheet from the heap and lay its middle at a point of the plate."""
        sheet = edits.scrap_of(self._document.project, scrap)
        copy = edits.free_copy(self._document.project, self._document.plan, scrap)
        if copy is None:
            self.refused.emit(
                f"No sheet of {sheet.extra.get('name', sheet.id)} is left: the plan uses all {sheet.count}."
            )
            return
        middle = _middle(sheet.outline.bounds)
        laid = LaidScrap(scrap, Pose(at[0] - middle[0], at[1] - middle[1]), (copy,))

        def lay(old: Layout) -> Layout:
            passed = old if old.runs else replace(old, runs=(Run((), ()),))
            run = min(self._selection.run, len(passed.runs) - 1)
            return edits.lay(self._document.project, self._document.plan.cut_downs, passed, run, laid, self._short())

        self._ensure_layout(f"Lay {sheet.extra.get('name', sheet.id)} on the plate", lay)
        new = self._layout()
        if new is not None and new.runs[self._selection.run].scraps:
            self._selection.pick(scraps=frozenset({len(new.runs[self._selection.run].scraps) - 1}))

    # ---- holding ------------------------------------------------------------------------------------------------

    def hold(self, held: bool) -> None:
        """Hold what is picked in place, or let it go."""
        dies, scraps = self._selection.dies, self._selection.scraps
        if dies or scraps:
            verb = "Hold" if held else "Let go of"
            run = self._selection.run
            self._change_layout(
                f"{verb} {self.naming(dies, scraps)}", lambda old: edits.hold(old, run, dies, scraps, held)
            )

    def naming(self, dies: frozenset[int], scraps: frozenset[int]) -> str:
        """Return what to call the things of these numbers."""
        layout = self._layout()
        if layout is None:
            return "nothing"
        names = [edits.die_of(self._document.project, layout.dies[i].die).name for i in sorted(dies)]
        laid = layout.runs[self._selection.run].scraps if scraps else ()
        sheets = [edits.scrap_of(self._document.project, laid[i].scrap) for i in sorted(scraps)]
        names += [str(s.extra.get("name") or s.id) for s in sheets]
        return names[0] if len(names) == 1 else " and ".join(names) if len(names) == 2 else f"{len(names)} things"

    # ---- inside -------------------------------------------------------------------------------------------------

    def _layout(self) -> Layout | None:
        layouts = self._document.plan.layouts
        return layouts[self._selection.layout] if self._selection.layout < len(layouts) else None

    def _short(self) -> edits.Short:
        return edits.short_of(self._document.project, self._document.plan)

    def _carry(self, how: Callable[[Pose], Pose], verb: str, merge: int) -> None:
        dies, scraps = self.take_up()
        self.place({i: how(p) for i, p in dies.items()}, {i: how(p) for i, p in scraps.items()}, verb, merge=merge)

    def _change_layout(self, name: str, change: Callable[[Layout], Layout], *, merge: int = NEVER_MERGES) -> None:
        plan = edits.with_layout(self._document.plan, self._selection.layout, change)
        self.go_on(name, plan.layouts, merge=merge)

    def _ensure_layout(self, name: str, change: Callable[[Layout], Layout]) -> None:
        if self._layout() is None:
            first = Layout(free_name(self._document.plan), (), (Run((), ()),))
            self.go_on(name, (*self._document.plan.layouts, change(first)))
        else:
            self._change_layout(name, change)

    def go_on(self, name: str, layouts: tuple[Layout, ...], *, merge: int = NEVER_MERGES) -> None:
        """Go on to these layouts as one named step, with what is missing counted afresh."""
        plan = replace(self._document.plan, layouts=layouts)
        self._document.change_plan(name, edits.settle(self._document.project, plan), merge=merge)
        self.touched.emit()

    def _middle_of_die(self, layout: Layout, at: int) -> tuple[float, float]:
        placed = layout.dies[at]
        bounds = edits.die_of(self._document.project, placed.die).cut.bounds
        return placed.pose.point(_middle(bounds))


def _middle(bounds: tuple[float, float, float, float]) -> tuple[float, float]:
    return (bounds[0] + bounds[2]) / 2, (bounds[1] + bounds[3]) / 2


def _turned(pose: Pose, degrees: float, about: tuple[float, float]) -> Pose:
    return Pose(*about, degrees).after(Pose(-about[0], -about[1])).after(pose)


def free_name(plan: Plan) -> str:
    """Return a letter that no layout of the plan has."""
    taken = {layout.id for layout in plan.layouts}
    letters = [chr(c) for c in range(ord("A"), ord("Z") + 1)]
    return next((n for n in letters if n not in taken), f"layout {len(taken) + 1}")
