"""What is due from each die: pieces, and the fewest uses of the die that can cut them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from layout.model.project import Die, Machine, Project, Wanted
from layout.planning.extents import goes_into_box
from layout.planning.supply import SLACK, Source, sources

_MOST_DROPPED = 60


@dataclass(frozen=True, slots=True)
class Task:
    """Pieces of one wanted that can be made, and where they may come from."""

    wanted: Wanted
    pieces: int
    sources: tuple[Source, ...]


@dataclass(frozen=True, slots=True)
class DieWork:
    """All tasks of one die."""

    die: Die
    tasks: tuple[Task, ...]

    @property
    def pieces(self) -> int:
        """How many pieces this die has to cut."""
        return sum(t.pieces for t in self.tasks)

    def uses(self, dropped: int = 0) -> int:
        """Return the fewest cuts of this die that make all pieces but `dropped` of them."""
        if len(self.tasks) == 1:
            return fewest_uses(max(0, self.pieces - dropped), self.tasks[0].sources)
        if dropped > _MOST_DROPPED:
            return max(0, self.uses() - dropped)  # a dropped piece spares one use at most
        least = [0] * (dropped + 1)
        for task in self.tasks:
            curve = [fewest_uses(max(0, task.pieces - k), task.sources) for k in range(dropped + 1)]
            least = [min(least[j - k] + curve[k] for k in range(j + 1)) for j in range(dropped + 1)]
        return least[dropped]


def die_work(project: Project) -> list[DieWork]:
    """Return the work of every die that has some, in the project's order; what surely cannot be made is left out."""
    found = []
    for die in project.dies:
        wanted = [w for w in project.wanted if w.shape == die.id]
        tasks = tuple(t for w in wanted if (t := _task(project, w, die)).pieces > 0)
        if tasks:
            found.append(DieWork(die, tasks))
    return found


def impossible(project: Project) -> int:
    """Return how many of the pieces due from dies no plan can make."""
    due = sum(project.due(w) for d in project.dies for w in project.wanted if w.shape == d.id)
    return due - sum(w.pieces for w in die_work(project))


def bed_sides(machine: Machine) -> tuple[float, float]:
    """Return the sides (mm) of the part of the bed that bodies may cover."""
    return machine.bed_width - 2 * machine.bed_margin, machine.bed_length - 2 * machine.bed_margin


def fewest_uses(pieces: int, given: Sequence[Source]) -> int:
    """Return the fewest uses that can cut so many pieces: the highest stacks first."""
    uses = 0
    for height, count in sorted(_yields(given), reverse=True):
        if pieces <= 0:
            break
        taken = min(count, -(-pieces // height))
        uses, pieces = uses + taken, pieces - taken * height
    return uses + max(0, pieces)


def _yields(given: Sequence[Source]) -> list[tuple[int, int]]:
    """Return (pieces per use, uses) that the sources offer."""
    full = [(s.layers, s.pieces // s.layers) for s in given]
    rest = [(s.pieces % s.layers, 1) for s in given if s.pieces % s.layers]
    return [f for f in full if f[1]] + rest


def _task(project: Project, wanted: Wanted, die: Die) -> Task:
    width, length = bed_sides(project.machine)
    if die.copies < 1 or not goes_into_box(die.body.solid, width + 2 * SLACK, length + 2 * SLACK):
        return Task(wanted, 0, ())
    given = tuple(sources(project, wanted, die.cut))
    return Task(wanted, min(project.due(wanted), sum(s.pieces for s in given)), given)
