"""The headless answer to 'what can I make?': a project file in, kits and what is short out, as words or as JSON."""

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
from layout.planning.makeable import USUAL_SHEET, Makeable, Patience, what_can_i_make
from layout.planning.planner import Limits
from layout.planning.words import counted, size


def add_parser(commands: Any) -> None:
    """Add `makeable` to the subcommands of the headless program."""
    parser = commands.add_parser("makeable", help="find out how many kits the scraps at hand give, and what is short")
    parser.add_argument("project", type=Path, help="the project file")
    parser.add_argument("--seconds", type=float, default=20.0, help="how long to look (20)")
    parser.add_argument("--seed", type=int, default=0, help="another seed tries other ways (0)")
    parser.add_argument("--sheet", type=float, nargs=2, default=USUAL_SHEET, metavar="MM", help="a sheet to be bought")
    parser.add_argument("--stream", action="store_true", help="print one JSON object for all that gets known")
    add_leash(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Look and say; exit 0 where all kits of the project can be made, 3 where not, 2 where it cannot be read."""
    try:
        project = read_project(args.project)
        limits = Limits()
        listen_for_stop(limits, args.until_input_ends)
        patience = Patience(args.seconds, seed=args.seed, sheet=tuple(args.sheet), stopped=lambda: bool(limits.stop[0]))
        told = what_can_i_make(project, patience, _tell if args.stream else lambda _: None)
    except PlatefulError as fault:
        print(fault, file=sys.stderr)
        return UNREADABLE
    print(json.dumps({"event": "done", **as_object(told)}) if args.stream else in_words(project, told), flush=True)
    return COMPLETE if told.kits >= project.kits else PARTIAL


def as_object(told: Makeable) -> dict[str, Any]:
    """Return the answer as plain data."""
    short = [{"wanted": s.wanted.id, "count": s.count, "needs": list(s.needs), "why": s.why} for s in told.short]
    cures = [{"paper": c.paper, "sides": list(c.sides), "sheets": c.sheets, "least": c.least} for c in told.cures]
    return {
        "kits": told.kits,
        "most": told.most,
        "asked": told.asked,
        "short": short,
        "cures": cures,
        "incurable": list(told.incurable),
    }


def in_words(project: Project, told: Makeable) -> str:
    """Say the answer in a few lines."""
    papers = {p.id: p.name or p.id for p in project.papers}
    lines = [counted(told.kits, "kit") + (", more cannot be" if told.proven else f", surely no more than {told.most}")]
    lines += [f"for {told.asked}: {s.count} × {s.wanted.shape}: {s.why}" for s in told.short]
    for cure in told.cures:
        sheets = counted(cure.sheets, f"more {papers.get(cure.paper, cure.paper)} sheet")
        lines.append(f"{sheets} of {size(*cure.sides)} would do")
    return "\n".join(lines)


def _tell(told: Makeable) -> None:
    print(json.dumps({"event": "better", **as_object(told)}), flush=True)
