"""Which wanted list fits now? Every project that the workshop knows, each by itself against what is at hand."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Literal

from layout.formats.plan_file import read_plan
from layout.formats.project_file import read_project
from layout.geometry.value import Value
from layout.model.errors import PlatefulError
from layout.model.project import Project
from layout.planning.makeable import Makeable, Patience, most_kits, parted, what_can_i_make
from layout.rules import check
from layout.workshop import Workshop
from layout.workshop.at_hand import AtHand

MOST_LISTS = 1000

State = Literal["open", "made", "nothing", "unreadable"]


class Listed(Value, frozen=True):
    """One wanted list before anything is laid: `most` kits are surely not exceeded; `why` it cannot be read."""

    name: str
    state: State
    kits: int = 0
    most: int = 0
    why: str = ""


@dataclass(frozen=True, slots=True)
class _Question:
    listed: Listed
    project: Project | None
    planned: bool = False  # whether the plan beside the project makes all that is due of what is at hand


@dataclass(frozen=True, slots=True)
class Present:
    """The project that is open in a window: as it is there, and where its file is (None: it was never saved)."""

    project: Project
    path: Path | None


class Lists:
    """The wanted lists of all projects, the last opened first."""

    def __init__(self, shop: Workshop, present: Present | None = None) -> None:
        self._shop, self._present = shop, present
        self._at_hand = AtHand(shop)
        self._projects = list(self._known())
        self._questions: list[_Question] = []

    @property
    def names(self) -> list[tuple[str, str]]:
        """Name and path of every project, before any is read."""
        return [(name, str(path) if path else "") for name, path, _ in self._projects]

    def listed(self) -> Iterator[Listed]:
        """Give each list as soon as it is read, with what counts and areas tell of it."""
        for project in self._projects:
            question = self._question(*project)
            self._questions.append(question)
            yield question.listed

    def answers(
        self, patience: Patience, report: Callable[[int, Project, Makeable], None] = lambda *_: None
    ) -> Iterator[tuple[int, Project, Makeable]]:
        """Give the answer to each list that was given and has something due, by its number."""
        for number, question in enumerate(self._questions):
            project = question.project
            if project is None or question.listed.state != "open":
                continue
            if patience.stopped():
                return
            yield number, project, self._answer(question, project, patience, partial(report, number, project))

    def _answer(
        self, question: _Question, project: Project, patience: Patience, report: Callable[[Makeable], None]
    ) -> Makeable:
        """Ask the plan that is there already first: where it stands, nothing has to be laid."""
        if question.planned:
            return Makeable(project.kits, project.kits, project.kits)
        return what_can_i_make(project, patience, report)

    def _known(self) -> Iterator[tuple[str, Path | None, Project | None]]:
        present, known = self._present, self._shop.projects(limit=MOST_LISTS)
        if present is not None:
            yield present.project.name or (present.path.stem if present.path else ""), present.path, present.project
        for project in known:
            if project.path and not (present is not None and _is_same(present, project.id, project.path)):
                yield project.name, Path(project.path), None

    def _question(self, name: str, path: Path | None, project: Project | None) -> _Question:
        try:
            if project is None and path is not None:
                project = self._shop.brought_up(read_project(path), path)
            assert project is not None
            given = self._at_hand.given_to(project)
            state = state_of(project)
            most = min((most_kits(part) for part in parted(given)), default=0)
        except PlatefulError as error:
            return _Question(Listed(name, "unreadable", why=str(error)), None)
        planned = path is not None and _is_planned(self._at_hand.limited(project), path)
        return _Question(Listed(name, state, project.kits, min(most, project.kits)), given, planned)


def state_of(project: Project) -> State:
    """Say whether a project still has something to make."""
    if not any(w.count for w in project.wanted):
        return "nothing"
    return "open" if any(project.due(w) for w in project.wanted) else "made"


def _is_planned(project: Project, path: Path) -> bool:
    """Whether the plan beside a project's file makes all that is due, and keeps every rule."""
    beside = path.with_name(path.name.removesuffix(".json") + ".plan.json")
    try:
        plan = read_plan(beside) if beside.is_file() else None
    except PlatefulError:
        return False
    return plan is not None and not plan.unplaced and not check(project, plan)


def _is_same(present: Present, known: str, path: str) -> bool:
    return known == present.project.done.project or (present.path is not None and path == str(present.path.resolve()))
