"""`python -m layout export`: a layout as SVG or DXF, or the list of passes as CSV, by the ending of the name."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from layout.formats.layout_dxf import layout_dxf
from layout.formats.layout_svg import layout_svg
from layout.formats.plan_file import read_plan
from layout.formats.plate_shapes import layout_named, plate_shapes
from layout.formats.project_file import read_project
from layout.formats.run_list import run_list
from layout.formats.writing import write_bytes
from layout.geometry.outline import Outline, from_polygon
from layout.model.errors import FileError, PlatefulError
from layout.model.plan import Layout, Plan
from layout.model.project import Project
from layout.rules.book import Book
from layout.rules.cutting_down import Sheets

DONE, REFUSED = 0, 2


def add_parser(subparsers: Any) -> None:
    """Add the subcommand `export`."""
    parser = subparsers.add_parser("export", help="write a layout as SVG or DXF, or the list of passes as CSV")
    parser.add_argument("project", type=Path, metavar="PROJECT.json")
    parser.add_argument("plan", type=Path, metavar="PLAN.json")
    parser.add_argument("--out", type=Path, required=True, metavar="F.svg|F.dxf|F.csv")
    parser.add_argument("--layout", metavar="ID", help="which layout (default: the first)")
    parser.add_argument(
        "--run", dest="number", type=int, default=1, metavar="N", help="of which run the scraps are drawn (default: 1)"
    )
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Write the file; return 0, or 2 with one line on standard error."""
    try:
        project, plan = read_project(args.project), read_plan(args.plan)
        write_bytes(exported(project, plan, args.out, args.layout, args.number), args.out)
    except PlatefulError as error:
        print(error, file=sys.stderr)
        return REFUSED
    print(args.out)
    return DONE


def exported(project: Project, plan: Plan, out: Path, layout: str | None = None, run: int = 1) -> bytes:
    """Return the file's bytes, in the format that its name ends with; raises FileError."""
    ending = out.suffix.lower()
    try:
        if ending == ".csv":
            return run_list(project, plan)
        if ending not in (".svg", ".dxf"):
            raise FileError(f"{out}: a layout is written as .svg or .dxf, the list of passes as .csv; end the name so")
        chosen = _chosen(plan, out, layout, run)
        shapes = list(plate_shapes(project, chosen, list(_papers(project, plan, chosen, run - 1))))
        return layout_dxf(shapes) if ending == ".dxf" else layout_svg(shapes, f"{project.name} layout {chosen.id}")
    except (KeyError, IndexError, StopIteration) as error:
        raise FileError(f"{out}: the plan was made for another project; give the two that belong together") from error


def _papers(project: Project, plan: Plan, layout: Layout, run: int) -> Iterator[tuple[str, Outline]]:
    """Give the scraps of a run as they lie, cut down where they are."""
    sheets = Sheets(Book(project), plan.cut_downs)
    for laid in layout.runs[run].scraps if layout.runs else ():
        area = sheets.shape(laid.scrap, laid.copies, laid.part).area
        for part in getattr(area, "geoms", [area]):
            yield laid.scrap, laid.pose.outline(from_polygon(part))


def _chosen(plan: Plan, out: Path, layout: str | None, run: int) -> Layout:
    try:
        chosen = layout_named(plan, layout)
    except KeyError as error:
        names = ", ".join(entry.id for entry in plan.layouts) or "none"
        raise FileError(f"{out}: the plan has no layout {layout or 'at all'}; it has {names}") from error
    if not 1 <= run <= max(1, len(chosen.runs)):
        raise FileError(f"{out}: layout {chosen.id} has no run {run}; it has {len(chosen.runs)}")
    return chosen
