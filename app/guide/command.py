"""`python -m app guide`: the placement guide as a PDF, without a screen."""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Any

from layout.model.errors import FileError, PlatefulError
from layout.model.plan import Plan
from layout.model.project import Project

if TYPE_CHECKING:
    from app.guide.sheet import Sheet

COMPLETE, REFUSED, PARTIAL = 0, 2, 3


def add_parser(subparsers: Any) -> None:
    """Add the subcommand `guide`."""
    parser = subparsers.add_parser("guide", help="write the placement guide as a PDF, without a window")
    parser.add_argument("project", type=Path, metavar="PROJECT.json")
    parser.add_argument("plan", type=Path, nargs="?", metavar="PLAN.json", help="planned first where it is left out")
    parser.add_argument("--out", type=Path, required=True, metavar="GUIDE.pdf")
    parser.add_argument("--page", choices=("a4", "letter"), help="the paper in the printer (default: by your region)")
    parser.add_argument(
        "--blades", choices=("down", "up"), default="down", help="how the dies lie; up mirrors the plate pages"
    )
    parser.add_argument(
        "--measured",
        type=float,
        metavar="MM",
        help="what the 100 mm bar of an earlier print measured: print corrected for a printer that cannot be set",
    )
    parser.add_argument(
        "--measured-along", type=float, metavar="MM", help="the same for the upright bar, if it differs"
    )
    parser.add_argument("--unit", choices=("mm", "cm", "in"), help="unit of the numbers (default: the project's own)")
    parser.add_argument("--pictures", type=Path, metavar="FOLDER", help="also write each plate page as a PNG")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Write the guide; return 0 where every piece is planned, 3 where some are missing, 2 with one line on stderr."""
    try:
        plan = _write(args)
    except PlatefulError as error:
        print(error, file=sys.stderr)
        return REFUSED
    print(f"{args.out}: guide for {plan.passes} passes, {len(plan.layouts)} layouts")
    return COMPLETE if plan.status == "complete" else PARTIAL


def _write(args: argparse.Namespace) -> Plan:
    project, plan = read(args.project, args.plan)
    # Set before Qt starts: a PDF needs no screen, and there may be none.
    os.environ["QT_QPA_PLATFORM"] = "offscreen"
    from PySide6.QtGui import QGuiApplication

    from app.document.units import unit_of
    from app.guide.book import guide_pages
    from app.guide.handout import write_pictures
    from app.guide.job import Job
    from app.guide.pdf import write_pdf
    from app.guide.sheet import SHEETS, usual_sheet

    application = QGuiApplication.instance() or QGuiApplication(["plateful"])
    sheet = SHEETS[args.page] if args.page else usual_sheet()
    if args.measured is not None:
        sheet = _corrected(sheet, args.measured, args.measured_along)
    job = Job(project, plan, sheet, args.blades == "up", args.unit or unit_of(project))
    pages = guide_pages(job)
    write_pdf(job, pages, args.out)
    if args.pictures is not None:
        write_pictures(pages, args.pictures)
    del application
    return plan


def _corrected(sheet: Sheet, across: float, along: float | None) -> Sheet:
    from app.guide.correction import MeasureError, corrected, diagnose

    try:
        diagnosis = diagnose(sheet, across, along)
        print(f"{diagnosis.cause} {diagnosis.remedy}")
        return sheet if diagnosis.true else corrected(sheet, across, along)
    except MeasureError as error:
        raise PlatefulError(str(error)) from error


def read(project_path: Path, plan_path: Path | None) -> tuple[Project, Plan]:
    """Read a project with its plan, planning it first where there is none; raises FileError."""
    from app.document.fitting import refuse_foreign
    from layout.formats.plan_file import read_plan
    from layout.formats.project_file import read_project

    project = read_project(project_path)
    if plan_path is not None:
        plan = read_plan(plan_path)
        refuse_foreign(project, plan, str(plan_path))
        return project, plan
    with tempfile.TemporaryDirectory() as folder:
        made = Path(folder) / "plan.json"
        _plan(project_path, made)
        return project, read_plan(made)


def _plan(project: Path, out: Path) -> None:
    command = [sys.executable, "-m", "layout", "plan", str(project), "--out", str(out)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode not in (COMPLETE, PARTIAL):
        lines = done.stderr.strip().splitlines()
        raise FileError(lines[-1] if lines else f"{project}: the planner ended without a plan; try again")
