"""`python -m app sheet`: the project sheet as a PDF, without a screen."""

from __future__ import annotations

import argparse
import os
import sys
from pathlib import Path
from typing import Any

from app.guide.command import COMPLETE, PARTIAL, REFUSED, read
from layout.model.errors import PlatefulError
from layout.model.plan import Plan


def add_parser(subparsers: Any) -> None:
    """Add the subcommand `sheet`."""
    parser = subparsers.add_parser("sheet", help="write the project sheet as a PDF, without a window")
    parser.add_argument("project", type=Path, metavar="PROJECT.json")
    parser.add_argument("plan", type=Path, nargs="?", metavar="PLAN.json", help="planned first where it is left out")
    parser.add_argument("--out", type=Path, required=True, metavar="SHEET.pdf")
    parser.add_argument("--page", choices=("a4", "letter"), help="the paper in the printer (default: by your region)")
    parser.add_argument("--grey", action="store_true", help="without colour, for a printer that has none")
    parser.add_argument("--template", action="store_true", help="also the blanks at true size")
    parser.add_argument("--unit", choices=("mm", "cm", "in"), help="unit of the numbers (default: the project's own)")
    parser.add_argument("--pictures", type=Path, metavar="FOLDER", help="also write each page as a PNG")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Write the sheet; return 0 where every piece is planned, 3 where some are missing, 2 with one line on stderr."""
    try:
        plan, pages = _write(args)
    except PlatefulError as error:
        print(error, file=sys.stderr)
        return REFUSED
    print(f"{args.out}: project sheet of {pages} {'page' if pages == 1 else 'pages'}")
    return COMPLETE if plan.status == "complete" else PARTIAL


def _write(args: argparse.Namespace) -> tuple[Plan, int]:
    project, plan = read(args.project, args.plan)
    # Set before Qt starts: a PDF needs no screen, and there may be none.
    os.environ["QT_QPA_PLATFORM"] = "offscreen"
    from PySide6.QtGui import QGuiApplication

    from app.document.units import unit_of
    from app.guide.sheet import SHEETS, usual_sheet
    from app.sheet.book import sheet_pages, write_pdf, write_pictures
    from app.sheet.job import SheetJob

    application = QGuiApplication.instance() or QGuiApplication(["plateful"])
    paper = SHEETS[args.page] if args.page else usual_sheet()
    job = SheetJob(
        project, plan, paper, unit=args.unit or unit_of(project), colour=not args.grey, template=args.template
    )
    pages = sheet_pages(job)
    write_pdf(job, pages, args.out)
    if args.pictures is not None:
        write_pictures(pages, args.pictures)
    del application
    return plan, len(pages)
