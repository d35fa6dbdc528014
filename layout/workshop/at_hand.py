"""A project against what is at hand: its wanted list, with the sheets and dies that the workshop holds now."""

from __future__ import annotations

from layout.geometry.value import replace
from layout.model.project import Die, Paper, Project, Scrap
from layout.workshop.things import Thing, reference, with_reference
from layout.workshop.workshop import Workshop


class AtHand:
    """What the drawer holds, read once for all projects; sheets only of the papers that are asked for."""

    def __init__(self, shop: Workshop) -> None:
        self._shop = shop
        things = shop.things(limit=-1)
        self._counts = {thing.id: thing.count for thing in things}
        self._sheets: dict[str, list[Thing]] = {}
        for thing in things:
            if thing.kind == "scrap":
                self._sheets.setdefault(thing.paper, []).append(thing)
        self._read: dict[str, tuple[Scrap, ...]] = {}

    def given_to(self, project: Project) -> Project:
        """Return a project with every sheet of its papers that is at hand, and as many of its dies as are owned.

        What the workshop never had stays as the project has it. Raises WorkshopError.
        """
        papers = {p.id: p.name or p.id for p in project.papers}
        asked = {papers.get(w.paper, w.paper) for w in project.wanted if w.paper is not None}
        if any(w.paper is None for w in project.wanted):
            asked |= self._sheets.keys()
        ids = {name: paper for paper, name in papers.items()}
        new = tuple(Paper(name, name) for name in sorted(asked - ids.keys()))
        mine = tuple(s for s in project.scraps if not reference(s))
        sheets = (replace(s, paper=ids.get(name, name)) for name in sorted(asked) for s in self._of_paper(name))
        dies = tuple(self._owned(die) for die in project.dies)
        return replace(project, papers=(*project.papers, *new), scraps=(*mine, *sheets), dies=dies)

    def limited(self, project: Project) -> Project:
        """Return a project with no more of its own sheets and dies than are at hand."""
        sheets = tuple(self._still_there(scrap) for scrap in project.scraps)
        dies = tuple(self._owned(die) for die in project.dies)
        return replace(project, scraps=tuple(s for s in sheets if s.count), dies=dies)

    def _still_there(self, scrap: Scrap) -> Scrap:
        name = reference(scrap)
        return replace(scrap, count=min(scrap.count, self._counts.get(name, 0))) if name else scrap

    def _owned(self, die: Die) -> Die:
        name = reference(die)
        return replace(die, copies=self._counts.get(name, 0)) if name else die

    def _of_paper(self, name: str) -> tuple[Scrap, ...]:
        if name not in self._read:
            self._read[name] = tuple(self._sheet(thing) for thing in self._sheets.get(name, ()))
        return self._read[name]

    def _sheet(self, thing: Thing) -> Scrap:
        sheet = with_reference(self._shop.load(thing.id), thing.id)
        assert isinstance(sheet, Scrap)
        return replace(sheet, id=thing.id)  # two sheets may go by one name
