"""The list of passes as CSV: one line for each piece cut, so that a spreadsheet can sort it."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator

from layout.model.plan import Cut, Plan, Run
from layout.model.project import Project

HEAD = ("pass", "layout", "die", "piece", "scrap", "sheets", "paper", "pieces")


def run_list(project: Project, plan: Plan) -> bytes:
    """Return the passes in their order, UTF-8 with a mark that spreadsheets look for."""
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(HEAD)
    writer.writerows([_plain(cell) for cell in row] for row in _rows(project, plan))
    return text.getvalue().encode("utf-8-sig")


def _rows(project: Project, plan: Plan) -> Iterator[tuple[str, ...]]:
    number = 0
    for layout in plan.layouts:
        for run in layout.runs:
            number += 1
            for cut in run.cuts:
                yield (str(number), layout.id, *_cut(project, layout.dies[cut.die].die, run, cut))


def _cut(project: Project, die_id: str, run: Run, cut: Cut) -> tuple[str, ...]:
    die = next(d for d in project.dies if d.id == die_id)
    laid = run.scraps[cut.scrap]
    scrap = next(s for s in project.scraps if s.id == laid.scrap)
    paper = next((p.name for p in project.papers if p.id == scrap.paper and p.name), scrap.paper)
    sheets = "+".join(str(copy + 1) for copy in laid.copies)
    name = str(scrap.extra.get("name") or scrap.id)
    return (die.name or die.id, cut.wanted, name, sheets, paper, str(len(laid.copies)))


def _plain(cell: str) -> str:
    """Keep a spreadsheet from taking a name for a formula."""
    return f"'{cell}" if cell[:1] in ("=", "+", "-", "@", "\t", "\r") else cell
