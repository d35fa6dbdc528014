"""Random edits: undone to the start they leave the same bytes, redone the same again; findings follow every step."""

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule

from app.canvas.draft import Draft
from app.canvas.live import Live
from app.document.asking import ask, free_id
from app.document.document import Document
from app.document.faults import Faults
from app.document.hands import Hands
from app.document.ordering import Ordering
from app.document.selection import Selection
from app.document.state import State
from app.document.units import with_unit
from layout.formats.plan_file import plan_bytes
from layout.formats.project_file import project_bytes
from layout.geometry.outline import Outline
from layout.model.plan import Plan
from layout.model.project import Scrap
from layout.rules import check
from tests.support.desk import grid

pytestmark = pytest.mark.usefixtures("qapp")

START = State(*grid(3, 2, corners=12, sheets=2))
places = st.floats(-20, 90)
turns = st.sampled_from([0.0, 15.0, 90.0, 211.0])


def as_bytes(state):
    return project_bytes(state.project), plan_bytes(state.plan)


class Edits(RuleBasedStateMachine):
    def __init__(self):
        super().__init__()
        self.document = Document()
        self.selection = Selection(self.document)
        self.hands = Hands(self.document, self.selection)
        self.ordering = Ordering(self.document, self.selection, self.hands)
        self.faults = Faults(self.document)
        self.faults.wait()
        self.live = Live(self.document, self.selection)
        self.document.start_with(START, None)

    @rule(which=st.sets(st.integers(0, 5), max_size=3))
    def pick_dies(self, which):
        there = self._dies()
        self.selection.pick(dies=frozenset(i for i in which if i < there))

    @rule(which=st.integers(0, 1))
    def pick_a_scrap(self, which):
        if which < self._scraps():
            self.selection.pick(scraps=frozenset({which}))

    @rule(x=places, y=places)
    def move(self, x, y):
        self.hands.move_to(x, y)

    @rule(by=turns)
    def turn(self, by):
        self.hands.turn(by)

    @rule(x=st.integers(-1, 1), y=st.integers(-1, 1), fine=st.booleans())
    def nudge(self, x, y, fine):
        self.hands.nudge(x, y, fine=fine)

    @rule()
    def put_back(self):
        self.hands.put_back()

    @rule(die=st.integers(1, 6), x=places, y=places)
    def put_on(self, die, x, y):
        self.hands.put_on(f"flower {die}", (x, y))

    @rule(scrap=st.integers(1, 2), x=places, y=places)
    def lay(self, scrap, x, y):
        if any(s.id == f"sheet {scrap}" for s in self.document.project.scraps):
            self.hands.lay_scrap(f"sheet {scrap}", (x, y))

    @rule(held=st.booleans())
    def hold(self, held):
        self.hands.hold(held)

    @rule()
    def swap(self):
        self.hands.swap()

    @rule()
    def duplicate(self):
        if len(self.document.plan.layouts) < 3:
            self.ordering.duplicate()

    @rule()
    def remove_pass(self):
        self.ordering.remove_run()

    @rule(to=st.integers(0, 3))
    def carry_over(self, to):
        if to < len(self.ordering.places):
            self.ordering.carry_over(self.ordering.places[to])

    @rule()
    def lift_off(self):
        self.ordering.lift_off()

    @rule(by=st.sampled_from([-1, 1]))
    def move_pass(self, by):
        self.ordering.move_run(by)

    @rule(along=st.booleans())
    def take_along(self, along):
        self.hands.along = along

    @rule(at=st.integers(0, 2))
    def look_at(self, at):
        self.selection.look_at(at, 0)

    @rule(kits=st.integers(1, 3))
    def more_kits(self, kits):
        project = self.document.project
        ask(self.document, "Change of kits", _with(project, kits=kits))

    @rule(width=st.integers(5, 90))
    def add_a_scrap(self, width):
        project = self.document.project
        name = free_id([s.id for s in project.scraps], "bit")
        new = Scrap(name, "cream", Outline.rectangle(float(width), 30.0))
        ask(self.document, "Addition of a scrap", _with(project, scraps=(*project.scraps, new)))

    @rule()
    def drop_the_last_scrap(self):
        project = self.document.project
        ask(self.document, "Removal", _with(project, scraps=project.scraps[:-1]))

    @rule(unit=st.sampled_from(["mm", "in", "cm"]))
    def measure(self, unit):
        state = State(with_unit(self.document.project, unit), self.document.plan)
        self.document.change("Measure", state)

    @rule()
    def undo(self):
        self.document.undo.undo()

    @rule()
    def redo(self):
        self.document.undo.redo()

    @rule(x=places, y=places)
    def in_hand_the_findings_are_those_of_a_fresh_check(self, x, y):
        dies, scraps = self.hands.in_hand()
        draft = Draft(dies, scraps).shifted(x / 4, y / 4)
        if draft.empty:
            return
        self.live.follow(draft)
        after = self._as_let_go(draft)
        at = self.selection.layout
        fresh = {f for f in check(*after, self.document.unit) if _of_layout(f, at)}
        # A pair is the same pair whichever of the two is named first.
        assert comparable(self.live.findings()) == comparable(fresh)

    @invariant()
    def findings_are_those_of_a_fresh_check(self):
        state = self.document.state
        fresh = check(state.project, state.plan, self.document.unit) if state.plan != Plan() else []
        assert list(self.faults.findings) == fresh

    def teardown(self):
        end = as_bytes(self.document.state)
        stack = self.document.undo
        stack.setIndex(0)
        assert as_bytes(self.document.state) == as_bytes(START)
        stack.setIndex(stack.count())
        after = as_bytes(self.document.state)
        stack.setIndex(0)
        stack.setIndex(stack.count())
        assert as_bytes(self.document.state) == after
        assert end == after or stack.count() > 0

    def _as_let_go(self, draft):
        document = Document()
        selection = Selection(document)
        document.start_with(self.document.state, None)
        selection.look_at(self.selection.layout, self.selection.run)
        Hands(document, selection).place(draft.dies, draft.scraps, "Move")
        return document.project, document.plan

    def _dies(self):
        layouts = self.document.plan.layouts
        return len(layouts[self.selection.layout].dies) if layouts else 0

    def _scraps(self):
        layouts = self.document.plan.layouts
        runs = layouts[self.selection.layout].runs if layouts else ()
        return len(runs[self.selection.run].scraps) if runs else 0


def comparable(findings):
    return sorted((f.rule, sorted(f.things), round(f.amount or 0.0, 5), f.needed or 0.0) for f in findings)


def _with(project, **fields):
    from layout.geometry.value import replace

    return replace(project, **fields)


def _of_layout(finding, at):
    return any(thing.startswith(f"layouts[{at}]") for thing in finding.things) and finding.rule not in ("sums", "bound")


TestEdits = Edits.TestCase
TestEdits.settings = settings(max_examples=20, stateful_step_count=40, deadline=None)
