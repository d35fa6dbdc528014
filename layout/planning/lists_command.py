"""The headless answer to 'which wanted list fits now?': a workshop's folder in, all its projects out."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from typing import Any

from layout.formats.project_file import read_project
from layout.model.errors import PlatefulError
from layout.model.project import Project
from layout.planning.command import COMPLETE, PARTIAL, UNREADABLE, add_leash, listen_for_stop
from layout.planning.lists import Listed, Lists, Present
from layout.planning.makeable import USUAL_SHEET, Makeable, Patience
from layout.planning.makeable_command import as_object, in_words
from layout.planning.planner import Limits
from layout.planning.supply import shapes_of
from layout.planning.words import counted
from layout.workshop import default_folder, look_into_workshop


def add_parser(commands: Any) -> None:
    """Add `lists` to the subcommands of the headless program."""
    parser = commands.add_parser("lists", help="find out which projects' wanted lists the workshop's scraps fill now")
    parser.add_argument("--workshop", type=Path, default=default_folder(), help="the workshop's folder")
    parser.add_argument("--seconds", type=float, default=8.0, help="how long to look for each project (8)")
    parser.add_argument("--seed", type=int, default=0, help="another seed tries other ways (0)")
    parser.add_argument("--sheet", type=float, nargs=2, default=USUAL_SHEET, metavar="MM", help="a sheet to be bought")
    parser.add_argument("--stream", action="store_true", help="print one JSON object for all that gets known")
    add_leash(parser)
    parser.add_argument("--present", type=Path, help="a project file that stands for one open in a window")
    parser.add_argument("--present-at", type=Path, help="where that one's own file is")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Look and say; exit 0 where every list fits, 3 where one does not, 2 where the workshop cannot be read."""
    limits = Limits()
    listen_for_stop(limits, args.until_input_ends)
    patience = Patience(
        args.seconds,
        seed=args.seed,
        sheet=tuple(args.sheet),
        stopped=lambda: bool(limits.stop[0]),
        beyond=False,
    )
    say = _Stream() if args.stream else _Words()
    try:
        present = None if args.present is None else Present(read_project(args.present), args.present_at)
        with look_into_workshop(args.workshop) as shop:
            lists = Lists(shop, present)
            say.begins(lists.names)
            for number, listed in enumerate(lists.listed()):
                if patience.stopped():
                    break
                say.listed(number, listed)
            for number, project, told in lists.answers(patience, say.so_far):
                say.answered(number, project, told)
    except PlatefulError as fault:
        print(fault, file=sys.stderr)
        return UNREADABLE
    return COMPLETE if say.fitting == say.open else PARTIAL


class _Words:
    """Says it for a person, each list when it is answered."""

    def __init__(self) -> None:
        self.open = self.fitting = 0
        self._names: list[str] = []

    def begins(self, names: list[tuple[str, str]]) -> None:
        """Say how many projects there are."""
        self._names = [name for name, _ in names]
        print(f"{counted(len(names), 'project')} in the workshop", flush=True)

    def listed(self, number: int, listed: Listed) -> None:
        self._count(listed)
        states = {"made": "all is made", "nothing": "nothing is wanted", "unreadable": listed.why}
        if listed.state in states:
            print(f"{self._names[number]}: {states[listed.state]}")

    def so_far(self, number: int, project: Project, told: Makeable) -> None:
        """Say nothing before it is sure."""

    def answered(self, number: int, project: Project, told: Makeable) -> None:
        self.fitting += told.kits >= project.kits
        print(f"{self._names[number]}: {in_words(project, told)}", flush=True)

    def _count(self, listed: Listed) -> None:
        self.open += listed.state in ("open", "unreadable")


class _Stream(_Words):
    """Prints JSON, a line for all that gets known: with the names that a reader without the project needs."""

    def begins(self, names: list[tuple[str, str]]) -> None:
        print(json.dumps({"event": "lists", "lists": names}), flush=True)

    def listed(self, number: int, listed: Listed) -> None:
        self._count(listed)
        told = {f: getattr(listed, f) for f in Listed.__struct_fields__}
        print(json.dumps({"event": "listed", "number": number, **told}), flush=True)

    def so_far(self, number: int, project: Project, told: Makeable) -> None:
        self._tell("better", number, project, told)

    def answered(self, number: int, project: Project, told: Makeable) -> None:
        self.fitting += told.kits >= project.kits
        self._tell("answered", number, project, told)

    def _tell(self, event: str, number: int, project: Project, told: Makeable) -> None:
        papers = {p.id: p.name or p.id for p in project.papers}
        shapes = {name: str(shape.name or name) for name, shape in shapes_of(project).items()}
        pieces = {w.id: [shapes.get(w.shape, w.shape), papers.get(w.paper or "", "")] for w in project.wanted}
        names = {"pieces": pieces, "papers": papers}
        print(json.dumps({"event": event, "number": number, **as_object(told), **names}), flush=True)
