"""What a hand does to passes and layouts: their order, copies of them, and which pass a thing is laid in."""

from __future__ import annotations

from app.document import edits
from app.document.document import Document
from app.document.hands import Hands, free_name
from app.document.selection import Selection
from layout.geometry.value import replace
from layout.model.plan import LaidScrap, Layout, PlacedDie, Run

Place = tuple[int, int]  # numbers of a layout and of a pass within it


class Ordering:
    """Each request becomes one named undo step, by way of `hands`."""

    def __init__(self, document: Document, selection: Selection, hands: Hands) -> None:
        self._document, self._selection, self._hands = document, selection, hands

    @property
    def places(self) -> list[Place]:
        """Every pass in the order of the plan."""
        layouts = enumerate(self._document.plan.layouts)
        return [(i, j) for i, layout in layouts for j in range(max(1, len(layout.runs)))]

    def duplicate(self) -> None:
        """Add a copy of the layout looked at: the same dies, no paper yet."""
        layout = self._layout()
        if layout is not None:
            copy = edits.duplicate(layout, free_name(self._document.plan))
            self._hands.go_on(f"Duplicate of layout {layout.id}", (*self._document.plan.layouts, copy))
            self._selection.look_at(len(self._document.plan.layouts) - 1, 0)

    def remove_run(self) -> None:
        """Take the pass looked at out of the plan, and its layout when that was its last pass."""
        layout, at, run = self._layout(), self._selection.layout, self._selection.run
        if layout is None:
            return
        runs = layout.runs[:run] + layout.runs[run + 1 :]
        layouts = list(self._document.plan.layouts)
        layouts[at : at + 1] = [replace(layout, runs=runs)] if runs else []
        self._hands.go_on("Removal of a pass", tuple(layouts))

    def move_run(self, by: int) -> None:
        """Move the pass looked at one place earlier or later."""
        places = self.places
        if places:
            at = places.index((self._selection.layout, self._selection.run))
            if 0 <= at + by < len(places):
                self.bring(places[at], places[at + by])

    def bring(self, what: Place, where: Place) -> None:
        """Bring a pass to another's place; past the passes of its own layout, it takes its whole layout along.

        The passes of one layout stay together: between them nothing is taped down anew.
        """
        layouts = list(self._document.plan.layouts)
        if what == where or not layouts:
            return
        if what[0] == where[0]:
            runs = list(layouts[what[0]].runs)
            runs.insert(where[1], runs.pop(what[1]))
            layouts[what[0]] = replace(layouts[what[0]], runs=tuple(runs))
            self._hands.go_on("Reorder of passes", tuple(layouts))
            self._selection.look_at(*where)
        else:
            layouts.insert(where[0], layouts.pop(what[0]))
            self._hands.go_on("Reorder of layouts", tuple(layouts))
            self._selection.look_at(where[0], what[1])

    def lift_off(self) -> None:
        """Lift the picked dies off for the pass looked at; where all are off already, let them cut again."""
        layout, run, dies = self._layout(), self._selection.run, self._selection.dies
        if layout is None or not dies or not layout.runs:
            return
        project, plan, at = self._document.project, self._document.plan, self._selection.layout
        cutting = dies & {c.die for c in layout.runs[run].cuts}
        short = edits.short_of(project, plan)

        def change(old: Run) -> Run:
            return (
                edits.lift_off(old, cutting)
                if cutting
                else edits.recut(project, plan.cut_downs, layout, old, dies, short)
            )

        after = edits.with_layout(plan, at, lambda old: edits.with_run(old, run, change))
        if after.layouts == plan.layouts:
            self._hands.refused.emit("There is no fitting paper under it, or none of its pieces is missing.")
            return
        verb = "Lift off" if cutting else "Cut again with"
        self._hands.go_on(f"{verb} {self._hands.naming(cutting or dies, frozenset())}", after.layouts)

    def carry_over(self, where: Place) -> None:
        """Lay what is picked in another pass, where it lies now: taken out of this pass and put into that one.

        Within one layout its dies are the same, so there a die only stops cutting here and begins to cut there.
        """
        here, layout = (self._selection.layout, self._selection.run), self._layout()
        if layout is None or where == here or self._selection.empty:
            return
        dies, scraps = (frozenset(poses) for poses in self._hands.take_up())
        if not (dies or scraps):
            return
        name = self._hands.naming(dies, scraps)
        refused = self._too_many(layout, dies, where)
        if refused:
            self._hands.refused.emit(refused)
            return
        laid = [layout.runs[here[1]].scraps[i] for i in sorted(scraps)]
        placed = [layout.dies[i] for i in sorted(dies)]
        layouts = list(self._document.plan.layouts)
        layouts[here[0]] = self._without(layout, here[1], dies, scraps, keep=where[0] == here[0])
        short = edits.short_of(self._document.project, replace(self._document.plan, layouts=tuple(layouts)))
        layouts[where[0]] = self._with(layouts[where[0]], where[1], laid, [] if where[0] == here[0] else placed, short)
        if where[0] == here[0] and dies:
            layouts[where[0]] = self._cut_there(layouts[where[0]], where[1], dies, short)
        self._selection.pick()
        self._hands.go_on(f"Move of {name} to another pass", tuple(layouts))
        self._selection.look_at(*where)

    def _too_many(self, layout: Layout, dies: frozenset[int], where: Place) -> str:
        """Return the sentence that refuses more dies than are owned in one layout, empty where all can go."""
        if self._document.plan.layouts[where[0]] is layout:
            return ""
        there = [d.die for d in self._document.plan.layouts[where[0]].dies] + [layout.dies[i].die for i in dies]
        for i in sorted(dies):
            die = edits.die_of(self._document.project, layout.dies[i].die)
            if there.count(die.id) > die.copies:
                return f"{die.name} is already taped down there; you own {die.copies}."
        return ""

    def _without(self, layout: Layout, run: int, dies: frozenset[int], scraps: frozenset[int], *, keep: bool) -> Layout:
        left = edits.with_run(layout, run, lambda r: edits.take_away(r, scraps)) if scraps else layout
        if not dies:
            return left
        return edits.with_run(left, run, lambda r: edits.lift_off(r, dies)) if keep else edits.put_back(left, dies)

    def _with(
        self, layout: Layout, run: int, laid: list[LaidScrap], placed: list[PlacedDie], short: edits.Short
    ) -> Layout:
        project, cut_downs = self._document.project, self._document.plan.cut_downs
        more = layout if layout.runs else replace(layout, runs=(Run((), ()),))
        for sheet in laid:
            more = edits.lay(project, cut_downs, more, run, sheet, short)
        for die in placed:
            more = edits.put_on(project, cut_downs, more, die, short)
        return more

    def _cut_there(self, layout: Layout, run: int, dies: frozenset[int], short: edits.Short) -> Layout:
        return edits.with_run(
            layout,
            run,
            lambda r: edits.recut(self._document.project, self._document.plan.cut_downs, layout, r, dies, short),
        )

    def _layout(self) -> Layout | None:
        layouts = self._document.plan.layouts
        return layouts[self._selection.layout] if self._selection.layout < len(layouts) else None
