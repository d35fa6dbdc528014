"""What is wrong while things are in hand: the engine's rules follow the draft, move by move."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from PySide6.QtCore import QObject, Signal

from app.canvas.draft import Draft
from app.document import edits
from app.document.document import Document
from app.document.faults import dies_of, scraps_of
from app.document.selection import Selection
from layout.geometry.outline import Ring
from layout.geometry.pose import Pose
from layout.geometry.simple import inside
from layout.model.plan import Layout
from layout.model.project import Scrap

if TYPE_CHECKING:
    from app.chores import Chores
    from layout.rules.finding import Finding
    from layout.rules.live import LiveRules

CutsOfRun = Mapping[int, tuple[int, str]]  # by die: the number of the sheet it cuts, and the piece


class _Laid(NamedTuple):
    """A sheet as it lies, looked up once instead of at every move."""

    back: Pose  # from the plate to the sheet's own frame
    bounds: tuple[float, float, float, float]  # in its own frame
    border: Ring

    @staticmethod
    def of(scrap: Scrap, pose: Pose) -> _Laid:
        """Return a sheet laid at a pose."""
        return _Laid(pose.inverse(), scrap.outline.bounds, scrap.outline.outer)


def _top_of(sheets: Sequence[_Laid], at: tuple[float, float]) -> int | None:
    """Return the number of the topmost sheet under a point of the plate."""
    for i in reversed(range(len(sheets))):
        x, y = sheets[i].back.point(at)
        left, low, right, high = sheets[i].bounds
        if left <= x <= right and low <= y <= high and inside(sheets[i].border, (x, y)):
            return i
    return None


WARMING = "live rules"


class Live(QObject):
    """Keeps the rules of the layout looked at in step with a draft; drops them when the document changes.

    With `chores` the rules are made ready little by little; a draft taken meanwhile is followed once they are.
    """

    caught_up = Signal()  # the findings of a draft are there that could not be told at once

    def __init__(self, document: Document, selection: Selection, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document, self._selection = document, selection
        self.chores: Chores | None = None
        self._rules: LiveRules | None = None
        self._wanted = Draft()  # what is to be followed as soon as the rules are ready
        self._shown = Draft()
        self._under: dict[int, tuple[int | None, ...]] = {}
        self._cuts: list[CutsOfRun] = []
        self._sheets: list[list[_Laid]] = []  # by run, as the document has them
        self._short: edits.Short = Counter()  # what is short as the document has it
        self.more_missing = 0  # pieces that would be missing more than now; fewer is negative
        for signal in (document.replaced, document.plan_changed, document.project_changed, selection.moved):
            signal.connect(self.drop)

    @property
    def rules(self) -> LiveRules | None:
        """The rules as they stand, None before anything was in hand."""
        return self._rules

    def drop(self) -> None:
        """Forget the rules: they were about another state, or were moved about."""
        self._rules = None
        self._wanted = self._shown = Draft()
        self.more_missing = 0
        if self.chores is not None:
            self.chores.add(WARMING, self._warm())

    def finish(self) -> None:
        """Make the rules ready now."""
        if self._rules is None:
            for _ in self._warm():
                pass
            if self.chores is not None:
                self.chores.drop(WARMING)

    def follow(self, draft: Draft) -> None:
        """Lay things as the draft has them; what was in hand before lies where the document has it again."""
        if self.chores is None:
            self.finish()
        elif self._rules is None and self._wanted.empty:
            self.chores.add(WARMING, self._warm(), first=True)
        if self._rules is None:
            self._wanted = draft
        else:
            self._follow(self._rules, draft)

    def _follow(self, rules: LiveRules, draft: Draft) -> None:
        self._cut_otherwise(rules, draft)
        run = self._selection.run
        for i, pose in {**self._back_scraps(draft), **draft.scraps}.items():
            rules.move_scrap(run, i, pose)
        dies = {**self._back_dies(draft), **draft.dies}
        if dies:
            rules.move_dies(dies)
        self._shown = draft

    def findings(self) -> tuple[Finding, ...]:
        """Return all that is wrong with the layout as the draft has it."""
        return () if self._rules is None else tuple(self._rules.findings())

    def about(self, draft: Draft) -> list[Finding]:
        """Return what is wrong with the things in hand."""
        if self._rules is None:
            return []
        run = self._selection.run
        found = [f for i in draft.dies for f in self._rules.about_die(i)]
        found += [f for i in draft.scraps for f in self._rules.about_scrap(run, i)]
        return list(dict.fromkeys(found))

    def _cut_otherwise(self, rules: LiveRules, draft: Draft) -> None:
        """Let dies cut from the sheets that they lie over now, in every pass, as they will when the hand lets go."""
        under = self._sheets_under({**self._back_dies(draft), **draft.dies})
        changed = any(self._under[i] != sheets or self._may_begin(i, sheets) for i, sheets in under.items())
        changed = changed or draft.dies.keys() != self._shown.dies.keys()  # whoever is in hand may begin to cut
        self._under.update(under)
        if not changed and not draft.scraps and not self._shown.scraps:
            return
        anew, short = self._cut_anew(draft)
        for r, run in enumerate(anew.runs):
            self._recut_run(rules, r, {c.die: (c.scrap, c.wanted) for c in run.cuts})
        self.more_missing = edits.missing_of(short) - edits.missing_of(self._short)

    def _may_begin(self, die: int, sheets: tuple[int | None, ...]) -> bool:
        """Whether a die lies over a sheet that it does not cut: lifted off, it cuts again once its piece is short."""
        return any(sheet is not None and die not in self._cuts[r] for r, sheet in enumerate(sheets))

    def _recut_run(self, rules: LiveRules, run: int, cuts: CutsOfRun) -> None:
        before = self._cuts[run]
        for die in sorted(before.keys() | cuts.keys()):
            if before.get(die) != cuts.get(die):
                rules.recut(run, die, *cuts.get(die, (None, "")))
        self._cuts[run] = cuts

    def _warm(self) -> Iterator[None]:
        """Make the rules ready, a little at every step, then follow what was taken in hand meanwhile."""
        plan, at = self._document.plan, self._selection.layout
        if at >= len(plan.layouts):
            return
        from layout.rules.live import LiveRules

        yield
        rules = LiveRules(self._document.project, plan, at, self._document.unit, in_steps=True)
        while rules.step():
            yield
        layout, project = plan.layouts[at], self._document.project
        self._sheets = [
            [_Laid.of(edits.laid_sheet(project, plan.cut_downs, s), s.pose) for s in run.scraps] for run in layout.runs
        ]
        self._under = self._sheets_under({i: d.pose for i, d in enumerate(layout.dies)})
        yield
        self._short = edits.short_of(self._document.project, plan)
        self._cuts = [{c.die: (c.scrap, c.wanted) for c in run.cuts} for run in layout.runs]
        self._rules = rules
        wanted, self._wanted = self._wanted, Draft()
        if not wanted.empty:
            self._follow(rules, wanted)
            self.caught_up.emit()

    def _sheets_under(self, poses: Mapping[int, Pose]) -> dict[int, tuple[int | None, ...]]:
        """Return the sheet that each die would lie over in each pass of the layout, as `edits.scrap_under` finds it."""
        project, dies = self._document.project, self._document.plan.layouts[self._selection.layout].dies
        hearts = {i: pose.point(edits.heart_of(project, dies[i])) for i, pose in poses.items()}
        return {i: tuple(_top_of(run, at) for run in self._sheets) for i, at in hearts.items()}

    def _cut_anew(self, draft: Draft) -> tuple[Layout, edits.Short]:
        """Return the layout as it would be if the hand let go, and what would be short then."""
        project, run, short = self._document.project, self._selection.run, self._short.copy()
        layout, cut_downs = self._document.plan.layouts[self._selection.layout], self._document.plan.cut_downs
        moved = edits.move_scraps(project, cut_downs, layout, run, draft.scraps, short) if draft.scraps else layout
        return edits.move_dies(project, cut_downs, moved, draft.dies, short) if draft.dies else moved, short

    def _back_dies(self, draft: Draft) -> Mapping[int, Pose]:
        dies = self._document.plan.layouts[self._selection.layout].dies
        return {i: dies[i].pose for i in self._shown.dies if i not in draft.dies}

    def _back_scraps(self, draft: Draft) -> Mapping[int, Pose]:
        runs = self._document.plan.layouts[self._selection.layout].runs
        laid = runs[self._selection.run].scraps if runs else ()
        return {i: laid[i].pose for i in self._shown.scraps if i not in draft.scraps}


def faulty(findings: tuple[Finding, ...], selection: Selection) -> tuple[frozenset[int], frozenset[int]]:
    """Return the numbers of the dies and scraps looked at that findings are about."""
    return dies_of(findings, selection.layout), scraps_of(findings, selection.layout, selection.run)
